"""Two decisions, one budget: the fund is never committed beyond what it holds."""

import threading
from collections.abc import Callable, Iterator
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.db.models import QuerySet

from portal.core import clock
from portal.core.errors import FundExhausted
from portal.places.selectors import ledger_sums
from portal.rebates.models import Fund, Plan, Quote, SubsidyRequest
from portal.rebates.services import funds, requests
from tests.factories import enrollment
from tests.journeys import homes

pytestmark = [pytest.mark.slow, pytest.mark.django_db(transaction=True)]

PATIENCE_S = 30


@pytest.fixture
def home() -> Iterator[homes.Walked]:
    homes.forget_analyses()
    with clock.at(homes.VISIT_MORNING), homes.papers_not_laid_out():
        yield homes.sent(homes.planned(homes.audited()))


def the_same_for_another_home(first: SubsidyRequest) -> SubsidyRequest:
    """A request for another home that comes to the same amount out of the same funds."""
    casefile = enrollment.casefile("4410000002", "15 Larch Street", "noor@mail.example")
    now = clock.now()
    plan = Plan.objects.create(casefile=casefile, run=first.run, created_at=now, changed_at=now)
    quote = Quote.objects.create(plan=plan, is_price_list=True, quoted_on=clock.today())
    for line in first.quote.lines.all():
        line.pk, line.quote, line._state.adding = None, quote, True
        line.save()
    second = SubsidyRequest.objects.get(pk=first.pk)
    second.pk, second._state.adding = None, True
    second.number = f"R-{casefile.number}-1"
    second.casefile, second.plan, second.quote = casefile, plan, quote
    second.save()
    return second


def contested(home: homes.Walked) -> tuple[list[SubsidyRequest], Fund]:
    """Two requests, and the fund that holds one share and a half."""
    assert home.request is not None
    both = [home.request, the_same_for_another_home(home.request)]
    split = requests.stored_ruling(home.request).fuel_split
    fuel, share = max(split.items(), key=lambda entry: entry[1])
    fund = Fund.objects.get(fuel=fuel, county=home.casefile.participation.dwelling.building.county)
    fund.allotted_usd = (share * Decimal("1.5")).quantize(Decimal("0.01"))
    fund.save()
    return both, fund


def at_once(acts: list[Callable[[], Any]]) -> list[Any]:
    """Do all of these at the same time, each on a connection of its own."""
    together = threading.Barrier(len(acts))
    came_of_it: list[Any] = [None] * len(acts)

    def run(place: int) -> None:
        try:
            with clock.at(homes.VISIT_MORNING):
                together.wait(PATIENCE_S)
                came_of_it[place] = acts[place]()
        except Exception as error:
            # Whatever it is, the test looks at it.
            came_of_it[place] = error
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(place,)) for place in range(len(acts))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(PATIENCE_S * 2)
    return came_of_it


def reserving(home: homes.Walked, request: SubsidyRequest) -> Callable[[], Any]:
    """Reserve for a request as the Desk does."""
    return lambda: requests.request_reserve(
        request_id=request.pk, firm=home.program.firm, actor=home.program.admin
    )


def test_of_two_reservations_at_once_the_fund_holds_one(home: homes.Walked) -> None:
    both, fund = contested(home)
    came_of_it = at_once([reserving(home, request) for request in both])
    refused = [one for one in came_of_it if isinstance(one, FundExhausted)]
    held = [one for one in came_of_it if isinstance(one, SubsidyRequest)]
    assert (len(held), len(refused)) == (1, 1), came_of_it
    fund.refresh_from_db()
    assert fund.committed_usd <= fund.allotted_usd
    assert ledger_sums(fund)["reserve"] == fund.committed_usd > 0
    states = sorted(SubsidyRequest.objects.values_list("state", flat=True))
    assert states == ["reserved", "sent"]


@pytest.mark.skipif(
    connection.vendor == "sqlite", reason="SQLite lets one writer in at a time, lock or no lock"
)
def test_without_the_lock_the_sum_and_the_ledger_part(
    home: homes.Walked, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The control: both read the fund before either writes, and one reservation is lost."""
    both, fund = contested(home)
    have_read = threading.Barrier(2)
    write = funds._write

    def write_after_both_have_read(*args: Any, **more: Any) -> Any:
        if args[0].pk == fund.pk:
            have_read.wait(PATIENCE_S)
        return write(*args, **more)

    monkeypatch.setattr(QuerySet, "select_for_update", lambda self, **_how: self)
    monkeypatch.setattr(funds, "_write", write_after_both_have_read)
    came_of_it = at_once([reserving(home, request) for request in both])
    assert all(isinstance(one, SubsidyRequest) for one in came_of_it), came_of_it
    fund.refresh_from_db()
    assert ledger_sums(fund)["reserve"] > fund.allotted_usd >= fund.committed_usd
