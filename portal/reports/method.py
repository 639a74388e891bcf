"""How the numbers were made, in words, and every derivation behind them."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from portal.core.money import usd, whole_usd
from portal.core.templatetags.figures import MINUS
from portal.core.templatetags.words import and_list
from portal.core.units import convert
from portal.intake import derived
from portal.intake.document import Reader
from portal.modeling import bill_words, measure_words, value_words
from portal.modeling import selectors as modeling
from portal.modeling.models import ModelRun
from portal.modeling.results import Analysis, Derivation
from portal.reports import range_words

# SI unit of a derivation -> the US unit it is shown in.
SHOWN = {
    "J": "MMBtu",
    "m³/s": "cfm",
    "m²": "ft²",
    "m": "ft",
    "m²·K/W": "R",
    "W": "Btu/h",
    "°C": "°F",
}
# Units with no spelling of their own at the edge: a factor, and what comes out.
SCALED = {
    "$/J": (convert(1.0, "MMBtu", "J"), "$ a million Btu"),
    "kg/J": (convert(1.0, "MMBtu", "J") * convert(1.0, "kg", "lb"), "lb a million Btu"),
    "W/K": (convert(1.0, "W", "Btu/h") / 1.8, "Btu/h·°F"),
    "kg": (convert(1.0, "kg", "lb"), "lb"),
    "K": (1.8, "°F"),
    "J": (convert(1.0, "J", "MMBtu"), "MMBtu"),
}
SI_SPELLING = {"m²·K/W": "m²K/W"}


def paragraphs(run: ModelRun, analysis: Analysis) -> list[str]:
    """The method in a few sentences."""
    return [
        _(
            "The auditor's record was turned into a model of this house and run hour by hour over "
            "a typical year of weather (%(weather)s). Engine %(engine)s, run %(run)d."
        )
        % {"weather": _weather(run, analysis), "engine": run.engine_version, "run": run.pk},
        *_bills(analysis),
        *_rates(analysis),
        range_words.method_words(analysis),
        *value_words.of_run(run),
        _("Weather, prices and habits differ from year to year, and so will your bills."),
    ]


def _weather(run: ModelRun, analysis: Analysis) -> str:
    """The station and who published the file; a run made before that was kept has the name."""
    source = run.weather_used.get("source", "")
    return f"{analysis.weather_name}; {source}" if source else analysis.weather_name


def _rates(analysis: Analysis) -> list[str]:
    """What a saving is worth on the household's rates."""
    names = modeling.rates_of(analysis)
    if not names:
        return []
    return [
        _(
            "Energy costs what it costs on %(rates)s. A saving is worth the last units it takes "
            "off each month's bill; the customer charge is paid whatever is used and is never "
            "counted as saved."
        )
        % {"rates": and_list(dict.fromkeys(names))}
    ]


def _bills(analysis: Analysis) -> list[str]:
    """How the model stands to the bills: what it was held against, what that changed, the fit."""
    told = bill_words.paragraphs(analysis.calibration)
    if analysis.is_calibrated:
        return told
    return [_("It is not calibrated. The ranges are wider for that."), *told]


NAMES: dict[str, str | Promise] = {
    "air_changes": _lazy("Air changes an hour at 50 pascals"),
    "infiltration": _lazy("Air that leaks in, mean of the year"),
    "heat_loss": _lazy("Heat that leaves in a heating season"),
    "part": _lazy("Heat that leaves by one part"),
    "attic_r": _lazy("R-value the attic counts as"),
    "heating_efficiency": _lazy("Efficiency of the heating over the season"),
    "annual_cost": _lazy("Energy cost of a usual year"),
    "energy_use": _lazy("Energy of one use in a year"),
    "energy": _lazy("Energy of one kind in a year"),
    "package_saving": _lazy("Saving of all the work together"),
    "package_worth": _lazy("What all the work together is worth"),
    "package_cost": _lazy("Cost of all the work together"),
    "package_subsidy": _lazy("What the program pays about, all together"),
    "duct_delivery": _lazy("Share of the heat the ducts deliver"),
    "payback": _lazy("Payback"),
    "quantity": _lazy("Size of the job"),
    "cost": _lazy("Price"),
    "subsidy": _lazy("What the program pays about"),
    "life": _lazy("How long it lasts"),
    "saving": _lazy("Saving"),
    "saving_alone": _lazy("Saving by itself"),
    "worth": _lazy("What it is worth"),
    "pick": _lazy("Its place in the order"),
    "equipment": _lazy("Now, or when it fails"),
    "left_alone": _lazy("Left as it is"),
    "range_input": _lazy("What is not sure"),
    "leakage": _lazy("Air leakage at 50 pascals"),
}
# What the report's own list names; the others are reached from their figure.
LISTED = (
    "air_changes", "infiltration", "heat_loss", "attic_r", "heating_efficiency", "annual_cost",
    "package_saving", "package_worth", "package_cost", "package_subsidy", "duct_delivery",
    "saving", "payback", "equipment", "bill_fit",
)  # fmt: skip


