"""Application settings of enrollment."""

from django.apps import AppConfig


class EnrollmentConfig(AppConfig):
    """Names the app for Django and listens for people signing in."""

    default_auto_field = "django.db.models.BigAutoField"
    name = "portal.enrollment"
    verbose_name = "Enrollment"

    def ready(self) -> None:
        """Connect the receivers."""
        from portal.enrollment import receivers  # noqa: F401  connecting is its import's effect
