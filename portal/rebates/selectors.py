"""Finding plans, requests and funds, within what a person may see."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.db.models import QuerySet

from portal.accounts.models import User
from portal.accounts.states import Role
from portal.core import clock
from portal.core.rules import Ruling
from portal.enrollment import selectors as enrollment
from portal.rebates.models import Fund, Plan, SubsidyRequest


def plans_for(user: User) -> QuerySet[Plan]:
    """The plans of a person's own homes; all of them for the program."""
    if not (user.has_role(Role.HOMEOWNER) or user.has_role(Role.PROGRAM_ADMIN)):
        return Plan.objects.none()
    return Plan.objects.filter(casefile__in=enrollment.casefiles_for(user)).select_related(
        "casefile__participation__dwelling__building__county",
        "casefile__participation__household",
        "run",
        "own_run",
    )


def requests_for(user: User) -> QuerySet[SubsidyRequest]:
    """The subsidy requests of a person's own homes; all of them for the program."""
    if not (user.has_role(Role.HOMEOWNER) or user.has_role(Role.PROGRAM_ADMIN)):
        return SubsidyRequest.objects.none()
    return (
        SubsidyRequest.objects.filter(casefile__in=enrollment.casefiles_for(user))
        .select_related(
            "casefile__participation__dwelling__building__county",
            "casefile__participation__household",
            "quote__firm",
            "rule_set",
            "plan",
            "run",
        )
        .prefetch_related("quote__lines")
    )


def funds_touched(request: SubsidyRequest, ruling: Ruling) -> list[Mapping[str, Any]]:
    """The funds a request draws on: what is left in each and what it would take."""
    wanted = {fuel: amount for fuel, amount in ruling.fuel_split.items() if amount > 0}
    county = request.casefile.participation.dwelling.building.county
    funds = Fund.objects.filter(county=county, year=clock.today().year, fuel__in=wanted).order_by(
        "code"
    )
    return [
        {
            "fund": fund,
            "left_usd": fund.allotted_usd - fund.committed_usd - fund.paid_usd,
            "wanted_usd": wanted.get(fund.fuel, Decimal(0)),
        }
        for fund in funds
    ]
