"""Application settings of scheduling."""

from django.apps import AppConfig


class SchedulingConfig(AppConfig):
    """Names the app for Django and tells enrollment which casefiles an auditor may see."""

    default_auto_field = "django.db.models.BigAutoField"
    name = "portal.scheduling"
    verbose_name = "Scheduling"

    def ready(self) -> None:
        """Register the auditor's scope."""
        from portal.scheduling import selectors  # noqa: F401  registering is its import's effect
