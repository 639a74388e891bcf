"""How sure the figures are, in words: the appendix's table, and the ranges of price and payback."""

from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy
from django.utils.translation import ngettext

from portal.core import clock
from portal.core.money import whole_usd
from portal.modeling.results import Analysis, MeasureResult, RangeInput

INPUTS: dict[str, str | Promise] = {
    "leakage_test": _lazy("Air leakage by the fan test"),
    "leakage_to_weather": _lazy("What wind and cold make of the leaks"),
    "heating_setpoint": _lazy("Heating temperature kept"),
    "cooling_setpoint": _lazy("Cooling temperature kept"),
    "heating_efficiency": _lazy("Efficiency of the heating"),
    "cooling_efficiency": _lazy("Efficiency of the cooling"),
    "attic_r": _lazy("Insulation in the attic"),
    "wall_r": _lazy("Insulation in the walls"),
    "foundation_r": _lazy("Insulation at the foundation"),
    "conductance": _lazy("Walls, ceilings and floors as built"),
    "window_u": _lazy("Heat through the glass"),
    "sun_let_in": _lazy("Sun through the glass"),
    "people": _lazy("People at home"),
    "plug_loads": _lazy("Plugs and appliances"),
    "hot_water_draw": _lazy("Hot water drawn"),
    "duct_leakage": _lazy("Leakage of the ducts"),
    "lamp_hours": _lazy("Hours the lamps burn"),
    "refrigerator_use": _lazy("Use of the refrigerators"),
    "heating_model": _lazy("The model itself, heating"),
    "cooling_model": _lazy("The model itself, cooling"),
    "work": _lazy("How well the work turns out"),
}
HOW: dict[str, str | Promise] = {
    "measured": _lazy("measured"),
    "nameplate": _lazy("from the nameplate"),
    "recorded": _lazy("seen and recorded"),
    "reported": _lazy("as you told us"),
    "default": _lazy("assumed"),
}
LEAST_SHARE = 0.005


def rows(analysis: Analysis) -> list[dict[str, str]]:
    """One row for each input that is not sure: how it was got, how far off it may be, its part."""
    return [
        {
            "key": f"range_input:{item.key}",
            "name": str(INPUTS.get(item.key, item.key.replace("_", " ").capitalize())),
            "how": str(HOW.get(item.how, item.how)),
            "spread": _spread(item),
            "part": _part(item.share),
            "source": item.source,
        }
        for item in analysis.range_inputs
    ]


def _spread(item: RangeInput) -> str:
    """One standard deviation, as people say it: a share of the value, or degrees."""
    if item.unit == "K":
        return _("±%(degrees).1f °F") % {"degrees": item.spread * 1.8}
    return _("±%(share).0f%%") % {"share": item.spread * 100.0}


def _part(share: float) -> str:
    if share < LEAST_SHARE:
        return _("next to nothing")
    return _("%(share).0f of 100") % {"share": max(share * 100.0, 1.0)}


def price_words(item: MeasureResult) -> str:
    """What work like this costs where bids are low and where they are high."""
    low, high = item.cost_low_usd, item.cost_high_usd
    if low is None or high is None or whole_usd(low) == whole_usd(high):
        return ""
    return _("Bids for work like this run from %(low)s to %(high)s.") % {
        "low": whole_usd(low),
        "high": whole_usd(high),
    }


def payback_words(item: MeasureResult, years: float, *, owner_share: float) -> str:
    """The year by which it is back, and between which years in eight of ten cases.

    ``years`` is what the owner pays over the expected saving; ``owner_share`` the owner's part of
    the full cost, which scales the range.
    """
    now = clock.today().year
    when = _("Paid back by about %(year)d") % {"year": now + round(years)}
    worth = item.worth
    if worth is None or worth.payback_low_years is None or worth.payback_high_years is None:
        return when
    low = now + round(worth.payback_low_years * owner_share)
    high = now + round(worth.payback_high_years * owner_share)
    if low == high or high - now > item.life_years:
        return when
    return _("Paid back by about %(year)d, likely between %(low)d and %(high)d") % {
        "year": now + round(years),
        "low": min(low, now + round(years)),
        "high": max(high, now + round(years)),
    }


def chance_words(analysis: Analysis) -> str:
    """How sure it is that the work together pays for itself at full cost."""
    worth = analysis.package.worth
    if worth is None or worth.chance_pays is None or not analysis.package.measure_ids:
        return ""
    tenths = round(worth.chance_pays * 10)
    return ngettext(
        "At full cost it pays for itself over its life in %(tenths)d case out of ten.",
        "At full cost it pays for itself over its life in %(tenths)d cases out of ten.",
        tenths,
    ) % {"tenths": tenths}


def method_words(analysis: Analysis) -> str:
    """What low and high mean, for a run of this kind or an older one."""
    if not analysis.range_inputs:
        return _(
            "Savings are worked out in the order of work, so that no saving is counted twice. The "
            "range says what the result would be if leakage, thermostat, efficiency and insulation "
            "were a little other than recorded."
        )
    return _(
        "Savings are worked out in the order of work, so that no saving is counted twice. Low and "
        "high are the figures that one home in ten like yours would stay under and one in ten "
        "would pass, if each value that is not sure is off as far as such values are. The table of "
        "what is not sure says how each was got and how much of the range it makes."
    )


def context_rows(analysis: Analysis) -> dict[str, Any]:
    """The appendix: its rows, and what is said above them."""
    return {"rows": rows(analysis), "chance": chance_words(analysis)}
