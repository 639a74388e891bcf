"""Rule sets, plans, quotes, subsidy requests and the fund ledger."""

from django.db import models
from django.db.models import F, Q

from portal.accounts.models import Firm
from portal.core.models import StoredFile
from portal.enrollment.models import Casefile, County
from portal.modeling.models import ModelRun
from portal.rebates.states import LIVE_SUBSIDY, Answer, EntryKind, SubsidyState


class RuleSet(models.Model):
    """A published version of a program's rules; never edited."""

    code = models.CharField(max_length=20)
    version = models.PositiveSmallIntegerField()
    title = models.CharField(max_length=120)
    from_on = models.DateField()
    to_on = models.DateField()
    body = models.JSONField()
    sha256 = models.CharField(max_length=64)
    published_at = models.DateTimeField()
    published_by = models.CharField(max_length=200)

    class Meta:
        ordering = ["code", "version"]
        constraints = [
            models.UniqueConstraint(fields=["code", "version"], name="one_rule_set_a_version"),
            models.CheckConstraint(
                condition=Q(to_on__gte=F("from_on")), name="rule_set_runs_forward"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.code} version {self.version}"


class Plan(models.Model):
    """What the homeowner picked from the report."""

    casefile = models.OneToOneField(Casefile, on_delete=models.PROTECT, related_name="plan")
    run = models.ForeignKey(ModelRun, on_delete=models.PROTECT, related_name="plans")
    # The run of exactly these choices, once the worker has made it.
    own_run = models.ForeignKey(
        ModelRun, on_delete=models.PROTECT, null=True, blank=True, related_name="own_plans"
    )
    created_at = models.DateTimeField()
    changed_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"plan of {self.casefile}"

    @property
    def casefile_number(self) -> str:
        """The casefile it belongs to."""
        return self.casefile.number


class PlanChoice(models.Model):
    """One measure and what the homeowner says to it."""

    plan = models.ForeignKey(Plan, on_delete=models.CASCADE, related_name="choices")
    measure = models.CharField(max_length=100)
    answer = models.CharField(max_length=10, choices=Answer.choices)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "measure"], name="one_answer_a_measure")
        ]

    def __str__(self) -> str:
        return f"{self.measure}: {self.answer}"


class Quote(models.Model):
    """What the chosen work will cost: a firm's quote, or the program's price list."""

    plan = models.ForeignKey(Plan, on_delete=models.PROTECT, related_name="quotes")
    firm = models.ForeignKey(
        Firm, on_delete=models.PROTECT, null=True, blank=True, related_name="quotes"
    )
    is_price_list = models.BooleanField(default=False)
    file = models.ForeignKey(
        StoredFile, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    quoted_on = models.DateField()
    is_current = models.BooleanField(default=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["plan"], condition=Q(is_current=True), name="one_current_quote_a_plan"
            ),
            models.CheckConstraint(
                condition=Q(is_price_list=True) | Q(firm__isnull=False),
                name="quote_names_its_source",
            ),
        ]

    def __str__(self) -> str:
        return f"quote {self.pk}"


class QuoteLine(models.Model):
    """The price of one measure in a quote."""

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="lines")
    measure = models.CharField(max_length=100)
    quantity = models.FloatField()
    unit = models.CharField(max_length=20)
    amount_usd = models.DecimalField(max_digits=10, decimal_places=2)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["quote", "measure"], name="one_price_a_measure"),
            models.CheckConstraint(condition=Q(amount_usd__gte=0), name="price_not_negative"),
        ]

    def __str__(self) -> str:
        return f"{self.measure}: ${self.amount_usd}"


