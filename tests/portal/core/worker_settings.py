"""Settings of the workers that tests start: real broker and database, quick sweeps."""

import os

from portal.settings.base import *  # noqa: F403  a settings module is the sum of its base and its own
from portal.settings.base import CELERY_BROKER_TRANSPORT_OPTIONS  # type: ignore[attr-defined]  # set by name

SECRET_KEY = "for-tests-only-" + "x" * 50
ALLOWED_HOSTS = ["127.0.0.1", "localhost"]
DEMO_MODE = False

# Celery checks a project's addresses at start; a worker serves none.
ROOT_URLCONF = "portal.core.urls"
# Redis is shared by all who use it; a prefix keeps this run's queue to itself.
if prefix := os.environ.get("TEST_BROKER_PREFIX"):
    CELERY_BROKER_TRANSPORT_OPTIONS["global_keyprefix"] = prefix
CELERY_IMPORTS = ["tests.portal.core.worker_jobs"]
CELERY_BEAT_SCHEDULE = {
    "sweep": {
        "task": "core.sweep",
        "schedule": 0.5,
        "kwargs": {"resend_after_s": 1.0},
        "options": {"expires": 5},
    }
}