def derivations(analysis: Analysis, names: Mapping[str, str]) -> list[dict[str, Any]]:
    """Each derivation for its own page: formula, inputs with where each came from, source.

    ``names`` gives the auditor's name of each recorded thing by its key. The year of the house
    with the work done stands behind the savings and is not shown, so it is left out.
    """
    return [
        _plain(item, analysis, names)
        for item in analysis.derivations
        if not item.key.startswith("after.")
    ]


def program_derivations(
    analysis: Analysis, subsidies: Mapping[str, Decimal], rules: str
) -> list[dict[str, Any]]:
    """What the program pays, by its rules: of each job and of all of them."""
    source = rules or _("no rules in force on the day of this report")
    chosen = [item for item in analysis.measures if item.id in analysis.package.measure_ids]
    found = [
        _program(
            f"subsidy:{item.id}",
            name_of(f"subsidy:{item.id}", analysis, {}),
            whole_usd(subsidies.get(item.id, Decimal(0))),
            _("The job's part of what the rules pay, step by step; an estimate"),
            [(_("price"), whole_usd(item.cost_usd or 0.0), _("quote or price list"))],
            source,
        )
        for item in analysis.measures
    ]
    prices = [
        (measure_words.to_do(item.kind), whole_usd(item.cost_usd or 0.0), _("quote or price list"))
        for item in chosen
    ]
    paid = [
        (measure_words.to_do(item.kind), whole_usd(subsidies[item.id]), source)
        for item in chosen
        if item.id in subsidies
    ]
    cost = sum((item.cost_usd or 0.0) for item in chosen)
    found.append(
        _program(
            "package_cost", str(NAMES["package_cost"]), whole_usd(cost),
            _("Sum of the prices"), prices, _("quote or price list"),
        )
    )  # fmt: skip
    found.append(
        _program(
            "package_subsidy", str(NAMES["package_subsidy"]),
            whole_usd(sum(subsidies.values(), Decimal(0))),
            _("Sum of what the rules pay for each job, within their limits"), paid, source,
        )
    )  # fmt: skip
    return found


def _program(
    key: str, name: str, value: str, formula: str, inputs: list[tuple[str, str, str]], source: str
) -> dict[str, Any]:
    return {
        "key": key,
        "name": name,
        "value": value,
        "formula": formula,
        "source": source,
        "is_detail": key.startswith("subsidy:"),
        "inputs": [
            {"name": label, "value": amount, "how": _("recorded"), "path": "", "source": where}
            for label, amount, where in inputs
        ],
    }


def tested_derivations(reader: Reader) -> list[dict[str, Any]]:
    """How the air changes of the story were made, measured or not."""
    leakage = derived.blower_door(reader)
    inputs = []
    if leakage is not None:
        flow = convert(leakage.flow50_m3_per_s, "m3/s", "cfm")
        inputs.append((_("flow at 50 pascals"), f"{flow:,.0f} CFM50", _("blower door")))
    return [
        _program(
            "air_changes",
            str(NAMES["air_changes"]),
            _("not measured") if leakage is None else f"{leakage.ach50_per_h:.1f}",
            _("60 × flow at 50 pascals / heated volume"),
            inputs,
            "ASTM E779 and E1827 (memory)",
        )
    ]


def name_of(key: str, analysis: Analysis, names: Mapping[str, str]) -> str:
    """What a derivation is called: the number, and the job or the thing it belongs to."""
    head, _sep, rest = key.partition(":")
    title = str(NAMES.get(head, head.replace("_", " ").capitalize()))
    if not rest:
        return title
    measure = next((item for item in analysis.measures if item.id == rest), None)
    if measure is not None:
        return f"{title}: {measure_words.to_do(measure.kind)}"
    return f"{title}: {names.get(rest, rest)}"


def _plain(item: Derivation, analysis: Analysis, names: Mapping[str, str]) -> dict[str, Any]:
    return {
        "key": item.key,
        "name": name_of(item.key, analysis, names),
        "value": _never() if _is_never(item) else _figure(item.value, item.unit),
        "formula": item.formula,
        "is_detail": item.key.partition(":")[0] not in LISTED,
        "source": item.source,
        "inputs": [
            {
                "name": entry.name_key.rpartition(".")[2].replace("_", " "),
                "value": _figure(entry.value, entry.unit),
                "how": entry.how,
                "path": entry.path,
                "source": entry.source,
            }
            for entry in item.inputs
        ],
    }


def _is_never(item: Derivation) -> bool:
    """A payback of less than nothing says that nothing is paid back."""
    return item.key.startswith("payback:") and item.value < 0


def _never() -> str:
    return _("not paid back")


def _figure(value: float | str, unit: str) -> str:
    if isinstance(value, str):
        return value
    if unit == "$":
        return usd(Decimal(str(round(value, 2))))
    if unit == "share":
        return f"{value * 100.0:.1f}%"
    if unit in SCALED:
        factor, unit = SCALED[unit]
        value *= factor
    shown = SHOWN.get(unit)
    if shown is not None:
        value, unit = convert(value, SI_SPELLING.get(unit, unit), shown), shown
    digits = 0 if abs(value) >= 100 or unit == "year" else 1 if abs(value) >= 10 else 2
    sign = MINUS if round(value, digits) < 0 else ""
    return f"{sign}{abs(value):,.{digits}f} {unit}".strip()
