"""Pages of works."""

from django.urls.resolvers import URLPattern

app_name = "works"
urlpatterns: list[URLPattern] = []
