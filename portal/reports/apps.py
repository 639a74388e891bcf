"""Application settings of reports."""

from django.apps import AppConfig


class ReportsConfig(AppConfig):
    """Names the app for Django."""

    default_auto_field = "django.db.models.BigAutoField"
    name = "portal.reports"
    verbose_name = "Reports"
