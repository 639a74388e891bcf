"""What a work scope says, from the reserved request, its model run and the field record."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext as _

from portal.core.units import convert
from portal.intake import selectors as intake
from portal.intake.document import Reader
from portal.intake.hazards import Hazard
from portal.modeling import measure_words
from portal.modeling import selectors as modeling
from portal.modeling.results import Analysis, MeasureResult
from portal.rebates.models import SubsidyRequest
from portal.works.models import Award
from portal.works.specifications import Specification, specification_for
from portal.works.tests_at_end import tests_at_end
from portal.works.whereabouts import existing_condition, location

# Order of work by stage: repair, seal, insulate, ducts, equipment, ventilate, the rest.
STAGE_NUMBER = {
    "safety": 1,
    "air_sealing": 2,
    "insulation": 3,
    "ducts": 4,
    "equipment": 5,
    "ventilation": 6,
    "baseload": 7,
}
LEAD_YEAR = 1978
# A hazard of these severities is printed on the scope whatever the work.
TOLD = ("stop_now", "fix_first", "with_care")
CREW_FACT_SECTION = "access"


@dataclass(frozen=True)
class ScopeContent:
    """Header and lines of a scope, and the hazards that hold it back."""

    header: Mapping[str, Any]
    lines: tuple[Mapping[str, Any], ...]
    held_by: tuple[str, ...] = field(default=())


def scope_content(*, request: SubsidyRequest, award: Award) -> ScopeContent:
    """Everything a firm needs to price, plan and do the work without coming back to ask.

    Raises
    ------
    ValueError
        The request has no finished model run.
    """
    if request.run is None:
        raise ValueError(f"{request} has no model run")
    run = request.run
    analysis = modeling.analysis_of(run)
    record = run.record
    reader = Reader(intake.record_document(record))
    hazards = intake.open_hazards(record)
    prices = {line.measure: line.amount_usd for line in request.quote.lines.all()}
    chosen = _in_order(analysis, request.measures)
    lines = tuple(_lines(chosen, reader, prices, hazards))
    held_by = held_words(chosen, hazards)
    header = {
        "home": _home(request, reader),
        "people": _people(request, record, award),
        "money": _money(request),
        "hazards": [
            {"words": hazard.words, "where": hazard.where, "source": str(hazard.source)}
            for hazard in hazards
            if hazard.severity in TOLD
        ],
        "cautions": _cautions(reader),
        "held_by": list(held_by),
        "access": _access(reader),
        "tests": tests_at_end(reader, analysis, chosen),
        "sequence": [line["number"] for line in lines],
        "run": run.pk,
        "record": record.pk,
    }
    return ScopeContent(header=header, lines=lines, held_by=held_by)


def held_words(chosen: Iterable[MeasureResult], hazards: Iterable[Hazard]) -> tuple[str, ...]:
    """Open hazards that hold the chosen work, in words; a repair is not held by what it repairs."""
    work = list(chosen)
    return tuple(
        dict.fromkeys(
            hazard.words
            for hazard in hazards
            for item in work
            if hazard.severity in ("stop_now", "fix_first")
            and ("*" in hazard.blocks or item.kind in hazard.blocks)
            and hazard.kind not in item.reason_facts.get("clears", ())
        )
    )


def _in_order(analysis: Analysis, measures: list[str]) -> list[MeasureResult]:
    by_id = {item.id: item for item in analysis.measures}
    chosen = [by_id[name] for name in measures if name in by_id]
    order = {name: place for place, name in enumerate(analysis.package.measure_ids)}
    return sorted(
        chosen,
        key=lambda item: (STAGE_NUMBER.get(item.stage, 9), order.get(item.id, 99), item.id),
    )


def _lines(
    chosen: list[MeasureResult],
    reader: Reader,
    prices: Mapping[str, Decimal],
    hazards: Any,
) -> list[Mapping[str, Any]]:
    lines: list[Mapping[str, Any]] = []
    in_stage: dict[int, int] = {}
    for item in chosen:
        stage = STAGE_NUMBER.get(item.stage, 9)
        in_stage[stage] = in_stage.get(stage, 0) + 1
        work: Specification = specification_for(item.kind)
        quantity, unit = measure_words.us_quantity(item.quantity, item.unit)
        lines.append(
            {
                "number": f"{len(in_stage)}.{in_stage[stage]}",
                "measure": item.id,
                "title": measure_words.to_do(item.kind),
                "location": location(item, reader),
                "quantity": quantity,
                "unit": unit,
                "existing": existing_condition(item, reader),
                "target": str(work.target),
                "specification": str(work.specification),
                "prerequisites": str(work.prerequisites),
                "access": str(work.access),
                "hazards": _line_hazards(item, work, hazards),
                "proof": str(work.proof),
                "price_usd": prices.get(item.id, Decimal(0)),
            }
        )
    return lines


def _line_hazards(item: MeasureResult, work: Specification, hazards: Any) -> str:
    found = [str(work.care)] if work.care else []
    found += [
        hazard.words for hazard in hazards if "*" in hazard.blocks or item.kind in hazard.blocks
    ]
    return " ".join(dict.fromkeys(found))


def _home(request: SubsidyRequest, reader: Reader) -> Mapping[str, Any]:
    dwelling = request.casefile.participation.dwelling
    home = reader.section("dwelling")
    return {
        "address": str(dwelling),
        "zip": dwelling.building.zip,
        "county": dwelling.building.county.name,
        "year_built": home.value("year_built"),
        "stories": home.number("stories"),
        "floor_area_ft2": _round(home.si("floor_area"), "m2", "ft2"),
        "language": home.value("language") or "en",
        "pets": home.value("pets_words") or "",
    }


def _round(value: float | None, source: str, target: str) -> int | None:
    return None if value is None else round(convert(value, source, target))


def _people(request: SubsidyRequest, record: Any, award: Award) -> Mapping[str, Any]:
    household = request.casefile.participation.household
    return {
        "homeowner": household.name,
        "auditor": record.recorder,
        "reviewer": request.decided_by,
        "firm": award.firm.name,
    }


def _money(request: SubsidyRequest) -> Mapping[str, str]:
    total = sum((line.amount_usd for line in request.quote.lines.all()), Decimal(0))
    return {
        "price_usd": str(total),
        "program_usd": str(request.amount_usd),
        "owner_usd": str(total - request.amount_usd),
        "held_to": request.reservation.expires_on.isoformat(),
    }


def _cautions(reader: Reader) -> list[str]:
    home = reader.section("dwelling")
    found = []
    year = home.value("year_built")
    if (year is None or year < LEAD_YEAR) and home.value("lead_paint") != "tested_absent":
        found.append(
            _(
                "Built before 1978: treat paint as lead. Work that disturbs more than 6 sq ft "
                "inside or 20 sq ft outside needs a certified firm and records (40 CFR 745)."
            )
        )
    found.append(
        _(
            "If you find knob-and-tube wiring, pebble-like insulation, or wrap that may be "
            "asbestos: stop, do not touch it, call the program."
        )
    )
    found.append(_("Local codes and licensed trades come first."))
    return found


def _access(reader: Reader) -> list[Mapping[str, str]]:
    section = reader.section(CREW_FACT_SECTION)
    labels = (
        ("parking", _("Parking and way in")),
        ("crew_cautions", _("Mind")),
        ("notes", _("Also")),
    )
    found: list[Mapping[str, str]] = [
        {"label": label, "value": str(section.value(key))}
        for key, label in labels
        if section.value(key)
    ]
    pets = reader.section("dwelling").value("pets_words")
    if pets:
        found.append({"label": _("Pets"), "value": str(pets)})
    return found
