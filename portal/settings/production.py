"""Production: every secret and address comes from the environment; a missing one stops the start.

Needed: SECRET_KEY, ALLOWED_HOSTS, SITE_URL, DATABASE_URL, CELERY_BROKER_URL, EMAIL_HOST and,
where the mail server asks, EMAIL_HOST_USER and EMAIL_HOST_PASSWORD, and DEFAULT_FROM_EMAIL.
"""

import os

from django.core.exceptions import ImproperlyConfigured

from portal.settings.base import *  # noqa: F403  a settings module is the sum of its base and its own


def needed(name: str) -> str:
    """The value of an environment variable that production cannot do without."""
    value = os.environ.get(name, "").strip()
    if not value:
        raise ImproperlyConfigured(f"Set the environment variable {name}; see .env.example.")
    return value


SECRET_KEY = needed("SECRET_KEY")
ALLOWED_HOSTS = [host.strip() for host in needed("ALLOWED_HOSTS").split(",")]
SITE_URL = needed("SITE_URL").rstrip("/")
CSRF_TRUSTED_ORIGINS = [SITE_URL]
needed("DATABASE_URL")
needed("CELERY_BROKER_URL")
DEBUG = False
DEMO_MODE = False

EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
EMAIL_HOST = needed("EMAIL_HOST")
EMAIL_PORT = int(os.environ.get("EMAIL_PORT", "587"))
EMAIL_HOST_USER = os.environ.get("EMAIL_HOST_USER", "")
EMAIL_HOST_PASSWORD = os.environ.get("EMAIL_HOST_PASSWORD", "")
EMAIL_USE_TLS = os.environ.get("EMAIL_USE_TLS", "1") == "1"
EMAIL_TIMEOUT = 20
DEFAULT_FROM_EMAIL = needed("DEFAULT_FROM_EMAIL")

WHITENOISE_USE_FINDERS = False
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"},
}

# TLS ends at the proxy in front, which must set this header itself.
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
SECURE_SSL_REDIRECT = True
SECURE_HSTS_SECONDS = 365 * 24 * 3600
SECURE_HSTS_INCLUDE_SUBDOMAINS = True
SECURE_HSTS_PRELOAD = True
SESSION_COOKIE_SECURE = True
CSRF_COOKIE_SECURE = True
ACCOUNT_DEFAULT_HTTP_PROTOCOL = "https"
