"""The test suite. The database and the broker are those of the environment, as everywhere."""

import os
import tempfile
from pathlib import Path

from portal.settings.base import *  # noqa: F403  a settings module is the sum of its base and its own
from portal.settings.base import DATABASES, ROOT

SECRET_KEY = "for-tests-only-" + "x" * 50
DEBUG = False
DEMO_MODE = False
ALLOWED_HOSTS = ["testserver", "localhost", "127.0.0.1"]

# Tests take turns with the work of a job (``jobs.drain``) or start a worker of their own;
# a message to nobody stays in this process.
CELERY_BROKER_URL = "memory://"
CELERY_BROKER_TRANSPORT = None
CELERY_BROKER_TRANSPORT_OPTIONS: dict[str, object] = {}
CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}

# One folder per process of a test run; a worker started by a test is given its own through
# RIMJOIST_VAR.
VAR_DIR = Path(os.environ.get("RIMJOIST_VAR") or tempfile.mkdtemp(prefix="rimjoist-test-"))
if one_of_several := os.environ.get("PYTEST_XDIST_WORKER"):
    VAR_DIR /= one_of_several
MEDIA_ROOT = VAR_DIR / "media"
# Fonts take seconds to make and never differ: one folder for all runs.
FONTS_DIR = ROOT / "var" / "fonts"
STATICFILES_DIRS = [ROOT / "portal" / "static", ("fonts", FONTS_DIR)]
# There, though empty: its absence is a warning, and warnings are errors here.
STATIC_ROOT = VAR_DIR / "static"
STATIC_ROOT.mkdir(parents=True, exist_ok=True)
EMAIL_FOLDER = VAR_DIR / "mail"
EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
ACCOUNT_RATE_LIMITS = False
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    # Threads and live servers open connections of their own.
    DATABASES["default"]["TEST"] = {"NAME": str(VAR_DIR / "test.sqlite3")}
