"""Application settings of modeling."""

from django.apps import AppConfig


class ModelingConfig(AppConfig):
    """Names the app for Django."""

    default_auto_field = "django.db.models.BigAutoField"
    name = "portal.modeling"
    verbose_name = "Modeling"
