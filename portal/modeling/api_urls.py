"""Operations of modeling."""

from django.urls import path

from portal.modeling import api, office_api, office_daily

urlpatterns = [
    path("records/<int:record_pk>/runs/", api.RunStart.as_view(), name="api_run_start"),
    path("formulas/<slug:formula>/", api.FormulaWork.as_view(), name="api_formula"),
    path("runs/<int:pk>/", api.RunRead.as_view(), name="api_run"),
    path("weather/", office_api.WeatherList.as_view(), name="api_weather"),
    path("weather/<int:pk>/", office_api.WeatherFileRead.as_view(), name="api_weather_file"),
    path("weather/<int:pk>/use/", office_api.WeatherFileUse.as_view(), name="api_weather_use"),
    path(
        "weather/stations/<int:pk>/retire/",
        office_api.StationRetire.as_view(),
        name="api_station_retire",
    ),
    path("daily-weather/", office_daily.DailyWeatherList.as_view(), name="api_daily_weather"),
    path("values/", office_api.ValueList.as_view(), name="api_values"),
    path("values/<str:key>/", office_api.ValuePropose.as_view(), name="api_value_propose"),
    path(
        "proposals/<int:pk>/",
        office_api.ProposalDecide.as_view(),
        name="api_proposal_decide",
    ),
]
