"""Operations of reports."""

from django.urls import path

from portal.reports import api

urlpatterns = [
    path("owner/<str:number>/", api.OwnerReportRead.as_view(), name="api_owner_report"),
]
