"""Safety verdicts and the efficiency of burners."""

from collections.abc import Iterator

from django.utils.translation import gettext as _

from calcs import combustion, safety_limits
from calcs.errors import CalcsError
from portal.intake import verdicts
from portal.intake.document import Reader
from portal.intake.live.base import LiveResult
from portal.intake.units_shown import surface
from portal.intake.values import figure


def of_safety(reader: Reader) -> Iterator[LiveResult]:
    for judged in verdicts.judge(reader):
        verdict = judged.verdict
        yield LiveResult(
            key=verdict.test,
            section=judged.section,
            value=f"{judged.reading_words}. {judged.saying}",
            limit=judged.limit_words,
            how=_verdict_formula(reader, judged),
            source=judged.source_words,
            fails=judged.fails,
            stops_work=verdict.stops_work,
            field=judged.field,
            item=judged.item,
            numbers=(
                ("reading", verdict.reading),
                ("limit", verdict.limit),
                ("unit", verdict.unit),
                ("passes", verdict.passes),
            ),
        )


def _verdict_formula(reader: Reader, judged: verdicts.Judged) -> str:
    if judged.verdict.test == "depressurization":
        zone = reader.item("combustion_zones", judged.item)
        assert zone is not None, "the verdict was made from this zone"
        return _("Worst case less baseline: %(worst)s − (%(base)s) = %(net)s Pa.") % {
            "worst": figure(zone.si("worst_case") or 0.0),
            "base": figure(zone.si("baseline") or 0.0),
            "net": figure(judged.verdict.reading),
        }
    if judged.verdict.test == "appliance_co":
        burner = reader.item("combustion_appliances", judged.item)
        assert burner is not None, "the verdict was made from this burner"
        o2, ppm = burner.si("o2"), burner.si("co_measured")
        if o2 is not None and ppm is not None and judged.verdict.reading != ppm:
            return _("%(ppm)s × 20.9 ÷ (20.9 − %(o2)s), air-free.") % {
                "ppm": figure(ppm),
                "o2": figure(o2),
            }
        return _("As measured.")
    if judged.verdict.test == "draft":
        intercept = reader.limits.apply(safety_limits.DRAFT_LIMITS["intercept"]).value
        return _(
            "The limit follows the outdoor temperature: T ÷ 40 − %(intercept)s between 10 and "
            "90 °F."
        ) % {"intercept": figure(abs(intercept))}
    return ""


# The analyses of the model, by the fuels of the sheet.
ANALYSIS_OF = {"natural_gas": "natural_gas", "propane": "propane", "fuel_oil": "fuel_oil_2"}


def of_efficiency(reader: Reader) -> Iterator[LiveResult]:
    for burner in reader.items("combustion_appliances"):
        o2, stack, air = (
            burner.si("o2"), burner.si("stack_temp"), burner.si("combustion_air_temp"),
        )  # fmt: skip
        fuel = ANALYSIS_OF.get(burner.value("fuel") or "")
        if o2 is None or stack is None or air is None or fuel is None:
            continue
        try:
            found = combustion.combustion_efficiency(
                combustion.fuel_analysis(fuel), o2, stack_c=stack, combustion_air_c=air
            )
        except CalcsError as error:
            yield LiveResult(
                "combustion_efficiency", "combustion", _("Efficiency not worked out"),
                how=f"{error}.", field="stack_temp", item=burner.key,
            )  # fmt: skip
            continue
        net = surface(stack, "degC", "°F") - surface(air, "degC", "°F")
        yield LiveResult(
            "combustion_efficiency",
            "combustion",
            _("%s%% of the fuel’s heat stays, at steady state")
            % figure(round(found.efficiency_pct, 1)),
            how=_(
                "Net stack %(net)s °F, %(o2)s%% oxygen: dry gas takes %(dry)s, water vapor "
                "%(wet)s of 100. Excess air %(excess)s%%."
            )
            % {
                "net": figure(round(net)),
                "o2": figure(o2),
                "dry": figure(round(found.dry_loss_pct, 1)),
                "wet": figure(round(found.vapor_loss_pct + found.latent_loss_pct, 1)),
                "excess": figure(round(found.excess_air_pct)),
            },
            source=_("energy balance on the higher heating value; it is not AFUE"),
            field="stack_temp",
            item=burner.key,
            numbers=(
                ("efficiency_pct", found.efficiency_pct),
                ("excess_air_pct", found.excess_air_pct),
                ("dew_point_c", found.dew_point_c),
                ("is_condensing", found.is_condensing),
            ),
        )
