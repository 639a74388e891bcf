"""Letters the program sends by e-mail."""

from typing import ClassVar

from django.db import models
from django.db.models import Q

from portal.core import clock


class Letter(models.Model):
    """One letter to one address, kept as it was worded.

    The words of a secret letter (a sign-in code) are kept only until it is sent.
    """

    key = models.CharField(max_length=200, unique=True)
    template = models.CharField(max_length=100, blank=True)
    language = models.CharField(max_length=8, default="en")
    to = models.EmailField(max_length=254)
    subject = models.CharField(max_length=200)
    body = models.TextField(blank=True)
    is_secret = models.BooleanField(default=False)
    created_at = models.DateTimeField(default=clock.now)
    sent_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering: ClassVar[list[str]] = ["pk"]
        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.CheckConstraint(
                condition=Q(is_secret=False) | Q(sent_at__isnull=True) | Q(body=""),
                name="letter_secret_forgotten_once_sent",
            ),
        ]

    def __str__(self) -> str:
        return f"letter {self.pk}"
