"""What bills said, in words: the fit, what was flagged, why refused, what the model changed."""

from collections.abc import Callable, Sequence
from datetime import date

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy
from django.utils.translation import ngettext

from portal.core.templatetags.words import and_list, day, short_day
from portal.core.units import convert
from portal.modeling.results import (
    BillsOutcome,
    Calibration,
    Change,
    Flag,
    FuelMatch,
    MeasuredSaving,
    Reason,
    Refusal,
)

FUELS: dict[str, str | Promise] = {
    "natural_gas": _lazy("gas"),
    "electricity": _lazy("electricity"),
    "propane": _lazy("propane"),
    "fuel_oil": _lazy("oil"),
}
LIMITS: dict[str, str | Promise] = {
    "guideline_14": _lazy("within the published limits for a year of months (5 % and 15 %)"),
    "bpi_2400": _lazy("within the wider published limits for homes (5 % and 20 %)"),
}
OUTSIDE: str | Promise = _lazy("outside the published limits")


def fuel_word(fuel: str) -> str:
    """A fuel as it is called inside a sentence."""
    return str(FUELS.get(fuel, fuel.replace("_", " ")))


def degrees_f(celsius: float) -> str:
    """A temperature in whole °F."""
    return f"{convert(celsius, '°C', '°F'):.0f}"


def on(day_iso: str) -> str:
    """A day of the records as people write it."""
    return str(day(date.fromisoformat(day_iso)))


# -- The fit ---------------------------------------------------------------------------------------


def fit_words(outcome: BillsOutcome) -> str:
    """One sentence on the bills of one fuel: how they follow the weather, or why not."""
    if outcome.fit is None:
        return _("The %(fuel)s bills could not be used: %(why)s") % {
            "fuel": fuel_word(outcome.fuel),
            "why": refusal_words(outcome.refusal),
        }
    fit = outcome.fit
    limits = str(LIMITS[outcome.within[0]]) if outcome.within else str(OUTSIDE)
    return _(
        "%(count)d bills for %(fuel)s, %(first)s to %(last)s, %(shape)s. Against the weather of "
        "their own days: R² %(r2).2f, CV(RMSE) %(cv).0f %%, %(limits)s. A usual year comes to "
        "%(annual)s %(unit)s, give or take %(error)s."
    ) % {
        "count": fit.periods,
        "fuel": fuel_word(outcome.fuel),
        "first": on(outcome.first_on),
        "last": on(outcome.last_on),
        "shape": _shape(outcome),
        "r2": fit.r_squared,
        "cv": abs(fit.cv_rmse_pct),
        "limits": limits,
        "annual": f"{outcome.normal_annual or 0.0:,.0f}",
        "unit": outcome.unit,
        "error": f"{outcome.normal_error or 0.0:,.0f}",
    }


def _shape(outcome: BillsOutcome) -> str:
    fit = outcome.fit
    if fit is None:
        return ""
    warm = "" if fit.heating_base_c is None else degrees_f(fit.heating_base_c)
    cool = "" if fit.cooling_base_c is None else degrees_f(fit.cooling_base_c)
    if warm and cool:
        return _("rising below %(warm)s °F and above %(cool)s °F outside") % {
            "warm": warm,
            "cool": cool,
        }
    if warm:
        return _("rising below %(warm)s °F outside") % {"warm": warm}
    if cool:
        return _("rising above %(cool)s °F outside") % {"cool": cool}
    return _("the same in any weather")


REFUSALS: dict[str, str | Promise] = {
    "too_few_bills": _lazy("%(bills)d bills are too few; at least %(needed)d are needed."),
    "no_weather": _lazy(
        "the daily weather of their dates is not loaded (%(with_weather)d of %(bills)d bills "
        "have it)."
    ),
    "nothing_used": _lazy("nothing was used."),
    "net_use_near_zero": _lazy(
        "own production takes away almost all of the use, so that nothing relative can be said."
    ),
    "fills_are_not_use": _lazy("a delivered fuel is billed when the tank is filled, not used."),
    "no_form_is_possible": _lazy("no straight line on the weather describes them."),
    "does_not_follow_weather": _lazy(
        "they do not follow the weather (R² %(r_squared).2f, scatter %(cv_rmse_pct).0f %% where "
        "%(limit_cv_rmse_pct).0f %% is the limit)."
    ),
}


