"""Building the owner's report: one document, all figures rounded and in words, for web and PDF.

The document is plain JSON and is stored with the report: what was shown can be shown again.
"""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy
from django.utils.translation import ngettext

from portal.core import clock
from portal.core.errors import DomainError
from portal.core.money import whole_parts, whole_usd
from portal.core.templatetags.figures import range_dollars, range_short
from portal.core.templatetags.words import and_list, day
from portal.core.units import convert
from portal.intake import derived, verdicts
from portal.intake import selectors as intake
from portal.intake.document import Reader
from portal.intake.hazards import FIX_FIRST, STOP_NOW, Hazard
from portal.intake.words import label_words
from portal.modeling import measure_words, prices
from portal.modeling import selectors as modeling
from portal.modeling.models import ModelRun
from portal.modeling.results import Analysis, MeasureResult, Saving
from portal.rebates import rulings
from portal.reports import charts, method, range_words
from portal.reports.drawing import draw_section
from portal.reports.owner_words import ALSO, WHAT, WHO, WHO_ELSE, WHY, leave_words
from portal.reports.section_input import section_input

FIRST_ACTIONS = 3


@dataclass(frozen=True)
class OwnerReport:
    """The whole report as it is shown. Everything is text or a list of texts."""

    title: str
    before: str
    casefile: str
    address: str
    story: list[str]
    safety: list[dict[str, str]]
    first: list[dict[str, Any]]
    soon: list[dict[str, Any]]
    at_replacement: list[dict[str, Any]]
    blocked: list[dict[str, str]]
    total_words: str
    leave: list[dict[str, str]]
    drawing: dict[str, Any]
    charts: list[dict[str, Any]]
    energy_rows: list[dict[str, Any]]
    tests: list[dict[str, str]]
    not_seen: list[str]
    method: list[str]
    derivations: list[dict[str, Any]]
    built_on: str
    run: int
    engine_version: str
    weather: str
    is_calibrated: bool = False
    rules: str = ""
    foot: str = ""
    photos: list[dict[str, str]] = field(default_factory=list)
    ranges: dict[str, Any] = field(default_factory=dict)

    def plain(self) -> dict[str, Any]:
        """The report as JSON."""
        return asdict(self)


def build(run: ModelRun) -> OwnerReport:
    """The report of one finished run, in the active language."""
    analysis = modeling.analysis_of(run)
    record = run.record
    document = intake.record_document(record)
    reader = Reader(document)
    dwelling = run.casefile.participation.dwelling
    hazards = intake.open_hazards(record)
    subsidies, rules_name = _subsidies(run, analysis)
    grouped = _grouped(analysis)
    shown = _shown_savings(analysis)
    acts = [_act(item, analysis, subsidies, shown) for item in grouped["soon"]]
    safety = _safety(hazards)
    drawing = draw_section(section_input(reader, analysis, address=str(dwelling)))
    return OwnerReport(
        title=_title(analysis, reader, safety, acts, drawing.rows),
        before=_("%(address)s · built %(year)s · visit of %(day)s")
        % {
            "address": dwelling,
            "year": reader.section("dwelling").value("year_built") or _("in an unknown year"),
            "day": day(record.completed_at),
        },
        casefile=run.casefile.number,
        address=str(dwelling),
        story=_story(analysis, reader, safety, drawing.rows),
        safety=safety,
        first=acts[:FIRST_ACTIONS],
        soon=acts[FIRST_ACTIONS:],
        at_replacement=[_act(item, analysis, subsidies, shown) for item in grouped["later"]],
        blocked=_blocked(grouped["blocked"], hazards),
        total_words=_total_words(analysis, subsidies),
        leave=_leave(analysis),
        drawing={
            "wide": str(drawing.wide),
            "phone": str(drawing.phone),
            "print": str(drawing.print),
            "small": str(drawing.small),
            "rows": [asdict(row) for row in drawing.rows],
            "list_rows": [asdict(row) for row in drawing.list_rows],
            "total": asdict(drawing.total),
            "caption": drawing.caption,
            "others_line": drawing.others_line,
            "key": [
                {"svg": str(sign.svg), "name": sign.name, "means": sign.means}
                for sign in drawing.key
            ],
        },
        charts=_charts(analysis),
        energy_rows=_energy_rows(analysis),
        tests=_tests(reader),
        not_seen=_not_seen(document),
        method=method.paragraphs(run, analysis),
        derivations=[
            *method.derivations(analysis, _item_names(document)),
            *method.program_derivations(analysis, subsidies, rules_name),
            *method.tested_derivations(reader),
        ],
        ranges=range_words.context_rows(analysis),
        built_on=day(clock.today()),
        run=run.pk,
        engine_version=run.engine_version,
        weather=analysis.weather_name,
        is_calibrated=analysis.is_calibrated,
        rules=rules_name,
        foot=_("Your report · %(address)s · casefile %(number)s")
        % {"address": dwelling, "number": run.casefile.number},
    )


