"""Work to be done outside a request, and the news it starts from."""

from typing import Any, ClassVar

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from portal.core import clock


class JobState(models.TextChoices):
    """Where a job stands."""

    QUEUED = "queued", _("queued")
    CLAIMED = "claimed", _("claimed")
    DONE = "done", _("done")
    FAILED = "failed", _("failed")


class Job(models.Model):
    """One piece of work. The row is the job; a broker message only says "look now".

    ``due_at`` is program time, which the demo and the tests may set. ``retry_at``,
    ``sent_at`` and ``lease_until`` are the machine's own time: they are about processes
    that live or die, whatever day the program believes it is.
    """

    kind = models.CharField(max_length=100)
    key = models.CharField(max_length=200, unique=True)
    args = models.JSONField(default=dict, blank=True)
    state = models.CharField(max_length=10, choices=JobState, default=JobState.QUEUED)
    attempts = models.PositiveSmallIntegerField(default=0)
    due_at = models.DateTimeField(null=True, blank=True)
    retry_at = models.DateTimeField(null=True, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    claim_token = models.UUIDField(null=True, blank=True)
    lease_until = models.DateTimeField(null=True, blank=True)
    error = models.TextField(blank=True)
    created_at = models.DateTimeField(default=clock.now)
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar[list[str]] = ["pk"]
        indexes: ClassVar[list[models.Index]] = [
            models.Index(
                fields=["state", "lease_until"],
                condition=Q(state__in=["queued", "claimed"]),
                name="job_open",
            ),
        ]
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.CheckConstraint(
                condition=(
                    Q(state="claimed", claim_token__isnull=False, lease_until__isnull=False)
                    | (~Q(state="claimed") & Q(claim_token__isnull=True, lease_until__isnull=True))
                ),
                name="job_claimed_has_token_and_lease",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.pk}: {self.state}"


class OutboxMessage(models.Model):
    """News from a lower app for whichever higher app listens; written with the change itself."""

    topic = models.CharField(max_length=100)
    key = models.CharField(max_length=200, unique=True)
    payload: Any = models.JSONField(default=dict, blank=True)
    created_at = models.DateTimeField(default=clock.now)

    class Meta:
        ordering: ClassVar[list[str]] = ["pk"]

    def __str__(self) -> str:
        return f"{self.topic} {self.pk}"
