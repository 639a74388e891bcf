"""Operations of rebates."""

from django.urls.resolvers import URLPattern

urlpatterns: list[URLPattern] = []
