"""Operations of modeling."""

from django.urls import path

from portal.modeling import api

urlpatterns = [
    path("records/<int:record_pk>/runs/", api.RunStart.as_view(), name="api_run_start"),
    path("formulas/<slug:formula>/", api.FormulaWork.as_view(), name="api_formula"),
    path("runs/<int:pk>/", api.RunRead.as_view(), name="api_run"),
]
