"""Award, work scope, its lines with their proof, and the claim."""

from django.db import models
from django.db.models import Q

from portal.accounts.models import Firm
from portal.core.models import StoredFile
from portal.enrollment.models import Casefile
from portal.rebates.models import SubsidyRequest
from portal.works.states import ClaimState, LineState, ScopeState


class Award(models.Model):
    """The work of a request given to a firm."""

    request = models.OneToOneField(SubsidyRequest, on_delete=models.PROTECT, related_name="award")
    firm = models.ForeignKey(Firm, on_delete=models.PROTECT, related_name="awards")
    awarded_at = models.DateTimeField()
    awarded_by = models.CharField(max_length=200)

    def __str__(self) -> str:
        return f"{self.request} to {self.firm}"


class WorkScope(models.Model):
    """What the firm is to build, each version immutable once issued."""

    number = models.CharField(max_length=20)
    version = models.PositiveSmallIntegerField(default=1)
    casefile = models.ForeignKey(Casefile, on_delete=models.PROTECT, related_name="work_scopes")
    award = models.ForeignKey(Award, on_delete=models.PROTECT, related_name="scopes")
    state = models.CharField(max_length=20, choices=ScopeState.choices, default=ScopeState.ISSUED)
    # Frozen at issue: home, people, hazards, access, tests with their audit values, money.
    header = models.JSONField(default=dict)
    issued_at = models.DateTimeField(null=True, blank=True)
    answer_by_on = models.DateField(null=True, blank=True)
    finish_by_on = models.DateField(null=True, blank=True)
    done_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["number", "version"]
        constraints = [
            models.UniqueConstraint(fields=["number", "version"], name="one_scope_a_version")
        ]

    def __str__(self) -> str:
        return f"{self.number}, version {self.version}"

    @property
    def casefile_number(self) -> str:
        """The casefile it belongs to."""
        return self.casefile.number


class ScopeLine(models.Model):
    """One thing to build, where, how much, out of what condition, to what target."""

    scope = models.ForeignKey(WorkScope, on_delete=models.CASCADE, related_name="lines")
    number = models.CharField(max_length=10)
    order = models.PositiveSmallIntegerField()
    measure = models.CharField(max_length=100)
    title = models.CharField(max_length=160)
    location = models.CharField(max_length=200)
    quantity = models.FloatField()
    unit = models.CharField(max_length=20)
    existing = models.TextField()
    target = models.TextField()
    specification = models.TextField()
    prerequisites = models.TextField(blank=True)
    access = models.TextField(blank=True)
    hazards = models.TextField(blank=True)
    proof = models.TextField()
    price_usd = models.DecimalField(max_digits=10, decimal_places=2)
    state = models.CharField(max_length=10, choices=LineState.choices, default=LineState.TO_DO)
    done_at = models.DateTimeField(null=True, blank=True)
    done_by = models.CharField(max_length=200, blank=True)
    done_note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["order"]
        constraints = [
            models.UniqueConstraint(fields=["scope", "number"], name="one_line_a_number")
        ]

    def __str__(self) -> str:
        return f"{self.number} {self.title}"

    @property
    def casefile_number(self) -> str:
        """The casefile it belongs to."""
        return self.scope.casefile.number


class LineProof(models.Model):
    """A photograph that shows a line before, during or after."""

    line = models.ForeignKey(ScopeLine, on_delete=models.CASCADE, related_name="proofs")
    file = models.ForeignKey(StoredFile, on_delete=models.PROTECT, related_name="+")
    moment = models.CharField(max_length=10, default="after")
    caption = models.CharField(max_length=160, blank=True)
    added_at = models.DateTimeField()
    added_by = models.CharField(max_length=200)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.caption or f"proof {self.pk}"


class Claim(models.Model):
    """The firm's claim for payment, with the invoice amount."""

    number = models.CharField(max_length=20, unique=True)
    scope = models.ForeignKey(WorkScope, on_delete=models.PROTECT, related_name="claims")
    state = models.CharField(max_length=10, choices=ClaimState.choices, default=ClaimState.SENT)
    invoice_number = models.CharField(max_length=40)
    invoice_usd = models.DecimalField(max_digits=10, decimal_places=2)
    invoice_file = models.ForeignKey(
        StoredFile, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    sent_at = models.DateTimeField()
    sent_by = models.CharField(max_length=200)
    answer_by_on = models.DateField(null=True, blank=True)
    shortfall = models.JSONField(default=list, blank=True)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.CheckConstraint(condition=Q(invoice_usd__gt=0), name="invoice_positive"),
            models.UniqueConstraint(
                fields=["scope"],
                condition=Q(state__in=["sent", "accepted", "paid"]),
                name="one_live_claim_a_scope",
            ),
        ]

    def __str__(self) -> str:
        return self.number

    @property
    def casefile_number(self) -> str:
        """The casefile it belongs to."""
        return self.scope.casefile.number
