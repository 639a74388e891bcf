"""Application settings of enrollment."""

from django.apps import AppConfig


class EnrollmentConfig(AppConfig):
    """Names the app for Django."""

    default_auto_field = "django.db.models.BigAutoField"
    name = "portal.enrollment"
    verbose_name = "Enrollment"
