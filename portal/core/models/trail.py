"""The rows of the audit trail."""

from typing import Any, NoReturn

from django.db import models


class TrailEntry(models.Model):
    """One line of the audit trail. The person is kept as id and label, so rows outlive them."""

    at = models.DateTimeField(db_index=True)
    actor_id = models.BigIntegerField(null=True, blank=True)
    actor_label = models.CharField(max_length=200)
    record_kind = models.CharField(max_length=80)
    record_id = models.CharField(max_length=64)
    casefile_number = models.CharField(max_length=20, blank=True, db_index=True)
    verb = models.CharField(max_length=60)
    source = models.CharField(max_length=60, blank=True)
    target = models.CharField(max_length=60, blank=True)
    why = models.TextField(blank=True)
    details = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["at", "pk"]
        indexes = [models.Index(fields=["record_kind", "record_id"], name="trail_record")]
        verbose_name = "audit trail entry"
        verbose_name_plural = "audit trail entries"

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M} {self.actor_label}: {self.record_kind} {self.target}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Store a new line; an existing one refuses to change."""
        if not self._state.adding:
            raise TypeError("audit trail entries are never edited")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        """Refuse: the trail is kept."""
        raise TypeError("audit trail entries are never deleted")
