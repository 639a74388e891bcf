"""Pages of modeling."""

from django.urls.resolvers import URLPattern

app_name = "modeling"
urlpatterns: list[URLPattern] = []
