"""What the landing page of each role shows."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Case, Count, F, IntegerField, Q, QuerySet, Sum, Value, When

from portal.accounts.models import User
from portal.accounts.states import Role
from portal.core import clock
from portal.enrollment import selectors as enrollment
from portal.enrollment.models import Casefile
from portal.places.models import CasePosition
from portal.rebates.models import Fund, LedgerEntry, SubsidyRequest
from portal.rebates.states import SubsidyState
from portal.works.models import Claim
from portal.works.states import ClaimState


def positions_for(user: User) -> QuerySet[CasePosition]:
    """The positions of the casefiles a person may see, the most urgent first."""
    return (
        CasePosition.objects.filter(casefile__in=enrollment.casefiles_for(user))
        .select_related(
            "casefile__participation__dwelling__building__county",
            "casefile__participation__household",
        )
        .order_by(F("due_on").asc(nulls_last=True), "pk")
    )


def position_for(user: User, casefile: Casefile) -> CasePosition | None:
    """The position of one casefile, if the person may see it."""
    return positions_for(user).filter(casefile=casefile).first()


def late_positions(today: date) -> QuerySet[CasePosition]:
    """Casefiles past their date."""
    return CasePosition.objects.filter(_late(today))


def _late(today: date) -> Q:
    """``CasePosition.is_late`` for the database; what is closed has no date."""
    return Q(due_on__lt=today)


WAITING = (SubsidyState.SENT, SubsidyState.REFERRED)


def desk_requests() -> QuerySet[SubsidyRequest]:
    """Subsidy requests that wait for a decision, the earliest date first."""
    return (
        SubsidyRequest.objects.filter(state__in=WAITING)
        .select_related(
            "casefile__participation__dwelling__building__county",
            "casefile__participation__household",
            "rule_set",
        )
        .order_by(
            Case(
                When(state=SubsidyState.SENT, then=Value(0)),
                default=Value(1),
                output_field=IntegerField(),
            ),
            F("decide_by_on").asc(nulls_last=True),
            "number",
        )
    )


def desk_claims() -> QuerySet[Claim]:
    """Claims that wait for the program, the earliest date first."""
    return (
        Claim.objects.filter(state__in=(ClaimState.SENT, ClaimState.ACCEPTED))
        .select_related("scope__casefile__participation__dwelling__building", "scope__award__firm")
        .order_by(F("answer_by_on").asc(nulls_last=True), "number")
    )


@dataclass(frozen=True)
class StageCount:
    """How many casefiles stand at a stage, and how many of them are late."""

    stage: str
    count: int
    late: int


def stage_counts() -> list[StageCount]:
    """Casefiles by stage, with the late ones, in one query."""
    today = clock.today()
    rows = CasePosition.objects.values("stage").annotate(
        count=Count("pk"), late=Count("pk", filter=_late(today))
    )
    return [StageCount(row["stage"], row["count"], row["late"]) for row in rows]


def funds_with_sums() -> list[dict[str, Any]]:
    """Every fund with what is left of it."""
    return [
        {
            "fund": fund,
            "left_usd": fund.allotted_usd - fund.committed_usd - fund.paid_usd,
            "share_committed": (fund.committed_usd + fund.paid_usd) / fund.allotted_usd
            if fund.allotted_usd
            else None,
        }
        for fund in Fund.objects.select_related("county").order_by("-year", "code")
    ]


def ledger_of(fund: Fund) -> QuerySet[LedgerEntry]:
    """The lines of a fund's ledger, oldest first."""
    return fund.entries.select_related("reservation__request").order_by("at", "pk")


def ledger_sums(fund: Fund) -> dict[str, Any]:
    """The sums the ledger itself comes to, by kind; the fund's own sums must agree."""
    return {
        row["kind"]: row["total"]
        for row in fund.entries.values("kind").order_by("kind").annotate(total=Sum("amount_usd"))
    }


def places_of(user: User) -> tuple[str, ...]:
    """The roles whose landing page a person may open, the first one theirs by default."""
    order = (Role.PROGRAM_ADMIN, Role.AUDITOR, Role.CONTRACTOR, Role.HOMEOWNER)
    return tuple(str(role) for role in order if user.has_role(role))
