"""Pages of modeling."""

from django.urls import path

from portal.modeling import views

app_name = "modeling"
urlpatterns = [
    path("<int:pk>/", views.RunView.as_view(), name="run"),
    path("formulas/", views.FormulasView.as_view(), name="formulas"),
    path("formulas/<slug:formula>/", views.FormulaView.as_view(), name="formula"),
    path("start/<int:record_pk>/", views.RunStartView.as_view(), name="start"),
]
