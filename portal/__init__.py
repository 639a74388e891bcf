"""Rimjoist: the portal of a home energy audit program."""

import os
from importlib.util import find_spec

# Before numpy is loaded: the model's matrices are small, and threads of the linear algebra would
# only stand in the way of the worker's processes.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

# The Celery app is made wherever the portal is imported, so that a job is never sent to
# Celery's own default broker. Before set-up there is no Celery yet, and manage.py must
# still be able to read portal.bootstrap.
if find_spec("celery") is not None:
    from portal.celery import app as celery_app

    __all__ = ["celery_app"]
