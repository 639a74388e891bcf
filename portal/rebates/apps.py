"""Application settings of rebates."""

from django.apps import AppConfig


class RebatesConfig(AppConfig):
    """Names the app for Django."""

    default_auto_field = "django.db.models.BigAutoField"
    name = "portal.rebates"
    verbose_name = "Rebates"