class SubsidyRequest(models.Model):
    """A homeowner's request that the program pay part of the chosen work."""

    number = models.CharField(max_length=20, unique=True)
    casefile = models.ForeignKey(
        Casefile, on_delete=models.PROTECT, related_name="subsidy_requests"
    )
    plan = models.ForeignKey(Plan, on_delete=models.PROTECT, related_name="subsidy_requests")
    quote = models.ForeignKey(Quote, on_delete=models.PROTECT, related_name="subsidy_requests")
    run = models.ForeignKey(
        ModelRun,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="subsidy_requests",
    )
    state = models.CharField(
        max_length=20, choices=SubsidyState.choices, default=SubsidyState.DRAFT
    )
    measures = models.JSONField(default=list)
    rule_set = models.ForeignKey(
        RuleSet, on_delete=models.PROTECT, null=True, blank=True, related_name="subsidy_requests"
    )
    facts = models.JSONField(default=dict, blank=True)
    ruling = models.JSONField(default=dict, blank=True)
    amount_usd = models.DecimalField(max_digits=10, decimal_places=2, default=0)
    consent_text = models.TextField(blank=True)
    consented_by = models.CharField(max_length=200, blank=True)
    consented_at = models.DateTimeField(null=True, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    decided_at = models.DateTimeField(null=True, blank=True)
    decided_by = models.CharField(max_length=200, blank=True)
    decision_note = models.TextField(blank=True)
    decide_by_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(
                fields=["casefile"],
                condition=Q(state__in=[str(state) for state in LIVE_SUBSIDY]),
                name="one_live_subsidy_request_a_casefile",
            ),
            models.CheckConstraint(condition=Q(amount_usd__gte=0), name="subsidy_not_negative"),
        ]

    def __str__(self) -> str:
        return self.number

    @property
    def casefile_number(self) -> str:
        """The casefile it belongs to."""
        return self.casefile.number


class Fund(models.Model):
    """Money of one fuel in one county for one year. The sums follow the ledger."""

    code = models.CharField(max_length=40, unique=True)
    name = models.CharField(max_length=120)
    county = models.ForeignKey(County, on_delete=models.PROTECT, related_name="funds")
    fuel = models.CharField(max_length=20)
    year = models.PositiveSmallIntegerField()
    allotted_usd = models.DecimalField(max_digits=12, decimal_places=2, default=0)
    committed_usd = models.DecimalField(max_digits=12, decimal_places=2, default=0)
    paid_usd = models.DecimalField(max_digits=12, decimal_places=2, default=0)

    class Meta:
        ordering = ["code"]
        constraints = [
            models.UniqueConstraint(fields=["county", "fuel", "year"], name="one_fund_a_purpose"),
            models.CheckConstraint(
                condition=Q(allotted_usd__gte=F("committed_usd") + F("paid_usd")),
                name="fund_never_overcommitted",
            ),
            models.CheckConstraint(
                condition=Q(committed_usd__gte=0) & Q(paid_usd__gte=0),
                name="fund_sums_not_negative",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Reservation(models.Model):
    """Money held for one request, out of one or more funds, until a day."""

    request = models.OneToOneField(
        SubsidyRequest, on_delete=models.PROTECT, related_name="reservation"
    )
    amount_usd = models.DecimalField(max_digits=10, decimal_places=2)
    reserved_on = models.DateField()
    expires_on = models.DateField()
    released_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(amount_usd__gt=0), name="reservation_positive")
        ]

    def __str__(self) -> str:
        return f"${self.amount_usd} for {self.request}"


class LedgerEntry(models.Model):
    """One line of the fund ledger. Lines are written, never edited."""

    fund = models.ForeignKey(Fund, on_delete=models.PROTECT, related_name="entries")
    kind = models.CharField(max_length=10, choices=EntryKind.choices)
    amount_usd = models.DecimalField(max_digits=12, decimal_places=2)
    reservation = models.ForeignKey(
        Reservation,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="entries",
    )
    key = models.CharField(max_length=80, unique=True)
    at = models.DateTimeField()
    by = models.CharField(max_length=200)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["at", "pk"]
        verbose_name_plural = "ledger entries"
        constraints = [
            models.CheckConstraint(condition=Q(amount_usd__gt=0), name="ledger_amount_positive")
        ]

    def __str__(self) -> str:
        return f"{self.fund}: {self.kind} ${self.amount_usd}"