def refusal_words(refusal: Refusal | None) -> str:
    """Why bills gave no fit."""
    if refusal is None:
        return ""
    return str(REFUSALS[refusal.code]) % dict(refusal.facts)


# -- What was flagged ------------------------------------------------------------------------------

FLAGS: dict[str, str | Promise] = {
    "joined_estimates": _lazy("estimated reads were joined to the next actual one"),
    "estimate_never_settled": _lazy("an estimated read that no actual one settled was left out"),
    "corrected": _lazy("a read was corrected; the correction counts"),
    "repeated": _lazy("a bill came twice and counts once"),
    "overlaps": _lazy("two bills overlapped; the later one counts"),
    "dates_overlap": _lazy("two bills overlap by a few days"),
    "no_days": _lazy("a bill without days was left out"),
    "days_disagree": _lazy("the days billed are not those between the reads"),
    "statements_disagree": _lazy("two figures of one bill disagree"),
    "gap": _lazy("bills are missing"),
    "long": _lazy("a bill covers more than 45 days"),
    "short": _lazy("a bill covers less than 20 days"),
    "noted": _lazy("the utility noted something"),
    "no_weather": _lazy("a bill whose weather is not loaded was left out"),
    "weather_incomplete": _lazy("a day of weather is missing and taken as the mean of the bill"),
    "stands_out": _lazy("a bill stands far off the line of the others; it was kept"),
    "less_than_a_year": _lazy("the bills cover less than a year"),
    "low_use": _lazy("so little is used that rounding shows"),
    "net_metered": _lazy("own production is taken off the use"),
    "own_production_added_back": _lazy("own production was added back"),
    "synthetic_weather": _lazy("the daily weather behind them is made up, for show"),
    "negative_base": _lazy("the line has no use left in mild weather"),
    "negative_slope": _lazy("use falls where it should rise"),
    "base_at_edge": _lazy("the temperature where heating begins is at the edge of what is tried"),
    "outside_published_limits": _lazy("the scatter is outside the published limits"),
}


def flag_words(flag: Flag) -> str:
    """One flag as a sentence, with its days where it has some."""
    return _flagged(_flag_text(flag), _spans([flag]))


def flags_words(outcomes: Sequence[BillsOutcome]) -> list[str]:
    """All flags of some bills: one sentence a kind, its days together, fuels apart if they differ.

    Both fuels are read on one day, so most is the same for both and said once.
    """
    found: dict[str, dict[str, list[Flag]]] = {}
    for outcome in outcomes:
        for flag in outcome.flags:
            found.setdefault(_flag_text(flag), {}).setdefault(outcome.fuel, []).append(flag)
    sentences = []
    for text, by_fuel in found.items():
        spans = {fuel: _spans(flags) for fuel, flags in by_fuel.items()}
        if len(spans) == len(outcomes) and len(set(map(tuple, spans.values()))) == 1:
            sentences.append(_flagged(text, next(iter(spans.values()))))
            continue
        sentences += [
            _("For %(fuel)s: %(text)s")
            % {"fuel": fuel_word(fuel), "text": _flagged(text[:1].lower() + text[1:], days)}
            for fuel, days in spans.items()
        ]
    return sentences


def _flag_text(flag: Flag) -> str:
    text = str(FLAGS[flag.code])
    if flag.code == "noted":
        text = _("the utility noted “%(note)s”") % {"note": flag.facts.get("note", "")}
    return text[:1].upper() + text[1:]


def _spans(flags: Sequence[Flag]) -> list[str]:
    return [
        _("%(first)s to %(last)s")
        % {
            "first": short_day(date.fromisoformat(flag.starts_on)),
            "last": short_day(date.fromisoformat(flag.ends_on)),
        }
        for flag in flags
        if flag.starts_on
    ]


