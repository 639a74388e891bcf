"""The field record: repeating items and the values entered for them.

A value is never overwritten: a new entry takes its place and the old one stays, so that a
correction shows both. What was typed, its unit and the SI value are kept side by side.
"""

import uuid

from django.db import models
from django.db.models import F, Q

from portal.accounts.models import User
from portal.core.models import StoredFile
from portal.enrollment.models import Casefile
from portal.intake.states import (
    Absence,
    How,
    ProposalState,
    RecordSource,
    RecordStage,
    RecordState,
)
from portal.scheduling.models import Appointment


class FieldRecord(models.Model):
    """What one visit recorded about one dwelling."""

    casefile = models.ForeignKey(Casefile, on_delete=models.PROTECT, related_name="field_records")
    appointment = models.ForeignKey(
        Appointment,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="field_records",
    )
    stage = models.CharField(max_length=20, choices=RecordStage.choices, default=RecordStage.AUDIT)
    state = models.CharField(max_length=20, choices=RecordState.choices, default=RecordState.OPEN)
    source = models.CharField(
        max_length=10, choices=RecordSource.choices, default=RecordSource.SHEET
    )
    sheet_version = models.PositiveSmallIntegerField(default=1)
    recorder = models.CharField(max_length=200)
    opened_at = models.DateTimeField()
    completed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["opened_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["casefile", "stage"],
                condition=Q(state=RecordState.OPEN),
                name="one_open_record_a_stage",
            )
        ]

    def __str__(self) -> str:
        return f"field record {self.pk} of {self.casefile}"

    @property
    def casefile_number(self) -> str:
        """The casefile it belongs to."""
        return self.casefile.number


class FieldItem(models.Model):
    """One thing of a repeating group: this attic, that water heater, the test of that day."""

    record = models.ForeignKey(FieldRecord, on_delete=models.CASCADE, related_name="items")
    key = models.UUIDField(default=uuid.uuid4, unique=True)
    group = models.CharField(max_length=40)
    name = models.CharField(max_length=80)
    order = models.PositiveSmallIntegerField(default=0)
    removed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["group", "order", "pk"]

    def __str__(self) -> str:
        return f"{self.group}: {self.name}"


class FieldEntry(models.Model):
    """One value as entered. ``field`` names it in the sheet; ``item`` is empty for a value of
    the whole house."""

    record = models.ForeignKey(FieldRecord, on_delete=models.CASCADE, related_name="entries")
    item = models.ForeignKey(
        FieldItem, on_delete=models.CASCADE, null=True, blank=True, related_name="entries"
    )
    field = models.CharField(max_length=60)
    typed = models.TextField(blank=True)
    unit = models.CharField(max_length=20, blank=True)
    si = models.FloatField(null=True, blank=True)
    value = models.JSONField(null=True, blank=True)
    absence = models.CharField(max_length=20, choices=Absence.choices, blank=True)
    absence_reason = models.CharField(max_length=200, blank=True)
    how = models.CharField(max_length=20, choices=How.choices, default=How.MEASURED)
    confirmed_reason = models.CharField(max_length=200, blank=True)
    note = models.CharField(max_length=300, blank=True)
    is_current = models.BooleanField(default=True)
    entered_by = models.CharField(max_length=200)
    entered_at = models.DateTimeField()
    why_changed = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["record", "item", "field"],
                condition=Q(is_current=True, item__isnull=False),
                name="one_current_value_an_item",
            ),
            models.UniqueConstraint(
                fields=["record", "field"],
                condition=Q(is_current=True, item__isnull=True),
                name="one_current_value_a_house",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.field}: {self.typed} {self.unit}".strip()


class Photo(models.Model):
    """A photograph taken at the visit, of an item or of the house."""

    record = models.ForeignKey(FieldRecord, on_delete=models.CASCADE, related_name="photos")
    item = models.ForeignKey(
        FieldItem, on_delete=models.SET_NULL, null=True, blank=True, related_name="photos"
    )
    file = models.ForeignKey(StoredFile, on_delete=models.PROTECT, related_name="+")
    tag = models.CharField(max_length=20, default="existing")
    caption = models.CharField(max_length=160, blank=True)
    taken_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.caption or f"photo {self.pk}"


class RecordUpload(models.Model):
    """A file from which a field record was filled, kept with what was read and what was not."""

    record = models.ForeignKey(FieldRecord, on_delete=models.PROTECT, related_name="uploads")
    file = models.ForeignKey(StoredFile, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=10, choices=RecordSource.choices)
    report = models.JSONField(default=dict)
    uploaded_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.kind} upload {self.pk}"


class HazardClearance(models.Model):
    """Evidence that a hazard found at the visit has been dealt with."""

    casefile = models.ForeignKey(
        Casefile, on_delete=models.PROTECT, related_name="hazard_clearances"
    )
    hazard = models.CharField(max_length=60)
    evidence = models.TextField()
    file = models.ForeignKey(
        StoredFile, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    cleared_by = models.CharField(max_length=200)
    cleared_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.hazard} cleared"

    @property
    def casefile_number(self) -> str:
        """The casefile it belongs to."""
        return self.casefile.number


class ValueProposal(models.Model):
    """A number that decides safety or money, proposed by one administrator for the program and
    adopted by another. The one adopted row of a key is what is in effect."""

    key = models.CharField(max_length=80)
    state = models.CharField(
        max_length=12, choices=ProposalState.choices, default=ProposalState.PROPOSED
    )
    # Empty for a table that is confirmed as it stands.
    value = models.FloatField(null=True, blank=True)
    unit = models.CharField(max_length=40, blank=True)
    value_before = models.FloatField(null=True, blank=True)
    edition = models.CharField(max_length=80)
    document = models.CharField(max_length=200)
    authority = models.CharField(max_length=200, blank=True)
    is_looser = models.BooleanField(default=False)
    reason = models.TextField()
    proposed_by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    proposed_at = models.DateTimeField()
    decided_by = models.ForeignKey(
        User, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    decided_at = models.DateTimeField(null=True, blank=True)
    decided_why = models.TextField(blank=True)
    # Casefiles whose readings fail, or pass, because of it; written when all have been looked at.
    rejudged = models.JSONField(default=dict, blank=True)

    # No casefile: it concerns all of them.
    casefile_number = ""

    class Meta:
        ordering = ["-proposed_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["key"],
                condition=Q(state=ProposalState.PROPOSED),
                name="one_open_proposal_a_value",
            ),
            models.UniqueConstraint(
                fields=["key"],
                condition=Q(state=ProposalState.ADOPTED),
                name="one_adopted_a_value",
            ),
            models.CheckConstraint(
                condition=~Q(state__in=[ProposalState.ADOPTED, ProposalState.REPLACED])
                | (
                    Q(decided_by__isnull=False)
                    & Q(decided_at__isnull=False)
                    & ~Q(decided_by=F("proposed_by"))
                ),
                name="adopted_by_a_second_person",
            ),
            models.CheckConstraint(
                condition=Q(is_looser=False) | (~Q(authority="") & ~Q(document="")),
                name="looser_names_an_authority",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.key}: {self.value} {self.unit}".strip()
