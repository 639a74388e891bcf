"""The Celery app; its settings are Django's, prefixed CELERY_.

It names no settings module: this file is read whenever the portal is imported, and would decide
for the web server, the demo and the tests before they have spoken.
"""

from importlib import import_module
from typing import Any

from celery import Celery
from celery.signals import worker_init

app = Celery("portal")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["portal.core"])


@worker_init.connect
def load_what_takes_long(**_: Any) -> None:
    """Import before the pool is forked what models and PDFs need, once for all its processes."""
    for name in ("pvlib", "weasyprint"):
        import_module(name)
