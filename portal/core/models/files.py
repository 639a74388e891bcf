"""Files people or jobs put in: kept under a random name, found again by their hash."""

import uuid

from django.db import models


def random_path(instance: "StoredFile", filename: str) -> str:
    """A path that tells nothing about the sender's file name."""
    return f"files/{instance.key.hex[:2]}/{instance.key.hex}"


class StoredFile(models.Model):
    """One file as it arrived; never served except through a view scoped to the reader."""

    key = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    content = models.FileField(upload_to=random_path, max_length=200)
    original_name = models.CharField(max_length=200)
    media_type = models.CharField(max_length=100)
    size_bytes = models.PositiveBigIntegerField()
    sha256 = models.CharField(max_length=64, db_index=True)
    casefile_number = models.CharField(max_length=20, blank=True, db_index=True)
    stored_at = models.DateTimeField()
    stored_by = models.CharField(max_length=200)

    def __str__(self) -> str:
        return f"{self.original_name} ({self.size_bytes} bytes)"
