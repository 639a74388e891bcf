"""The Celery app; its settings are Django's, prefixed CELERY_.

It names no settings module: this file is read whenever the portal is imported, and would decide
for the web server, the demo and the tests before they have spoken.
"""

from celery import Celery

app = Celery("portal")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks(["portal.core"])
