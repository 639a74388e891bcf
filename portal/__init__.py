"""Rimjoist: the portal of a home energy audit program."""

from importlib.util import find_spec

# The Celery app is made wherever the portal is imported, so that a job is never sent to
# Celery's own default broker. Before set-up there is no Celery yet, and manage.py must
# still be able to read portal.bootstrap.
if find_spec("celery") is not None:
    from portal.celery import app as celery_app

    __all__ = ["celery_app"]
