"""A developer's own machine: pages show their errors."""

import os

from portal.settings.base import *  # noqa: F403  a settings module is the sum of its base and its own
from portal.settings.base import LOGGING, kept_secret

SECRET_KEY = os.environ.get("SECRET_KEY") or kept_secret("secret-key")
DEBUG = True
ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]"]
DEMO_MODE = False
LOGGING["formatters"]["plain"] = {"format": "%(levelname)s %(name)s: %(message)s"}
