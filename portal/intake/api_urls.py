"""Operations of intake."""

from django.urls import path
from django.urls.resolvers import URLPattern

from portal.intake import api

urlpatterns: list[URLPattern] = [
    path("sheet/schema/", api.SheetSchema.as_view(), name="api_sheet_schema"),
    path("sheet/template/", api.SheetTemplate.as_view(), name="api_sheet_template"),
    path("casefiles/<str:number>/record/", api.RecordOpen.as_view(), name="api_record_open"),
    path("casefiles/<str:number>/hazards/", api.HazardClear.as_view(), name="api_hazard_clear"),
    path("records/<int:pk>/", api.RecordRead.as_view(), name="api_record"),
    path("records/<int:pk>/items/", api.ItemAdd.as_view(), name="api_item_add"),
    path("records/<int:pk>/photos/", api.PhotoAdd.as_view(), name="api_photo_add"),
    path("records/<int:pk>/upload/", api.RecordUploadFile.as_view(), name="api_record_upload"),
    path("records/<int:pk>/complete/", api.RecordComplete.as_view(), name="api_record_complete"),
    path("records/<int:pk>/reopen/", api.RecordReopen.as_view(), name="api_record_reopen"),
    path("records/<int:pk>/<slug:section>/", api.SectionSave.as_view(), name="api_section_save"),
    path(
        "records/<int:pk>/<slug:section>/<uuid:key>/",
        api.ItemSave.as_view(),
        name="api_item_save",
    ),
]