def _item_names(document: Mapping[str, Any]) -> dict[str, str]:
    return {
        str(item["key"]): str(item["name"])
        for items in document.get("items", {}).values()
        for item in items
    }


# -- Measures ----------------------------------------------------------------------------


def _grouped(analysis: Analysis) -> dict[str, list[MeasureResult]]:
    by_id = {item.id: item for item in analysis.measures}
    ranked = [by_id[name] for name in analysis.priorities if name in by_id]
    rest = [item for item in analysis.measures if item.verdict == "required" and item not in ranked]
    return {
        "soon": ranked + rest,
        "later": [item for item in analysis.measures if item.verdict == "plan_at_failure"],
        "blocked": [item for item in analysis.measures if item.verdict == "blocked"],
    }


def _subsidies(run: ModelRun, analysis: Analysis) -> tuple[dict[str, Decimal], str]:
    """What the program pays about for each advised measure, by the price list: an estimate."""
    price_list = prices.price_list_on(clock.today())
    costs = {
        item.id: prices.list_price(price_list[item.kind], quantity=item.quantity, unit=item.unit)
        for item in analysis.measures
        if item.id in analysis.package.measure_ids and item.kind in price_list
    }
    if not costs:
        return {}, ""
    try:
        rule_set, ruling = rulings.estimate(casefile=run.casefile, run=run, costs_usd=costs)
    except DomainError:
        # No rules in force today: the report then says nothing of a subsidy.
        return {}, ""
    return rulings.shares_by_measure(ruling, analysis, costs), str(rule_set)


def _saving(item: MeasureResult) -> Saving:
    return item.saving or item.saving_alone


def _shown_savings(analysis: Analysis) -> dict[str, Decimal]:
    """Most likely savings in whole dollars, which add up to the package's to the last digit."""
    steps = [item for item in analysis.measures if item.saving is not None]
    amounts = whole_parts([item.saving.cost_usd for item in steps if item.saving is not None])
    return {item.id: amount for item, amount in zip(steps, amounts, strict=True)}


def _act(
    item: MeasureResult,
    analysis: Analysis,
    subsidies: Mapping[str, Decimal],
    shown: Mapping[str, Decimal],
) -> dict[str, Any]:
    """One recommendation, as ``components/act.html`` takes it."""
    saving = _saving(item)
    cost = Decimal(str(round(item.cost_usd or 0.0, 2)))
    subsidy = subsidies.get(item.id, Decimal(0))
    largest = max(
        (_saving(other).cost_high_usd for other in analysis.measures), default=saving.cost_high_usd
    )
    return {
        "id": item.id,
        "group": str(_group_words(item)),
        "is_first": item.stage == "safety",
        "title": measure_words.to_do(item.kind),
        "why": str(WHY.get(item.reason_key, "")),
        "what": str(WHAT.get(item.kind, "")),
        "also": str(ALSO.get(item.kind, "")),
        "price": range_words.price_words(item),
        "made_of": f"saving:{item.id}" if item.saving is not None else f"saving_alone:{item.id}",
        "you_pay": whole_usd(cost - subsidy),
        "of": _of_words(cost, subsidy),
        "saves": _saves_words(saving, shown.get(item.id)),
        "pays_back": _payback(cost - subsidy, saving, item),
        "rangeline": str(
            charts.range_line(
                saving.cost_low_usd,
                saving.cost_usd,
                saving.cost_high_usd,
                scale_to=max(largest, saving.cost_high_usd, 1.0),
            )
        ),
        "who": str(WHO.get(item.kind, WHO_ELSE)),
        "quantity": measure_words.us_quantity_words(item.quantity, item.unit, item.kind)
        if item.unit != "each"
        else "",
        "lasts": _("about %(years).0f years (%(source)s)")
        % {"years": item.life_years, "source": item.life_source},
        "carbon": _("%(pounds)s lb of carbon dioxide a year")
        % {"pounds": f"{round(convert(saving.co2_kg, 'kg', 'lb'), -1):,.0f}"},
        "first_needs": and_list(
            dict.fromkeys(
                measure_words.thing(other.kind).lower()
                for other in analysis.measures
                if other.kind in item.requires and other.id in analysis.package.measure_ids
            )
        ),
    }


