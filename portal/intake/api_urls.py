"""Operations of intake."""

from django.urls.resolvers import URLPattern

urlpatterns: list[URLPattern] = []
