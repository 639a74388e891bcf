"""How the numbers of measures, package, equipment and ranges were made."""

from __future__ import annotations

from collections.abc import Sequence

from calcs.bills.account import Calibration
from calcs.derivations.making import HOURLY, made, worked
from calcs.results import (
    Derivation,
    DerivationInput,
    EquipmentFinding,
    LeftAlone,
    MeasureResult,
    Package,
    RangeInput,
    Saving,
    Worth,
)
from calcs.worth import Terms

SEQUENCE = "measures run in the order of work, each on the house the earlier ones left"
NIST = "NIST Handbook 135 formulas, year-end cash flows (memory)"
RANGES = (
    "10th, 50th and 90th percentile over the stated uncertainty of the inputs, seeded draws "
    "through a response fitted to runs of the model"
)


def work_of(
    package: Package,
    results: Sequence[MeasureResult],
    equipment: Sequence[EquipmentFinding],
    left: Sequence[LeftAlone],
    inputs: Sequence[RangeInput],
    terms: Terms,
) -> list[Derivation]:
    """Derivations of everything an analysis says of work."""
    found = [_package(package, inputs), _ventilation(package)]
    if package.worth is not None:
        found.append(_worth("package_worth", package.worth, package.saving, terms, life=None))
    for item in results:
        found += _measure(item, terms)
    found += [_equipment(item, terms) for item in equipment]
    for entry in left:
        found.append(_left_alone(entry))
    found += [_range_input(item) for item in inputs]
    return found


def _range(saving: Saving) -> tuple[DerivationInput, ...]:
    return (
        worked("low", saving.cost_low_usd, "$", RANGES),
        worked("high", saving.cost_high_usd, "$", RANGES),
    )


def _package(package: Package, inputs: Sequence[RangeInput]) -> Derivation:
    widest = tuple(
        DerivationInput(
            name_key=f"range.{item.key}", value=item.share, unit="share of the range",
            path=item.path, how=item.how, source=item.source,
        )
        for item in inputs[:5]
    )  # fmt: skip
    return made(
        "package_saving", "saving_of_the_package", package.saving.cost_usd, "$",
        "cost of the year before − cost of the year after all measures",
        (
            worked("cost_before", package.before.cost_usd, "$", HOURLY),
            worked("cost_after", package.after.cost_usd, "$", HOURLY),
            *_range(package.saving),
            *widest,
        ),
        SEQUENCE,
    )  # fmt: skip


def _ventilation(package: Package) -> Derivation:
    return made(
        "ventilation_needed", "fan_after_sealing", package.ventilation_needed_m3_per_s, "m³/s",
        "total rate by floor area and bedrooms − credit for infiltration − fans present",
        (worked("infiltration", package.after.infiltration_m3_per_s, "m³/s", HOURLY),),
        "ASHRAE 62.2-2016 with infiltration credit for existing homes (memory)",
    )  # fmt: skip


def _measure(item: MeasureResult, terms: Terms) -> list[Derivation]:
    found = [_quantity(item), _life(item)]
    if item.cost_usd is not None:
        found.append(_cost(item))
    alone = item.saving_alone
    found.append(
        made(
            f"saving_alone:{item.id}", "saving_of_a_measure_alone", alone.cost_usd, "$",
            "cost of the year as it is − cost of the year with this measure only",
            _range(alone), HOURLY,
        )
    )  # fmt: skip
    if item.saving is not None:
        found.append(
            made(
                f"saving:{item.id}", "saving_of_a_step", item.saving.cost_usd, "$",
                "cost of the year before this step − cost after it",
                (
                    worked("alone", alone.cost_usd, "$", "the same measure on the house as it is"),
                    *_range(item.saving),
                    *_fuels(item.saving),
                ),
                SEQUENCE,
            )
        )  # fmt: skip
    if item.worth is not None:
        saving = item.saving or item.saving_alone
        years = item.worth.simple_payback_years
        found.append(
            made(
                f"payback:{item.id}", "simple_payback", -1.0 if years is None else years, "yr",
                "full cost / saving of the first year; low and high over the draws of both",
                (
                    worked("cost", item.worth.cost_usd, "$", "quote or price list"),
                    worked("saving", saving.cost_usd, "$", HOURLY),
                    worked("life", item.life_years, "yr", item.life_source),
                ),
                NIST,
            )
        )  # fmt: skip
        found.append(
            _worth(f"worth:{item.id}", item.worth, saving, terms, life=(item.life_years,
                                                                        item.life_source))
        )  # fmt: skip
    if item.rank is not None:
        found.append(_pick(item))
    return found


def _fuels(saving: Saving) -> tuple[DerivationInput, ...]:
    return tuple(
        worked(f"energy.{fuel}", amount, "J", HOURLY) for fuel, amount in saving.energy_j.items()
    )


def _quantity(item: MeasureResult) -> Derivation:
    facts = tuple(
        worked(name, value if isinstance(value, (int, float)) else str(value), "")
        for name, value in item.reason_facts.items()
    )
    return made(
        f"quantity:{item.id}", "size_of_the_job", item.quantity, item.unit,
        "from the recorded sizes of what the measure works on", facts, "field record",
    )  # fmt: skip


def _life(item: MeasureResult) -> Derivation:
    return made(
        f"life:{item.id}", "useful_life", item.life_years, "yr", "read from the table named",
        (worked("table", item.life_source, ""),), item.life_source,
    )  # fmt: skip


def _cost(item: MeasureResult) -> Derivation:
    assert item.cost_usd is not None
    span = tuple(
        DerivationInput(name_key=name, value=value, unit="$", path="", how="recorded",
                        source="price list")
        for name, value in (("low", item.cost_low_usd), ("high", item.cost_high_usd))
        if value is not None
    )  # fmt: skip
    return made(
        f"cost:{item.id}", "full_cost", item.cost_usd, "$",
        "fixed part + price of a unit × quantity, or the firm's quote",
        (worked("quantity", item.quantity, item.unit, "field record"), *span),
        "quote or price list",
    )  # fmt: skip


