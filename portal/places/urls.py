"""Pages of places."""

from django.urls.resolvers import URLPattern

app_name = "places"
urlpatterns: list[URLPattern] = []