def _group_words(item: MeasureResult) -> str:
    if item.stage == "safety":
        return _("Fix first")
    if item.verdict == "plan_at_failure":
        return _("When you replace it")
    return _("Worth doing soon")


def _of_words(cost: Decimal, subsidy: Decimal) -> str:
    if subsidy > 0:
        return _("of %(cost)s; the program pays about %(subsidy)s") % {
            "cost": whole_usd(cost),
            "subsidy": whole_usd(subsidy),
        }
    return _("The program does not pay for this one")


def _payback(owner_usd: Decimal, saving: Saving, item: MeasureResult) -> str:
    """When what the owner pays is back; nothing where it would outlast the thing itself."""
    if saving.cost_usd <= 0:
        return ""
    years = float(owner_usd) / saving.cost_usd
    if years > item.life_years:
        return (
            _("It goes with the other work; alone it would not pay itself back")
            if item.verdict in ("do", "required")
            else _("It would not pay itself back over its life")
        )
    if years < 1.0:
        return _("Paid back within a year")
    full = item.cost_usd or 0.0
    return range_words.payback_words(
        item, years, owner_share=float(owner_usd) / full if full > 0.0 else 1.0
    )


# Less than this a year is nothing: a repair, or boards that only make room.
LEAST_TOLD_USD = 0.5


def _saves_words(saving: Saving, shown: Decimal | None) -> str:
    likely = Decimal(str(saving.cost_usd)) if shown is None else shown
    if likely < 0:
        return _("It costs about %(cost)s a year to run") % {"cost": whole_usd(-likely)}
    return str(range_dollars(saving.cost_low_usd, likely, saving.cost_high_usd))


def _total_words(analysis: Analysis, subsidies: Mapping[str, Decimal]) -> str:
    package = analysis.package
    cost = sum(
        (
            Decimal(str(round(item.cost_usd or 0.0, 2)))
            for item in analysis.measures
            if item.id in package.measure_ids
        ),
        Decimal(0),
    )
    subsidy = sum(subsidies.values(), Decimal(0))
    saving = package.saving
    return _(
        "All of it together: %(cost)s. The program pays about %(subsidy)s; you pay about "
        "%(owner)s. Together it saves %(range)s a year, most likely %(likely)s. The savings are "
        "worked out together, so nothing is counted twice."
    ) % {
        "cost": whole_usd(cost),
        "subsidy": whole_usd(subsidy),
        "owner": whole_usd(cost - subsidy),
        "range": range_short(saving.cost_low_usd, saving.cost_high_usd),
        "likely": whole_usd(saving.cost_usd),
    }


def _blocked(items: list[MeasureResult], hazards: tuple[Hazard, ...]) -> list[dict[str, str]]:
    words = {hazard.key: hazard.words for hazard in hazards}
    return [
        {
            "title": measure_words.to_do(item.kind),
            "why": " ".join(dict.fromkeys(words[name] for name in item.blocked_by if name in words))
            or str(WHY["open_hazard"]),
        }
        for item in items
    ]


def _leave(analysis: Analysis) -> list[dict[str, str]]:
    found = [
        {
            **leave_words(item.subject, item.reason_key, item.reason_facts, item.look_again_year),
            "made_of": f"left_alone:{item.subject}/{item.item_id}/{item.reason_key}",
        }
        for item in analysis.left_alone
    ]
    unique: dict[tuple[str, str], dict[str, str]] = {}
    for entry in found:
        unique.setdefault((entry["name"], entry["why"]), entry)
    return list(unique.values())


