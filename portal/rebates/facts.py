"""The facts a ruling is asked about, gathered from the records.

What is not known is left out: an unknown fact is a shortfall, never a denial, and the rulebook
says which facts are due at which stage. Quantities are in the units of the rulebook.
"""

from collections.abc import Iterable, Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from portal.core import clock
from portal.core.units import convert
from portal.enrollment.models import Casefile
from portal.intake import derived
from portal.intake import selectors as intake
from portal.intake.document import Part, Reader
from portal.modeling import claims
from portal.modeling import selectors as modeling
from portal.modeling.models import ModelRun
from portal.modeling.results import MeasureResult
from portal.rebates.measures import rule_measure
from portal.rebates.models import Fund, LedgerEntry
from portal.rebates.states import EntryKind

HEAT_FUEL = {
    "natural_gas": "natural_gas",
    "electricity": "electricity",
    "fuel_oil": "oil",
    "propane": "propane",
    "wood": "wood",
}
# Digits kept of a converted quantity: far finer than any instrument, and the same on replay.
DIGITS = 6


def facts_for(
    *,
    casefile: Casefile,
    run: ModelRun,
    costs_usd: Mapping[str, Decimal],
    stage: str,
    applied_on: date | None = None,
) -> dict[str, Any]:
    """Facts of a plan or a request.

    Parameters
    ----------
    casefile, run
        The home, and the model run whose measures are meant.
    costs_usd
        Price of each measure asked about, by its id.
    stage
        ``estimate``, ``request`` or ``claim``.
    applied_on
        The day the complete request came in; today when it has not yet.
    """
    record = run.record
    reader = Reader(intake.record_document(record))
    analysis = modeling.analysis_of(run)
    chosen = [item for item in analysis.measures if item.id in costs_usd]
    day = clock.today()
    dates: dict[str, Any] = {"as_of": day.isoformat()}
    if applied_on is not None:
        dates["applied_on"] = dates["application_complete_on"] = applied_on.isoformat()
    return {
        "stage": stage,
        "dates": dates,
        "account": _account(casefile),
        "household": _household(casefile),
        "site": _site(casefile, reader, run),
        "funds": {"program_usd": _plain(_left_in_county(casefile, day))},
        "lines": _lines(chosen, reader, costs_usd),
        "history": _history(casefile),
        "other_rebates": [],
        "savings": claims.claims_told(run, [item.id for item in chosen]),
    }


def _plain(value: Decimal | float) -> float | str:
    return format(value, "f") if isinstance(value, Decimal) else round(value, DIGITS)


def _account(casefile: Casefile) -> dict[str, Any]:
    account = casefile.participation.account
    return {
        "is_active": account.closed_on is None,
        "rate_code": account.rate_code,
        "has_electric": account.has_electricity,
        "has_gas": account.has_gas,
    }


def _household(casefile: Casefile) -> dict[str, Any]:
    household = casefile.participation.household
    facts: dict[str, Any] = {"tenure": household.tenure}
    declared = household.income_declarations.first()
    if declared is not None:
        facts["size"] = declared.household_size
        facts["income_usd"] = _plain(declared.annual_usd)
        facts["income_is_verified"] = declared.is_verified
    elif household.size is not None:
        facts["size"] = household.size
    return facts


def _site(casefile: Casefile, reader: Reader, run: ModelRun) -> dict[str, Any]:
    building = casefile.participation.dwelling.building
    home = reader.section("dwelling")
    facts: dict[str, Any] = {
        "county": building.county.name,
        "units": home.number("units_in_building") or building.units,
    }
    if run.record.completed_at is not None:
        facts["audit_on"] = clock.program_date(run.record.completed_at).isoformat()
    year_built = home.value("year_built") or building.year_built
    if year_built:
        # Only the year is known: the first day of it is on record as "in that year".
        facts["built_on"] = str(year_built)
    heating = max(
        reader.items("heating_systems"),
        key=lambda item: item.si("load_share") or 0.0,
        default=None,
    )
    if heating is not None:
        facts["primary_heat_fuel"] = HEAT_FUEL.get(str(heating.value("fuel")))
    facts["has_central_cooling"] = any(
        item.value("kind") in ("central_air_conditioner", "heat_pump")
        for item in reader.items("cooling_systems")
    )
    leakage = derived.blower_door(reader)
    if leakage is not None:
        facts["ach50_before"] = _plain(leakage.ach50_per_h)
    return {name: value for name, value in facts.items() if value is not None}


def _left_in_county(casefile: Casefile, day: date) -> Decimal:
    county = casefile.participation.dwelling.building.county
    return sum(
        (
            fund.allotted_usd - fund.committed_usd - fund.paid_usd
            for fund in Fund.objects.filter(county=county, year=day.year)
        ),
        Decimal(0),
    )


def _history(casefile: Casefile) -> list[dict[str, Any]]:
    """What the program has paid at this dwelling before."""
    payments = LedgerEntry.objects.filter(
        kind=EntryKind.PAY,
        reservation__request__casefile__participation__dwelling=(casefile.participation.dwelling),
    ).select_related("reservation__request")
    return [
        {
            "measure": line["measure"],
            "amount_usd": line["amount_usd"],
            "paid_on": clock.program_date(entry.at).isoformat(),
        }
        for entry in payments
        if entry.reservation is not None
        for line in entry.reservation.request.ruling.get("lines", ())
        if line["kind"] == "measure"
    ]


