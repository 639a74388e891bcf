"""The fund ledger: money is locked first, then checked, then written.

The sums on the fund follow the ledger in the same transaction; a database constraint keeps
what is committed and paid from ever passing what was allotted.
"""

from collections.abc import Mapping
from datetime import timedelta
from decimal import Decimal

from django.db import transaction
from django.utils.translation import gettext as _

from portal.core import clock
from portal.core.actors import Actor
from portal.core.errors import DomainError, FundExhausted
from portal.core.money import usd
from portal.enrollment.models import County
from portal.rebates import policies
from portal.rebates.models import Fund, LedgerEntry, Reservation, SubsidyRequest
from portal.rebates.states import EntryKind


@transaction.atomic
def fund_open(*, county: County, fuel: str, year: int, amount_usd: Decimal, actor: Actor) -> Fund:
    """Open a fund and allot money to it."""
    policies.require_desk(actor)
    fund = Fund.objects.create(
        code=f"{county.name.lower()}-{fuel}-{year}",
        name=_("%(county)s %(fuel)s %(year)d")
        % {"county": county.name, "fuel": fuel.replace("natural_gas", "gas"), "year": year},
        county=county,
        fuel=fuel,
        year=year,
    )
    return fund_allot(fund_id=fund.pk, amount_usd=amount_usd, key=f"allot:{fund.code}", actor=actor)


@transaction.atomic
def fund_allot(
    *, fund_id: int, amount_usd: Decimal, key: str, actor: Actor, note: str = ""
) -> Fund:
    """Give a fund more money."""
    policies.require_desk(actor)
    fund = Fund.objects.select_for_update().get(pk=fund_id)
    _write(fund, EntryKind.ALLOT, amount_usd, key=key, actor=actor, note=note)
    fund.allotted_usd += amount_usd
    fund.save(update_fields=["allotted_usd"])
    return fund


def fund_reserve(
    *,
    request: SubsidyRequest,
    split: Mapping[str, Decimal],
    days: int,
    actor: Actor,
) -> Reservation:
    """Hold money for a locked request out of the funds of its county, fuel by fuel.

    Must be called inside the transaction that decides the request. ``split`` is dollars by
    fuel. The funds are locked in the order of their keys.

    Raises
    ------
    FundExhausted
        A fund cannot hold its share; nothing is cut to fit.
    DomainError
        The county has no fund for a fuel this year.
    """
    wanted = {fuel: amount for fuel, amount in split.items() if amount > 0}
    today = clock.today()
    county = request.casefile.participation.dwelling.building.county
    funds = list(
        Fund.objects.select_for_update()
        .filter(county=county, year=today.year, fuel__in=wanted)
        .order_by("pk")
    )
    for fuel in wanted.keys() - {fund.fuel for fund in funds}:
        message = _("%(county)s has no fund for %(fuel)s in %(year)d.") % {
            "county": county.name,
            "fuel": fuel.replace("_", " "),
            "year": today.year,
        }
        raise DomainError(message, code="no_fund")
    reservation = Reservation.objects.create(
        request=request,
        amount_usd=sum(wanted.values(), Decimal(0)),
        reserved_on=today,
        expires_on=today + timedelta(days=days),
    )
    for fund in funds:
        amount = wanted[fund.fuel]
        left = fund.allotted_usd - fund.committed_usd - fund.paid_usd
        if amount > left:
            message = _("%(fund)s has %(left)s left; this needs %(amount)s.") % {
                "fund": fund.name,
                "left": usd(left),
                "amount": usd(amount),
            }
            raise FundExhausted(message)
        _write(
            fund,
            EntryKind.RESERVE,
            amount,
            key=f"reserve:{request.pk}:{fund.pk}",
            actor=actor,
            reservation=reservation,
            note=request.number,
        )
        fund.committed_usd += amount
        fund.save(update_fields=["committed_usd"])
    return reservation


def fund_release(*, reservation: Reservation, actor: Actor, note: str) -> None:
    """Give back what a reservation still holds; inside the caller's transaction."""
    if reservation.released_at is not None:
        return
    held = list(
        reservation.entries.filter(kind=EntryKind.RESERVE).values_list("fund_id", "amount_usd")
    )
    funds = {
        fund.pk: fund
        for fund in Fund.objects.select_for_update()
        .filter(pk__in=[fund_id for fund_id, _amount in held])
        .order_by("pk")
    }
    for fund_id, amount in held:
        fund = funds[fund_id]
        _write(
            fund,
            EntryKind.RELEASE,
            amount,
            key=f"release:{reservation.pk}:{fund.pk}",
            actor=actor,
            reservation=reservation,
            note=note,
        )
        fund.committed_usd -= amount
        fund.save(update_fields=["committed_usd"])
    reservation.released_at = clock.now()
    reservation.save(update_fields=["released_at"])


def _write(
    fund: Fund,
    kind: EntryKind,
    amount_usd: Decimal,
    *,
    key: str,
    actor: Actor,
    reservation: Reservation | None = None,
    note: str = "",
) -> LedgerEntry:
    return LedgerEntry.objects.create(
        fund=fund,
        kind=kind,
        amount_usd=amount_usd,
        reservation=reservation,
        key=key,
        at=clock.now(),
        by=actor.actor_label,
        note=note,
    )
