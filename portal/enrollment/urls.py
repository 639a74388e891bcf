"""Pages of enrollment."""

from django.urls.resolvers import URLPattern

app_name = "enrollment"
urlpatterns: list[URLPattern] = []
