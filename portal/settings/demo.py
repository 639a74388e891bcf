"""The demo: as in production, but on one machine, with invented people who may sign in."""

import os

from portal.settings.base import *  # noqa: F403  a settings module is the sum of its base and its own
from portal.settings.base import kept_secret

SECRET_KEY = os.environ.get("SECRET_KEY") or kept_secret("secret-key")
DEBUG = False
ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]"]
DEMO_MODE = True