def _worth(
    key: str, worth: Worth, saving: Saving, terms: Terms, *, life: tuple[float, str] | None
) -> Derivation:
    inputs = [
        worked("saving", saving.cost_usd, "$", HOURLY),
        worked("present_value", worth.present_value_usd, "$", NIST),
        worked("cost", worth.cost_usd, "$", "quote or price list"),
        worked("subsidy", worth.subsidy_usd, "$", "rules of the program"),
        worked("discount", terms.discount, "real rate a year", "rate in effect for this run"),
        worked("escalation", terms.escalation, "real rate a year", "rate in effect for this run"),
    ]
    if life is not None:
        inputs.append(worked("life", life[0], "yr", life[1]))
    return made(
        key, "net_present_value", worth.npv_usd, "$",
        "saving × present value factor over the life − full cost; to the owner, less the subsidy; "
        "SIR is the quotient; low, high and chance over the draws of saving and price",
        tuple(inputs), NIST,
    )  # fmt: skip


def _pick(item: MeasureResult) -> Derivation:
    npv = item.pick_npv_usd
    return made(
        f"pick:{item.id}", "value_when_picked", 0.0 if npv is None else npv, "$",
        "net present value, with what has to come first, on the house that the better picks left; "
        "what is there for others' sake has none of its own",
        (worked("saving_then", item.pick_saving_usd or 0.0, "$", HOURLY),),
        "greedy choice: run again after each pick",
    )  # fmt: skip


def _equipment(item: EquipmentFinding, terms: Terms) -> Derivation:
    inputs = [
        worked("saving_now", item.saving_now_usd, "$", HOURLY),
        worked("saving_at_failure", item.saving_at_failure_usd, "$", HOURLY),
        worked("annual_cost", item.annual_cost_now_usd or 0.0, "$", "price spread over the life"),
        worked("age", "" if item.age_years is None else item.age_years, "yr", "field record"),
        worked("life", item.life_years, "yr", item.life_source),
        worked("years_left", item.expected_years_left or 0.0, "yr", "median for this age"),
        worked("efficiency_today", item.efficiency_today, "share", "field record"),
        worked("efficiency_minimum", item.efficiency_minimum_new, "share", "federal minimum"),
        worked("efficiency_best", item.efficiency_best_new, "share", "what can be bought"),
        worked("discount", terms.discount, "real rate a year", "rate in effect for this run"),
    ]
    return made(
        f"equipment:{item.equipment_id}", "now_against_at_failure",
        item.npv_now_usd or 0.0, "$",
        "Σ over the horizon of chance that it still works × (yearly saving − yearly cost of the "
        "new unit) / (1 + d)^t; keep until about: year installed + life of the table",
        tuple(inputs),
        "life: " + item.life_source + "; spread around it: Weibull, shape of common practice",
    )  # fmt: skip


def _left_alone(entry: LeftAlone) -> Derivation:
    facts = tuple(
        worked(name, value if isinstance(value, (int, float)) else str(value), "")
        for name, value in entry.reason_facts.items()
    )
    year = entry.look_again_year
    return made(
        f"left_alone:{entry.subject}/{entry.item_id}/{entry.reason_key}", "left_as_it_is",
        0.0 if year is None else float(year), "year",
        "what was looked at, and the year to look again where there is one", facts,
        "field record; the table of lives named with the equipment",
    )  # fmt: skip


def _range_input(item: RangeInput) -> Derivation:
    return made(
        f"range_input:{item.key}", "spread_of_an_input", item.spread,
        "standard deviation of the logarithm" if item.shape == "lognormal" else item.unit,
        "by how the value was got; its share of the range is its squared correlation with the "
        "package's saving over the draws",
        (
            DerivationInput(name_key=item.key, value=item.share, unit="share of the range",
                            path=item.path, how=item.how, source=item.source),
        ),
        item.source,
    )  # fmt: skip


def of_bills(account: Calibration | None) -> list[Derivation]:
    """Derivations of what a run says of its bills."""
    if account is None:
        return []
    found = [
        made(
            f"bill_fit:{match.fuel}", "fit_to_bills", sum(match.fitted_j), "J",
            "model against weather-normalized bills, month by month: NMBE and CV(RMSE)",
            (
                worked("recorded", sum(match.recorded_j), "J", "model as recorded"),
                worked("fitted", sum(match.fitted_j), "J", "model as fitted"),
                worked("billed", sum(v for v in match.billed_j if v is not None), "J", "bills"),
            ),
            "ASHRAE Guideline 14 (definitions memory); limits as named with the fit",
        )
        for match in account.fuels
    ]  # fmt: skip
    known = {match.fuel for match in account.fuels}
    found += [
        made(
            f"bill_fit:{outcome.fuel}", "fit_to_bills", 0.0, "J",
            "bills of one fuel fitted to the weather of their own days", (),
            "variable-base degree-day fit (memory)",
        )
        for outcome in account.bills
        if outcome.fuel not in known
    ]  # fmt: skip
    found += [
        made(
            f"bill_change:{change.key}", "input_moved_by_bills", change.fitted, change.unit,
            "the fewest inputs moved, within limits, that make model and bills agree",
            (
                worked("recorded", change.recorded, change.unit, "field record"),
                worked("low", change.low, change.unit, "limit of the fit"),
                worked("high", change.high, change.unit, "limit of the fit"),
            ),
            "bounded least squares on finite differences; limits common practice, no source",
        )
        for change in account.changes
    ]  # fmt: skip
    return found
