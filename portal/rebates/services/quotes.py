"""What the chosen work will cost: the program's price list, or a firm's written quote."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import BinaryIO

from django.db import transaction
from django.utils.translation import gettext as _

from portal.accounts.models import Firm
from portal.core import clock, files, trail
from portal.core.actors import Actor
from portal.core.errors import DomainError, ValuesRefused
from portal.core.money import to_cents
from portal.modeling import prices
from portal.modeling import selectors as modeling
from portal.modeling.results import MeasureResult
from portal.rebates import policies
from portal.rebates.models import Plan, Quote, QuoteLine
from portal.rebates.services.plans import chosen_measures, require_not_sent


@transaction.atomic
def quote_from_price_list(*, plan_id: int, actor: Actor) -> Quote:
    """Price the chosen measures by the program's own list.

    Raises
    ------
    DomainError
        Nothing is chosen, the list has no price for something chosen, or the request is with
        the program.
    """
    plan = _locked_plan(plan_id, actor)
    amounts = {item.id: list_amount(item, day=clock.today()) for item in _chosen_results(plan)}
    return _quote_keep(
        plan=plan, amounts=amounts, actor=actor, is_price_list=True, quoted_on=clock.today()
    )


@transaction.atomic
def quote_from_firm(
    *,
    plan_id: int,
    firm: Firm,
    amounts: Mapping[str, Decimal],
    quoted_on: date,
    actor: Actor,
    upload: BinaryIO | None = None,
    upload_name: str | None = None,
) -> Quote:
    """Keep a firm's quote: one price for each chosen measure, with its paper where there is one.

    Raises
    ------
    ValuesRefused
        A chosen measure has no price, a price is not above zero, or the date is in the future.
    """
    plan = _locked_plan(plan_id, actor)
    faults: dict[str, str] = {}
    for item in _chosen_results(plan):
        if amounts.get(item.id, Decimal(0)) <= 0:
            faults[item.id] = _("Enter the firm's price in dollars, more than 0.")
    if quoted_on > clock.today():
        faults["quoted_on"] = _("Enter the date on the quote; it cannot be after today.")
    if faults:
        raise ValuesRefused(_("Some prices are missing."), fields=faults)
    file = None
    if upload is not None:
        file = files.store_document(
            upload,
            name=upload_name,
            actor=actor,
            casefile_number=plan.casefile.number,
            field="file",
        )
    chosen = {item.id for item in _chosen_results(plan)}
    return _quote_keep(
        plan=plan,
        amounts={measure: amount for measure, amount in amounts.items() if measure in chosen},
        actor=actor,
        firm=firm,
        file_id=file.pk if file else None,
        quoted_on=quoted_on,
    )


def list_amount(item: MeasureResult, *, day: date) -> Decimal:
    """The list price of one measure of a home.

    Raises
    ------
    DomainError
        The list has no price for this kind of measure.
    """
    line = prices.price_list_on(day).get(item.kind)
    if line is None:
        raise DomainError(
            _("The price list has no price for “%(measure)s”.") % {"measure": item.kind},
            code="no_list_price",
        )
    return prices.list_price(line, quantity=item.quantity, unit=item.unit)


def _locked_plan(plan_id: int, actor: Actor) -> Plan:
    plan = Plan.objects.select_for_update().select_related("casefile", "run").get(pk=plan_id)
    policies.require_own_casefile(actor, plan.casefile)
    require_not_sent(plan)
    return plan


def _chosen_results(plan: Plan) -> list[MeasureResult]:
    analysis = modeling.analysis_of(plan.run)
    chosen = set(chosen_measures(plan))
    if not chosen:
        raise DomainError(_("Say yes to at least one measure first."), code="nothing_chosen")
    return [item for item in analysis.measures if item.id in chosen]


def _quote_keep(
    *,
    plan: Plan,
    amounts: Mapping[str, Decimal],
    actor: Actor,
    quoted_on: date,
    is_price_list: bool = False,
    firm: Firm | None = None,
    file_id: int | None = None,
) -> Quote:
    plan.quotes.filter(is_current=True).update(is_current=False)
    quote = Quote.objects.create(
        plan=plan,
        firm=firm,
        is_price_list=is_price_list,
        file_id=file_id,
        quoted_on=quoted_on,
    )
    by_id = {item.id: item for item in _chosen_results(plan)}
    QuoteLine.objects.bulk_create(
        QuoteLine(
            quote=quote,
            measure=measure,
            quantity=by_id[measure].quantity,
            unit=by_id[measure].unit,
            amount_usd=to_cents(amount),
        )
        for measure, amount in amounts.items()
    )
    source = "price list" if is_price_list else str(firm)
    trail.write(plan, actor=actor, verb="attached quote", target=source)
    return quote
