"""How the numbers were made, in words, and every derivation behind them."""

from typing import Any

from django.utils.translation import gettext as _

from portal.core.units import convert
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
        % {"weather": analysis.weather_name, "engine": run.engine_version, "run": run.pk},
        _("It is not calibrated: no bills were used. The ranges are wider for that.")
        if not analysis.is_calibrated
        else _("It was fitted to your bills; the fit is stated with the derivations."),
        _(
            "Savings are worked out in the order of work, so that no saving is counted twice. The "
            "range says what the result would be if leakage, thermostat, efficiency and insulation "
            "were a little other than recorded."
        ),
        _("Weather, prices and habits differ from year to year, and so will your bills."),
    ]


def derivations(analysis: Analysis) -> list[dict[str, Any]]:
    """Each derivation for its own page: formula, inputs with where each came from, source."""
    return [_plain(item) for item in analysis.derivations]


def _plain(item: Derivation) -> dict[str, Any]:
    return {
        "key": item.key,
        "name": item.key.replace("_", " ").replace(":", ": "),
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
