"""Operations of places."""

from django.urls.resolvers import URLPattern

urlpatterns: list[URLPattern] = []
