"""Operations of enrollment."""

from django.urls.resolvers import URLPattern

urlpatterns: list[URLPattern] = []
