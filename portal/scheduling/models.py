"""Auditors' working time and the visits booked in it. Slots are worked out, never stored."""

import uuid

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from portal.enrollment.models import Casefile, County
from portal.scheduling.states import LIVE, AppointmentState


class AuditorProfile(models.Model):
    """What booking must know of an auditor."""

    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="auditor_profile"
    )
    credential_number = models.CharField(max_length=40)
    credential_expires_on = models.DateField()
    counties = models.ManyToManyField(County, related_name="auditors")
    phone = models.CharField(max_length=40, blank=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return str(self.user)


class WorkingHours(models.Model):
    """A stretch of a weekday in which an auditor takes visits, in program time."""

    auditor = models.ForeignKey(
        AuditorProfile, on_delete=models.CASCADE, related_name="working_hours"
    )
    weekday = models.PositiveSmallIntegerField()  # Monday is 0
    starts = models.TimeField()
    ends = models.TimeField()

    class Meta:
        ordering = ["weekday", "starts"]
        constraints = [
            models.CheckConstraint(condition=Q(weekday__lte=6), name="weekday_of_seven"),
            models.CheckConstraint(condition=Q(ends__gt=F("starts")), name="hours_run_forward"),
        ]

    def __str__(self) -> str:
        return f"{self.auditor}: day {self.weekday}, {self.starts} to {self.ends}"


class TimeOff(models.Model):
    """When an auditor cannot visit."""

    auditor = models.ForeignKey(AuditorProfile, on_delete=models.CASCADE, related_name="time_off")
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()

    class Meta:
        verbose_name_plural = "time off"
        constraints = [
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("starts_at")), name="time_off_runs_forward"
            )
        ]

    def __str__(self) -> str:
        return f"{self.auditor} off from {self.starts_at}"


class Appointment(models.Model):
    """A visit to a dwelling by an auditor."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    casefile = models.ForeignKey(Casefile, on_delete=models.PROTECT, related_name="appointments")
    auditor = models.ForeignKey(
        AuditorProfile, on_delete=models.PROTECT, related_name="appointments"
    )
    starts_at = models.DateTimeField()
    ends_at = models.DateTimeField()
    state = models.CharField(
        max_length=20, choices=AppointmentState.choices, default=AppointmentState.BOOKED
    )
    sequence = models.PositiveIntegerField(default=0)
    access_note = models.CharField(max_length=300, blank=True)
    booked_at = models.DateTimeField()

    class Meta:
        ordering = ["starts_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(ends_at__gt=F("starts_at")), name="visit_runs_forward"
            ),
            models.UniqueConstraint(
                fields=["auditor", "starts_at"],
                condition=Q(state__in=[str(state) for state in LIVE]),
                name="one_live_visit_a_start",
            ),
            models.UniqueConstraint(
                fields=["casefile"],
                condition=Q(state__in=[str(state) for state in LIVE]),
                name="one_live_visit_a_casefile",
            ),
        ]

    def __str__(self) -> str:
        return f"visit {self.casefile} at {self.starts_at}"

    @property
    def casefile_number(self) -> str:
        """The casefile it belongs to."""
        return self.casefile.number
