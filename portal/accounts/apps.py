"""Application settings of accounts."""

from django.apps import AppConfig


class AccountsConfig(AppConfig):
    """Names the app for Django."""

    default_auto_field = "django.db.models.BigAutoField"
    name = "portal.accounts"
    verbose_name = "People and firms"
