"""Application settings of core; at start it finds the work every app has registered."""

from django.apps import AppConfig
from django.utils.module_loading import autodiscover_modules


class CoreConfig(AppConfig):
    """Names the app for Django and gathers job kinds and outbox subscribers."""

    default_auto_field = "django.db.models.BigAutoField"
    name = "portal.core"
    verbose_name = "Core"

    def ready(self) -> None:
        """Import ``tasks`` (job kinds) and ``handlers`` (outbox subscribers) of every app."""
        autodiscover_modules("tasks", "handlers")
