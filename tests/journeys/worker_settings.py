"""Settings of the worker beside a live server: it also prints, so it knows every address."""

import os
from datetime import timedelta

from portal.settings.base import ROOT, STATICFILES_DIRS
from tests.portal.core.worker_settings import *  # noqa: F403  a settings module is the sum of its base and its own

ROOT_URLCONF = "portal.urls"
CELERY_IMPORTS: list[str] = []
FONTS_DIR = ROOT / "var" / "fonts"
STATICFILES_DIRS = [STATICFILES_DIRS[0], ("fonts", FONTS_DIR)]
CLOCK_OFFSET = timedelta(seconds=float(os.environ["TEST_CLOCK_OFFSET_S"]))