def _flagged(text: str, spans: Sequence[str]) -> str:
    if not spans:
        return _("%(text)s.") % {"text": text}
    return _("%(text)s (%(days)s).") % {"text": text, "days": "; ".join(dict.fromkeys(spans))}


# -- What was saved, and why a fit scatters --------------------------------------------------------

REASONS: dict[str, str | Promise] = {
    "few_bills": _lazy(
        "%(percent).0f %% of the squared error is in the bills that end on %(days)s; the others "
        "alone scatter by %(cv).0f %%."
    ),
    "made_good": _lazy(
        "The bill that ends on %(short)s is short and that of %(over)s is over: a wrong read, made "
        "good later."
    ),
    "drift": _lazy("Use drifts with the years beyond what the weather explains."),
    "noted": _lazy("The utility noted something on %(count)d of the bills."),
}


def reason_words(reason: Reason) -> str:
    """One reason why a fit scatters."""
    facts = dict(reason.facts)
    days = facts.get("ends_on", ())
    told = {
        "percent": 100.0 * facts.get("share", 0.0),
        "cv": facts.get("cv_without_pct", 0.0),
        "days": and_list(on(item) for item in days),
        "count": len(days),
        "short": on(facts["short"]) if "short" in facts else "",
        "over": on(facts["over"]) if "over" in facts else "",
    }
    return str(REASONS[reason.code]) % told


def saving_words(found: MeasuredSaving, *, unit: str) -> str:
    """What was saved in a usual year, with its range and how it was got."""
    every, fewer = found.with_all, found.without_doubted
    return _(
        "In a usual year %(before)s %(unit)s before and %(after)s after: %(saving)s %(unit)s less "
        "(%(percent).0f %%). Without the %(left)d doubted bills it is %(fewer)s. The range, at "
        "%(sure).0f %% on both counts, is %(low)s to %(high)s."
    ) % {
        "before": f"{every.before_annual:,.0f}",
        "after": f"{every.after_annual:,.0f}",
        "unit": unit,
        "saving": f"{every.saving:,.0f}",
        "percent": 100.0 * every.fraction,
        "left": len(found.left_out_before) + len(found.left_out_after),
        "fewer": f"{fewer.saving:,.0f}",
        "sure": 100.0 * every.confidence,
        "low": f"{found.low:,.0f}",
        "high": f"{found.high:,.0f}",
    }


# -- What the model changed ------------------------------------------------------------------------

Told = Callable[[Change], str]


def _setpoint(words: str | Promise) -> Told:
    def told(change: Change) -> str:
        return str(words) % {
            "fitted": degrees_f(change.fitted),
            "recorded": degrees_f(change.recorded),
            "fuel": fuel_word(change.explains),
        }

    return told


def _share(more: str | Promise, less: str | Promise) -> Told:
    def told(change: Change) -> str:
        ratio = change.fitted / change.recorded
        return str(more if ratio > 1.0 else less) % {
            "percent": abs(round(100.0 * (ratio - 1.0))),
            "fuel": fuel_word(change.explains),
        }

    return told


TOLD: dict[str, Told] = {
    "heating_setpoint": _setpoint(
        _lazy(
            "A thermostat nearer %(fitted)s °F than %(recorded)s °F in winter explains the "
            "%(fuel)s bills."
        )
    ),
    "cooling_setpoint": _setpoint(
        _lazy(
            "A thermostat nearer %(fitted)s °F than %(recorded)s °F in summer explains the "
            "%(fuel)s bills."
        )
    ),
    "exposure": _share(
        _lazy(
            "Wind and draft that drive about %(percent)d %% more air through the leaks than the "
            "shelter recorded says explain the %(fuel)s bills."
        ),
        _lazy(
            "Wind and draft that drive about %(percent)d %% less air through the leaks than the "
            "shelter recorded says explain the %(fuel)s bills."
        ),
    ),
    "conductance": _share(
        _lazy(
            "Walls, ceilings and floors that let through about %(percent)d %% more heat than "
            "recorded explain the %(fuel)s bills."
        ),
        _lazy(
            "Walls, ceilings and floors that let through about %(percent)d %% less heat than "
            "recorded explain the %(fuel)s bills."
        ),
    ),
    "plugs": _share(
        _lazy(
            "Things plugged in that use about %(percent)d %% more than is usual explain the "
            "%(fuel)s bills."
        ),
        _lazy(
            "Things plugged in that use about %(percent)d %% less than is usual explain the "
            "%(fuel)s bills."
        ),
    ),
    "hot_water": _share(
        _lazy("Hot water use about %(percent)d %% above the usual explains the %(fuel)s bills."),
        _lazy("Hot water use about %(percent)d %% below the usual explains the %(fuel)s bills."),
    ),
}


