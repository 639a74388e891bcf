"""How the numbers were made, in words, and every derivation behind them."""

from collections.abc import Mapping
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from portal.core.templatetags.words import and_list
from portal.core.units import convert
from portal.modeling import bill_words, measure_words, value_words
from portal.modeling import selectors as modeling
from portal.modeling.models import ModelRun
from portal.modeling.results import Analysis, Derivation

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
        _(
            "Savings are worked out in the order of work, so that no saving is counted twice. The "
            "range says what the result would be if leakage, thermostat, efficiency and insulation "
            "were a little other than recorded."
        ),
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
    "infiltration": _lazy("Air that leaks in, mean of the year"),
    "heat_loss": _lazy("Heat that leaves in a heating season"),
    "attic_r": _lazy("R-value the attic counts as"),
    "heating_efficiency": _lazy("Efficiency of the heating over the season"),
    "annual_cost": _lazy("Energy cost of a usual year"),
    "package_saving": _lazy("Saving of all the work together"),
    "duct_delivery": _lazy("Share of the heat the ducts deliver"),
    "payback": _lazy("Payback"),
    "quantity": _lazy("Size of the job"),
    "saving": _lazy("Saving"),
    "leakage": _lazy("Air leakage at 50 pascals"),
}


def derivations(analysis: Analysis, names: Mapping[str, str]) -> list[dict[str, Any]]:
    """Each derivation for its own page: formula, inputs with where each came from, source.

    ``names`` gives the auditor's name of each recorded thing by its key.
    """
    return [_plain(item, analysis, names) for item in analysis.derivations]


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
        "value": _figure(item.value, item.unit),
        "formula": item.formula,
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


def _figure(value: float | str, unit: str) -> str:
    if isinstance(value, str):
        return value
    shown = SHOWN.get(unit)
    if shown is not None:
        value, unit = convert(value, SI_SPELLING.get(unit, unit), shown), shown
    digits = 0 if abs(value) >= 100 else 1 if abs(value) >= 10 else 2
    return f"{value:,.{digits}f} {unit}".strip(" -")
