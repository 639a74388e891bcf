"""Reports."""

from django.urls import path

from portal.reports import views

app_name = "reports"
urlpatterns = [
    path("scopes/<str:number>.pdf", views.ScopePdfView.as_view(), name="scope_pdf"),
    path("<str:number>.pdf", views.OwnerPdfView.as_view(), name="owner_pdf"),
    path("<str:number>/", views.OwnerReportView.as_view(), name="owner"),
    path("<str:number>/made-of/<path:key>/", views.DerivationView.as_view(), name="derivation"),
]
