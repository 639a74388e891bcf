"""Pages of scheduling."""

from django.urls.resolvers import URLPattern

app_name = "scheduling"
urlpatterns: list[URLPattern] = []
