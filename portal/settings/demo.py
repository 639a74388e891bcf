"""The demo: as in production, but on one machine, with invented people who may sign in."""

import json
import os
from datetime import timedelta
from pathlib import Path

from django.utils.translation import gettext_lazy as _

from portal.settings.base import *  # noqa: F403  a settings module is the sum of its base and its own
from portal.settings.base import VAR_DIR, kept_secret

SECRET_KEY = os.environ.get("SECRET_KEY") or kept_secret("secret-key")
DEBUG = False
ALLOWED_HOSTS = ["localhost", "127.0.0.1", "[::1]"]
DEMO_MODE = True

# The demo's present is a fixed morning at load and runs on from there, so that its rules are in
# force and its visits lie ahead whenever it is started.
DEMO_CLOCK_FILE = VAR_DIR / "demo-clock.json"


def kept_offset(path: Path) -> timedelta:
    """How far the demo's clock is from the machine's, as kept at load; none before that."""
    try:
        return timedelta(seconds=float(json.loads(path.read_text())["offset_s"]))
    except (OSError, ValueError, KeyError, TypeError):
        return timedelta(0)


CLOCK_OFFSET = kept_offset(DEMO_CLOCK_FILE)

# Who may be signed in as with one press, in this order.
DEMO_SIGNINS = [
    {
        "email": "d.amberly@mail.example",
        "what": _("Homeowner: 1958 ranch with leaky ducts; report ready, plan to choose"),
    },
    {
        "email": "w.osgrove@mail.example",
        "what": _("Homeowner: 1910 house with a steam boiler; work is being done"),
    },
    {"email": "o.farrow@qlg.example", "what": _("Auditor: two visits today")},
    {"email": "s.quist@qlg.example", "what": _("Program administrator: the Desk")},
    {"email": "p.lindqvist@plumbacre.example", "what": _("Contractor: a firm with jobs to do")},
]
