"""Pages of the office: weather, and the values that decide safety or money."""

from django.urls import path

from portal.modeling import office_daily, office_views, office_weather

app_name = "office"
urlpatterns = [
    path("", office_weather.OfficeView.as_view(), name="office"),
    path("weather/", office_weather.WeatherView.as_view(), name="weather"),
    path("weather/<int:pk>/", office_weather.WeatherFileView.as_view(), name="weather_file"),
    path(
        "weather/stations/<int:pk>/retire/",
        office_weather.StationRetireView.as_view(),
        name="station_retire",
    ),
    path("daily-weather/", office_daily.DailyWeatherView.as_view(), name="daily_weather"),
    path("values/", office_views.ValuesView.as_view(), name="values"),
    path("values/<str:key>/", office_views.ValueView.as_view(), name="value"),
]