def _lines(
    chosen: Iterable[MeasureResult], reader: Reader, costs_usd: Mapping[str, Decimal]
) -> list[dict[str, Any]]:
    """One line a measure of the rulebook; the jobs behind it are added up."""
    grouped: dict[str, list[MeasureResult]] = {}
    for item in chosen:
        name = rule_measure(item.kind)
        if name is not None:
            grouped.setdefault(name, []).append(item)
    return [
        {
            "measure": name,
            "line": name,
            "quote_usd": _plain(sum((costs_usd[item.id] for item in items), Decimal(0))),
            **FACTS_OF[name](items, reader),
        }
        for name, items in grouped.items()
    ]


def _fact(items: list[MeasureResult], name: str) -> float | None:
    found = [float(item.reason_facts[name]) for item in items if name in item.reason_facts]
    return sum(found) if found else None


def _air_sealing(items: list[MeasureResult], reader: Reader) -> dict[str, Any]:
    leakage = derived.blower_door(reader)
    removed = _fact(items, "flow50_removed_m3_per_s")
    if leakage is None or removed is None:
        return {}
    before = convert(leakage.flow50_m3_per_s, "m3/s", "cfm")
    return {
        "pre_cfm50": _plain(before),
        "post_cfm50": _plain(before - convert(removed, "m3/s", "cfm")),
    }


def _attic(items: list[MeasureResult], reader: Reader) -> dict[str, Any]:
    attics = {part.key: part for part in reader.items("attics")}
    wanted = [attics[item.target_id] for item in items if item.target_id in attics]
    area = sum(item.quantity for item in items)
    after = min(
        (float(item.reason_facts.get("r_target_m2k_per_w", 0.0)) for item in items),
        default=0.0,
    )
    return {
        "area_ft2": _plain(convert(area, "m2", "ft2")),
        "post_r": _plain(round(convert(after, "m²K/W", "R"), 1)),
        **_before(wanted),
    }


def _before(attics: list[Part]) -> dict[str, Any]:
    """The rulebook's own account of the old insulation: label R and condition.

    With several attics the best one counts: the rule must hold for each of them.
    """
    found = [
        (derived.attic_label_r_m2k_per_w(part), part.value("layer1_condition") or "good")
        for part in attics
    ]
    if not found:
        return {}
    nominal, condition = max(found, key=lambda entry: entry[0])
    return {
        "pre_r_nominal": _plain(round(convert(nominal, "m²K/W", "R"), 1)),
        "pre_condition": condition,
    }


def _wall(items: list[MeasureResult], reader: Reader) -> dict[str, Any]:
    wanted = {name for item in items for name in item.reason_facts.get("wall_ids", ())}
    walls = [part for part in reader.items("walls") if part.key in wanted]
    before = max((part.si("cavity_r") or 0.0 for part in walls), default=None)
    after = min(float(item.reason_facts.get("r_after_m2k_per_w", 0.0)) for item in items)
    facts: dict[str, Any] = {
        "net_area_ft2": _plain(convert(sum(item.quantity for item in items), "m2", "ft2")),
        "post_r": _plain(round(convert(after, "m²K/W", "R"), 1)),
        "cavity_is_full": True,
    }
    if before is not None:
        facts["pre_r_nominal"] = _plain(round(convert(before, "m²K/W", "R"), 1))
        facts["pre_condition"] = "good"
    return facts


def _rim(items: list[MeasureResult], reader: Reader) -> dict[str, Any]:
    after = min(float(item.reason_facts.get("r_after_m2k_per_w", 0.0)) for item in items)
    return {
        "length_ft": _plain(convert(sum(item.quantity for item in items), "m", "ft")),
        "post_r": _plain(round(convert(after, "m²K/W", "R"), 1)),
    }


def _duct_seal(items: list[MeasureResult], reader: Reader) -> dict[str, Any]:
    before = _fact(items, "leak25_before_m3_per_s")
    after = _fact(items, "leak25_after_m3_per_s")
    facts: dict[str, Any] = {
        "ducts_are_outside": reader.section("ducts").value("outside_heated_rooms") != "none"
    }
    tested = any(
        part.value("leaks_to") == "outside" and part.si("flow") is not None
        for part in reader.items("duct_tests")
    )
    if tested and before is not None and after is not None:
        facts["pre_outside_cfm25"] = _plain(convert(before, "m3/s", "cfm"))
        facts["post_outside_cfm25"] = _plain(convert(after, "m3/s", "cfm"))
    return facts


def _thermostat(items: list[MeasureResult], reader: Reader) -> dict[str, Any]:
    return {"quantity": sum(item.quantity for item in items)}


def _heat_pump(items: list[MeasureResult], reader: Reader) -> dict[str, Any]:
    """The rated output planned; ratings and load calculation come with the firm's quote."""
    return {"rated_btu_per_h": _plain(convert(sum(i.quantity for i in items), "W", "Btu/h"))}


FACTS_OF = {
    "air_sealing": _air_sealing,
    "attic": _attic,
    "wall": _wall,
    "rim": _rim,
    "duct_seal": _duct_seal,
    "thermostat": _thermostat,
    "heat_pump": _heat_pump,
}
