"""Application settings of intake."""

from django.apps import AppConfig


class IntakeConfig(AppConfig):
    """Names the app for Django."""

    default_auto_field = "django.db.models.BigAutoField"
    name = "portal.intake"
    verbose_name = "Intake"
