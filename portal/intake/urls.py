"""Pages of intake."""

from django.urls import path
from django.urls.resolvers import URLPattern

from portal.intake import views

app_name = "intake"
urlpatterns: list[URLPattern] = [
    path("template.json", views.TemplateView.as_view(), name="template"),
    path("open/<str:number>/", views.OpenView.as_view(), name="open"),
    path("upload/<str:number>/", views.UploadView.as_view(), name="upload"),
    path("hazards/<str:number>/", views.HazardsView.as_view(), name="hazards"),
    path("<int:pk>/", views.RecordView.as_view(), name="record"),
    path("<int:pk>/complete/", views.CompleteView.as_view(), name="complete"),
    path("<int:pk>/reopen/", views.ReopenView.as_view(), name="reopen"),
    path("<int:pk>/rest/", views.RestUnknownView.as_view(), name="rest_unknown"),
    path("<int:pk>/photo/", views.PhotoAddView.as_view(), name="photo_add"),
    path("<int:pk>/photo/<int:photo>/", views.PhotoView.as_view(), name="photo"),
    path("<int:pk>/<slug:section>/", views.SectionView.as_view(), name="section"),
    path("<int:pk>/<slug:section>/add/", views.ItemAddView.as_view(), name="item_add"),
    path("<int:pk>/<slug:section>/<uuid:key>/", views.ItemView.as_view(), name="item"),
    path(
        "<int:pk>/<slug:section>/<uuid:key>/copy/",
        views.ItemChangeView.as_view(),
        {"act": "copy"},
        name="item_copy",
    ),
    path(
        "<int:pk>/<slug:section>/<uuid:key>/rename/",
        views.ItemChangeView.as_view(),
        {"act": "rename"},
        name="item_rename",
    ),
    path(
        "<int:pk>/<slug:section>/<uuid:key>/remove/",
        views.ItemChangeView.as_view(),
        {"act": "remove"},
        name="item_remove",
    ),
]
