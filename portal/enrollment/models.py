"""Building, dwelling, household, utility account and participation: five separate things.

A duplex is one building with two dwellings that share an attic; a new household may move into
a treated dwelling; an account may be in somebody else's name.
"""

import uuid
from typing import ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q

from portal.enrollment.states import (
    BuildingKind,
    CasefileState,
    RequestState,
    Tenure,
)


class County(models.Model):
    """A county of the program's territory."""

    name = models.CharField(max_length=60, unique=True)

    class Meta:
        ordering = ["name"]
        verbose_name_plural = "counties"

    def __str__(self) -> str:
        return self.name


class ZipArea(models.Model):
    """A ZIP code in the territory and the county it counts for."""

    zip = models.CharField(max_length=5, unique=True)
    city = models.CharField(max_length=60)
    county = models.ForeignKey(County, on_delete=models.PROTECT, related_name="zip_areas")
    latitude_deg = models.FloatField()
    longitude_deg = models.FloatField()

    class Meta:
        ordering = ["zip"]

    def __str__(self) -> str:
        return f"{self.zip} {self.city}"


class Building(models.Model):
    """One building at one street address."""

    street = models.CharField(max_length=120)
    street_key = models.CharField(max_length=120, db_index=True)
    city = models.CharField(max_length=60)
    zip = models.CharField(max_length=5)
    county = models.ForeignKey(County, on_delete=models.PROTECT, related_name="buildings")
    kind = models.CharField(max_length=20, choices=BuildingKind.choices, blank=True)
    year_built = models.PositiveSmallIntegerField(null=True, blank=True)
    units = models.PositiveSmallIntegerField(null=True, blank=True)
    latitude_deg = models.FloatField(null=True, blank=True)
    longitude_deg = models.FloatField(null=True, blank=True)

    class Meta:
        ordering = ["street"]
        constraints = [
            models.UniqueConstraint(fields=["street_key", "zip"], name="one_building_an_address")
        ]

    def __str__(self) -> str:
        return f"{self.street}, {self.city}"


class Dwelling(models.Model):
    """One home inside a building."""

    building = models.ForeignKey(Building, on_delete=models.PROTECT, related_name="dwellings")
    unit = models.CharField(max_length=20, blank=True)

    class Meta:
        ordering = ["building", "unit"]
        constraints = [
            models.UniqueConstraint(fields=["building", "unit"], name="one_dwelling_a_unit")
        ]

    def __str__(self) -> str:
        unit = f", unit {self.unit}" if self.unit else ""
        return f"{self.building.street}{unit}, {self.building.city}"


class Household(models.Model):
    """The people living in a dwelling from one day to another."""

    dwelling = models.ForeignKey(Dwelling, on_delete=models.PROTECT, related_name="households")
    name = models.CharField(max_length=120)
    size = models.PositiveSmallIntegerField(null=True, blank=True)
    tenure = models.CharField(max_length=10, choices=Tenure.choices)
    language = models.CharField(max_length=8, default="en")
    moved_in_on = models.DateField(null=True, blank=True)
    moved_out_on = models.DateField(null=True, blank=True)

    def __str__(self) -> str:
        return self.name


class IncomeDeclaration(models.Model):
    """Income, kept apart because few may see it."""

    household = models.ForeignKey(
        Household, on_delete=models.CASCADE, related_name="income_declarations"
    )
    annual_usd = models.DecimalField(max_digits=10, decimal_places=2)
    household_size = models.PositiveSmallIntegerField()
    declared_on = models.DateField()
    is_verified = models.BooleanField(default=False)

    class Meta:
        ordering = ["-declared_on", "-pk"]

    def __str__(self) -> str:
        return f"income declared on {self.declared_on}"


class HouseholdMember(models.Model):
    """A person who signs in for a household."""

    household = models.ForeignKey(Household, on_delete=models.CASCADE, related_name="members")
    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="memberships"
    )
    since_on = models.DateField()
    until_on = models.DateField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["household", "user"],
                condition=Q(until_on__isnull=True),
                name="one_live_membership",
            )
        ]

    def __str__(self) -> str:
        return f"{self.user} of {self.household}"


class UtilityAccount(models.Model):
    """A residential account of the utility, as its customer file has it."""

    number = models.CharField(max_length=20, unique=True)
    dwelling = models.ForeignKey(
        Dwelling, on_delete=models.PROTECT, related_name="utility_accounts"
    )
    holder_name = models.CharField(max_length=120)
    rate_code = models.CharField(max_length=10)
    has_electricity = models.BooleanField(default=False)
    has_gas = models.BooleanField(default=False)
    opened_on = models.DateField(null=True, blank=True)
    closed_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["number"]

    def __str__(self) -> str:
        return self.number


class Participation(models.Model):
    """A household taking part, in a dwelling, from a day on."""

    household = models.ForeignKey(
        Household, on_delete=models.PROTECT, related_name="participations"
    )
    dwelling = models.ForeignKey(Dwelling, on_delete=models.PROTECT, related_name="participations")
    account = models.ForeignKey(
        UtilityAccount, on_delete=models.PROTECT, related_name="participations"
    )
    started_on = models.DateField()
    ended_on = models.DateField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["dwelling"],
                condition=Q(ended_on__isnull=True),
                name="one_live_participation_a_dwelling",
            )
        ]

    def __str__(self) -> str:
        return f"{self.household} at {self.dwelling}"


class Casefile(models.Model):
    """Everything about one participation, under one number."""

    number = models.CharField(max_length=20, unique=True)
    participation = models.OneToOneField(
        Participation, on_delete=models.PROTECT, related_name="casefile"
    )
    state = models.CharField(
        max_length=20, choices=CasefileState.choices, default=CasefileState.OPEN
    )
    opened_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["number"]

    def __str__(self) -> str:
        return self.number

    @property
    def casefile_number(self) -> str:
        """Its own number, under which the audit trail files it."""
        return self.number


class AuditRequest(models.Model):
    """A request for a free audit, begun without an account and resumable by its link."""

    ANSWER_FIELDS: ClassVar[tuple[str, ...]] = (
        "address",
        "account",
        "contact",
        "tenure",
        "home",
        "bothers",
    )

    key = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    state = models.CharField(max_length=20, choices=RequestState.choices, default=RequestState.OPEN)
    answers = models.JSONField(default=dict)
    begun_at = models.DateTimeField()
    screened_at = models.DateTimeField(null=True, blank=True)
    facts = models.JSONField(default=dict, blank=True)
    ruling = models.JSONField(default=dict, blank=True)
    account = models.ForeignKey(
        UtilityAccount,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="audit_requests",
    )
    casefile = models.OneToOneField(
        Casefile, on_delete=models.PROTECT, null=True, blank=True, related_name="audit_request"
    )

    class Meta:
        ordering = ["begun_at"]

    def __str__(self) -> str:
        return f"audit request {self.key}"

    @property
    def casefile_number(self) -> str:
        """The casefile it became, if it did."""
        return self.casefile.number if self.casefile else ""
