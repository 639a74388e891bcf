"""Tables every app leans on: the trail, stored files, jobs, the outbox and letters."""

from portal.core.models.files import StoredFile
from portal.core.models.jobs import Job, OutboxMessage
from portal.core.models.letters import Letter
from portal.core.models.trail import TrailEntry

__all__ = ["Job", "Letter", "OutboxMessage", "StoredFile", "TrailEntry"]
