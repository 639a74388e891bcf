"""Read models of the places: rebuildable from the records of the apps below."""

from datetime import date

from django.db import models

from portal.enrollment.models import Casefile


class CasePosition(models.Model):
    """Where a casefile stands: one holder, one next action, one date."""

    casefile = models.OneToOneField(Casefile, on_delete=models.CASCADE, related_name="position")
    stage = models.CharField(max_length=30, db_index=True)
    holder_role = models.CharField(max_length=20, db_index=True)
    holder_name = models.CharField(max_length=200)
    next_action = models.CharField(max_length=60)
    # Numbers and names the sentence of the next action needs.
    action_facts = models.JSONField(default=dict, blank=True)
    due_on = models.DateField(null=True, blank=True, db_index=True)
    since_at = models.DateTimeField()
    refreshed_at = models.DateTimeField()

    class Meta:
        ordering = ["due_on", "pk"]

    def __str__(self) -> str:
        return f"{self.casefile}: {self.stage}"

    def is_late(self, today: date) -> bool:
        """Whether its date is past."""
        return is_past(self.due_on, today)


def is_past(due_on: date | None, today: date) -> bool:
    """Past a date: from the day after it, the one meaning of late on every page."""
    return due_on is not None and due_on < today
