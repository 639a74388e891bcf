"""Addresses that belong to no app."""

from django.urls import path

from portal.core.health import health

urlpatterns = [
    path("health", health, name="health"),
]
