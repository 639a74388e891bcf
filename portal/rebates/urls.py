"""Pages of rebates."""

from django.urls.resolvers import URLPattern

app_name = "rebates"
urlpatterns: list[URLPattern] = []
