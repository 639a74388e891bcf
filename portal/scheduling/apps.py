"""Application settings of scheduling."""

from django.apps import AppConfig


class SchedulingConfig(AppConfig):
    """Names the app for Django."""

    default_auto_field = "django.db.models.BigAutoField"
    name = "portal.scheduling"
    verbose_name = "Scheduling"