def change_words(change: Change) -> str:
    """One change as a sentence: what, from what, and which bills it explains."""
    text = TOLD[change.key](change)
    if change.is_at_limit:
        text += " " + _("It stands at the limit of what was allowed; look at it again.")
    return text


def state_words(account: Calibration) -> str:
    """How the model stands to the bills, as one sentence."""
    count = len(account.changes)
    if account.state == "no_bills":
        return _("No bills could be used, so the model is as the auditor recorded the house.")
    if account.state == "as_recorded":
        return _("The house as recorded agrees with the bills; nothing was changed.")
    if account.state == "not_reconciled":
        return _(
            "No few changes make the model agree with the bills, so it is left as recorded. "
            "Look for what the record misses: another heater, rooms closed off, a person more."
        )
    return ngettext(
        "One change makes the model agree with the bills.",
        "%(count)d changes make the model agree with the bills.",
        count,
    ) % {"count": count}


LEFT_OUT: dict[str, str | Promise] = {
    "refused": _lazy("The %(fuel)s bills did not count."),
    "net_metered": _lazy("The %(fuel)s bills did not count: they are net of own production."),
    "too_few_months": _lazy("The %(fuel)s bills did not count: they cover too few months."),
    "not_in_the_house": _lazy("There are %(fuel)s bills, and the record has nothing that uses it."),
    "small_use": _lazy("The %(fuel)s bills did not count: too little is used to tell anything."),
}


def match_words(match: FuelMatch) -> str:
    """Model against bills of one fuel, as recorded and as fitted."""
    fuel = fuel_word(match.fuel)
    if match.left_out:
        return str(LEFT_OUT[match.left_out]) % {"fuel": fuel}
    if match.recorded_j == match.fitted_j:
        return _("For %(fuel)s the model is %(bias)s; months differ by %(cv).0f %%.") % {
            "fuel": fuel,
            "bias": _bias(match.nmbe_recorded_pct),
            "cv": match.cv_recorded_pct or 0.0,
        }
    return _(
        "For %(fuel)s the model was %(before)s as recorded, with months differing by "
        "%(cv_before).0f %%; now it is %(after)s, with %(cv_after).0f %%."
    ) % {
        "fuel": fuel,
        "before": _bias(match.nmbe_recorded_pct),
        "cv_before": match.cv_recorded_pct or 0.0,
        "after": _bias(match.nmbe_fitted_pct),
        "cv_after": match.cv_fitted_pct or 0.0,
    }


def _bias(nmbe_pct: float | None) -> str:
    """NMBE is billed less modeled: below zero the model is high."""
    share = nmbe_pct or 0.0
    if abs(share) < 0.5:
        return _("level with the bills")
    words = _("%(percent).0f %% above the bills") if share < 0 else _("%(percent).0f %% below them")
    return words % {"percent": abs(share)}


def paragraphs(account: Calibration | None) -> list[str]:
    """All of it, for the run's page and the report: changes, fit before and after, bills, flags."""
    if account is None or not account.bills:
        return [_("There are no bills of this household; the model was not held against any.")]
    found = [
        [state_words(account), *(change_words(change) for change in account.changes)],
        [match_words(match) for match in account.fuels if match.left_out != "refused"],
        [fit_words(outcome) for outcome in account.bills],
        flags_words(account.bills),
    ]
    return [" ".join(sentences) for sentences in found if sentences]
