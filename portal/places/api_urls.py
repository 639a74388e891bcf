"""Operations of the places."""

from django.urls import path

from portal.places import api

urlpatterns = [path("positions/", api.PositionsRead.as_view(), name="api_positions")]
