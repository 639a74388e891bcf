"""Tables every app leans on: the trail, stored files, jobs, the outbox and letters."""

from portal.core.models.files import StoredFile
from portal.core.models.trail import TrailEntry

__all__ = ["StoredFile", "TrailEntry"]