# -- Words on top ------------------------------------------------------------------------


def _safety(hazards: tuple[Hazard, ...]) -> list[dict[str, str]]:
    found = [
        {
            "lead": f"{hazard.where}.",
            "text": _("%(words)s %(who)s")
            % {
                "words": hazard.words,
                "who": _("Who must act: %(who)s.") % {"who": hazard.must_act},
            },
            "source": str(hazard.source),
        }
        for hazard in hazards
        if hazard.severity in (STOP_NOW, FIX_FIRST)
    ]
    if found:
        found.append(
            {
                "lead": "",
                "text": _(
                    "If an alarm sounds, you smell gas, or several people have a headache: go "
                    "outside, then call 911. Local codes and licensed trades come first."
                ),
                "source": "",
            }
        )
    return found


def _title(
    analysis: Analysis,
    reader: Reader,
    safety: list[dict[str, str]],
    acts: list[dict[str, Any]],
    rows: Any,
) -> str:
    if safety:
        return _("Make the house safe first. Then close what costs you the most.")
    largest = max(rows, key=lambda row: row.material + row.air)
    share = largest.material + largest.air
    if share:
        return _("Of every 100 parts of heat you pay for, %(share)d leave by the %(part)s.") % {
            "share": share,
            "part": largest.name.lower(),
        }
    return _("Your house, measured.")


def _story(
    analysis: Analysis, reader: Reader, safety: list[dict[str, str]], rows: Any
) -> list[str]:
    """Two short paragraphs about this house."""
    baseline = analysis.baseline
    lead = sorted(rows, key=lambda row: -(row.material + row.air))[:3]
    places = [row.name.lower() for row in lead if row.material + row.air]
    together = sum(row.material + row.air for row in lead)
    ach50 = derived.blower_door(reader)
    first = _(
        "In a usual year this house takes about %(cost)s of energy. Of every 100 parts of heat "
        "that leave it, %(together)d go out in three places: %(places)s."
    ) % {
        "cost": whole_usd(round(baseline.cost_usd, -1)),
        "together": together,
        "places": and_list(places),
    }
    count = len(analysis.package.measure_ids)
    saving = analysis.package.saving
    second = ngettext(
        "One job is worth doing soon. It saves %(range)s a year.",
        "%(count)d jobs are worth doing soon. Together they save %(range)s a year.",
        count,
    ) % {"count": count, "range": range_short(saving.cost_low_usd, saving.cost_high_usd)}
    if count == 0:
        second = _("Nothing has to be done now. What is there can stay.")
    if ach50 is not None:
        second += " " + _(
            "With the fan at 50 pascals, the air in the house changed %(ach).0f times an hour."
        ) % {"ach": ach50.ach50_per_h}
    else:
        second += " " + _("The leaks could not be measured; they are assumed.")
    return [first, second]


# -- Figures -----------------------------------------------------------------------------

FUEL_UNITS = {
    "natural_gas": ("therms", _lazy("gas")),
    "electricity": ("kWh", _lazy("electricity")),
    "propane": ("MMBtu", _lazy("propane")),
    "fuel_oil": ("MMBtu", _lazy("oil")),
}
USE_NAMES = {
    "heating": _lazy("Heating"),
    "cooling": _lazy("Cooling"),
    "fans_pumps": _lazy("Fans and pumps"),
    "hot_water": _lazy("Hot water"),
    "lighting": _lazy("Lights"),
    "refrigerator": _lazy("Refrigerators"),
    "cooking": _lazy("Cooking"),
    "laundry": _lazy("Laundry"),
    "other": _lazy("Everything else"),
}
FILLS = ("slanted", "level", "open", "solid")
MOST_LAYERS = 4


