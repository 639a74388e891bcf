"""Application settings of places."""

from django.apps import AppConfig


class PlacesConfig(AppConfig):
    """Names the app for Django."""

    default_auto_field = "django.db.models.BigAutoField"
    name = "portal.places"
    verbose_name = "Places"
