"""Pages of intake."""

from django.urls.resolvers import URLPattern

app_name = "intake"
urlpatterns: list[URLPattern] = []