def _charts(analysis: Analysis) -> list[dict[str, Any]]:
    """One chart a fuel: the year by month and use, from the model."""
    found = []
    for fuel, total_j in analysis.baseline.energy_j.items():
        if total_j <= 0 or fuel not in FUEL_UNITS:
            continue
        unit, name = FUEL_UNITS[fuel]
        uses = sorted(
            (use for use in analysis.baseline.end_uses if use.fuel == fuel and use.annual_j > 0),
            key=lambda use: -use.annual_j,
        )
        layers = [
            charts.EndUse(
                name=str(USE_NAMES[use.end_use]),
                months=tuple(convert(value, "J", unit) for value in use.monthly_j),
                fill=FILLS[index],
            )
            for index, use in enumerate(uses[: MOST_LAYERS - 1])
        ]
        rest = uses[MOST_LAYERS - 1 :]
        if rest:
            layers.append(
                charts.EndUse(
                    name=str(_("The rest")),
                    months=tuple(
                        sum(convert(use.monthly_j[month], "J", unit) for use in rest)
                        for month in range(12)
                    ),
                    fill=FILLS[MOST_LAYERS - 1],
                )
            )
        chart = charts.EnergyChart(
            fuel=str(name), unit=unit, layers=tuple(layers), bills=_billed(analysis, fuel, unit)
        )
        largest = uses[0]
        share = largest.annual_j / total_j * 100
        found.append(
            {
                "heading": _("%(use)s takes %(share).0f of 100 parts of your %(fuel)s")
                % {"use": USE_NAMES[largest.end_use], "share": share, "fuel": name},
                "wide": str(charts.energy_chart(chart, prefix=f"year-{fuel}")),
                "print": str(charts.energy_chart(chart, prefix=f"year-{fuel}-p", is_print=True)),
                "narrow": str(charts.energy_chart(chart, prefix=f"year-{fuel}-n", is_narrow=True)),
            }
        )
    return found


def _billed(analysis: Analysis, fuel: str, unit: str) -> tuple[float | None, ...]:
    """What the bills come to in the months of the usual year; empty where none could be used."""
    account = analysis.calibration
    for match in () if account is None else account.fuels:
        if match.fuel == fuel and not match.left_out:
            return tuple(
                None if value is None else max(convert(value, "J", unit), 0.0)
                for value in match.billed_j
            )
    return ()


def _energy_rows(analysis: Analysis) -> list[dict[str, Any]]:
    """Energy of a year by use and fuel, for the table beside the charts."""
    rows = []
    for use in analysis.baseline.end_uses:
        if use.annual_j <= 0:
            continue
        unit, name = FUEL_UNITS[use.fuel]
        rows.append(
            {
                "cells": [
                    {"value": str(USE_NAMES[use.end_use])},
                    {"value": str(name)},
                    {"value": f"{convert(use.annual_j, 'J', unit):,.0f} {unit}", "is_number": True},
                ]
            }
        )
    return rows


def _tests(reader: Reader) -> list[dict[str, str]]:
    """What was tested, what it read, the limit and whose it is."""
    found = []
    leakage = derived.blower_door(reader)
    if leakage is not None:
        found.append(
            {
                "name": _("Air leakage of the house"),
                "reading": _("%(flow)s CFM50, %(ach).1f air changes an hour at 50 Pa")
                % {
                    "flow": f"{convert(leakage.flow50_m3_per_s, 'm3/s', 'cfm'):,.0f}",
                    "ach": leakage.ach50_per_h,
                },
                "limit": "",
                "says": _("A blower door is a fan in the front door that measures leaks."),
                "source": "",
                "fails": "",
            }
        )
    for judged in verdicts.judge(reader):
        found.append(
            {
                "name": str(verdicts.name_words(judged)),
                "reading": judged.reading_words,
                "limit": judged.limit_words,
                "says": judged.saying,
                "source": judged.source_words,
                "fails": "yes" if judged.fails else "",
            }
        )
    return found


def _not_seen(document: Mapping[str, Any]) -> list[str]:
    """Fields recorded as not accessible, with the auditor's reason."""
    found = []
    for section, fields in document.get("house", {}).items():
        for name, entry in fields.items():
            if entry.get("absence") == "not_accessible":
                found.append(f"{label_words(section, name)}: {entry.get('reason', '')}")
    for group, items in document.get("items", {}).items():
        for item in items:
            for name, entry in item["fields"].items():
                if entry.get("absence") == "not_accessible":
                    found.append(
                        f"{item['name']}, {label_words(group, name)}: {entry.get('reason', '')}"
                    )
    return found[:20]
