"""Application settings of works."""

from django.apps import AppConfig


class WorksConfig(AppConfig):
    """Names the app for Django."""

    default_auto_field = "django.db.models.BigAutoField"
    name = "portal.works"
    verbose_name = "Works"
