"""One home's analysis as plain tables for a terminal, in the trade's units."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from calcs.inputs import House
from calcs.leakage import air_changes_per_h
from calcs.results import Analysis, Baseline, MeasureResult, Saving
from portal.core.units import convert
from portal.intake.hazards import Hazard
from portal.modeling.measure_words import thing, to_do, us_quantity_words

# Fuel -> the unit it is billed in, and how it is named.
FUELS = {
    "natural_gas": ("Gas", "therms"),
    "propane": ("Propane", "MMBtu"),
    "fuel_oil": ("Oil", "MMBtu"),
    "electricity": ("Electricity", "kWh"),
}
USES = {
    "heating": "Heating",
    "cooling": "Cooling",
    "fans_pumps": "Fans and pumps",
    "hot_water": "Hot water",
    "lighting": "Lighting",
    "refrigerator": "Refrigerators",
    "cooking": "Cooking",
    "laundry": "Laundry",
    "other": "Everything else",
}
VERDICTS = {
    "do": "do it",
    "required": "required",
    "plan_at_failure": "when it fails",
    "leave": "leave",
    "blocked": "blocked",
}
PARTS = {"windows_doors": "Windows and doors", "garage_wall": "Wall to the garage"}
NOTHING = "–"


def lines_of(
    house: House, analysis: Analysis, hazards: Sequence[Hazard], *, year: int
) -> Iterator[str]:
    """The whole printout, line by line."""
    yield from _head(house, analysis, year)
    yield from _hazards(hazards)
    yield from _energy(analysis)
    yield from _losses(analysis.baseline)
    yield from _measures(analysis)
    yield from _first(analysis)
    yield from _package(analysis)
    yield from _equipment(analysis)
    yield from _left_alone(analysis)
    yield ""
    yield "A model of this house in a typical year; savings are no promise. Codes, manufacturers'"
    yield "instructions and licensed trades decide; open hazards come before any work."


def _table(
    columns: Sequence[str], rows: Iterable[Sequence[str]], *, words: Sequence[int] = (0,)
) -> Iterator[str]:
    """A table with columns as wide as they must be: words at the left, figures at the right."""
    cells = [list(columns), *(list(row) for row in rows)]
    widths = [max(len(row[i]) for row in cells) for i in range(len(columns))]
    for index, row in enumerate(cells):
        line = "  ".join(
            cell.ljust(width) if i in words else cell.rjust(width)
            for i, (cell, width) in enumerate(zip(row, widths, strict=True))
        )
        yield f"  {line}".rstrip()
        if index == 0:
            yield "  " + "  ".join("-" * width for width in widths)


def _section(title: str) -> Iterator[str]:
    yield ""
    yield title


def _usd(amount: float | None) -> str:
    if amount is None:
        return NOTHING
    rounded = round(amount)
    return f"-${-rounded:,}" if rounded < 0 else f"${rounded:,}"


def _fuel(fuel: str, energy_j: float) -> str:
    name, unit = FUELS[fuel]
    return f"{convert(energy_j, 'J', unit):,.0f} {unit} {name.lower()}"


def _words(key: str) -> str:
    return key.replace("_", " ")


def _head(house: House, analysis: Analysis, year: int) -> Iterator[str]:
    geometry, base = house.geometry, analysis.baseline
    flow = house.air_leakage.flow50_m3_per_s
    ach50 = air_changes_per_h(flow, geometry.volume_m3)
    yield f"{house.name or 'House'}, worked out for {year} with the weather of"
    yield f"{analysis.weather_name}"
    if analysis.is_calibrated:
        yield "Held against this home's bills."
    yield ""
    pairs = (
        ("Heated floor", f"{convert(geometry.floor_area_m2, 'm2', 'ft²'):,.0f} ft²"),
        ("Heated volume", f"{convert(geometry.volume_m3, 'm3', 'ft³'):,.0f} ft³"),
        ("Leakage", f"{convert(flow, 'm3/s', 'CFM'):,.0f} CFM50, {ach50:.1f} ACH50"),
        ("Heat loss", f"{convert(base.heat_loss_w_per_k, 'W/K', 'Btu/h·°F'):,.0f} Btu/h·°F"),
        ("Largest heating load", f"{convert(base.peak_heating_w, 'W', 'Btu/h'):,.0f} Btu/h"),
        ("Largest cooling load", f"{convert(base.peak_cooling_w, 'W', 'Btu/h'):,.0f} Btu/h"),
        ("Heating plant over a season", f"{100 * base.heating_efficiency:.0f} %"),
        (
            "Ducts and pipes over a season",
            f"{100 * base.distribution_efficiency_heating:.0f} % arrives",
        ),
    )
    width = max(len(label) for label, _ in pairs)
    for label, value in pairs:
        yield f"  {label.ljust(width)}  {value}"
    if base.unmet_heating_hours:
        yield f"  The heating falls short in {base.unmet_heating_hours} hours of the year."
    if base.unmet_cooling_hours:
        yield f"  The cooling falls short in {base.unmet_cooling_hours} hours of the year."


def _hazards(hazards: Sequence[Hazard]) -> Iterator[str]:
    if not hazards:
        return
    yield from _section("Hazards, gravest first")
    for hazard in hazards:
        yield f"  {hazard.severity_words}: {hazard.words}"


def _energy(analysis: Analysis) -> Iterator[str]:
    base = analysis.baseline
    fuels = [fuel for fuel in FUELS if base.energy_j.get(fuel)]
    yield from _section("Energy of a year as the house is")

    def row(label: str, by_fuel: Mapping[str, float], cost: float) -> list[str]:
        used = (by_fuel.get(fuel, 0.0) for fuel in fuels)
        figures = [
            f"{convert(amount, 'J', FUELS[fuel][1]):,.0f}" if amount else ""
            for fuel, amount in zip(fuels, used, strict=True)
        ]
        return [label, *figures, _usd(cost)]

    rows = []
    for use, label in USES.items():
        by_fuel = {fuel: base.use_j(use, fuel) for fuel in fuels}
        if any(by_fuel.values()):
            rows.append(row(label, by_fuel, base.cost_usd_by_use.get(use, 0.0)))
    rows.append(row("All", base.energy_j, base.cost_usd))
    columns = ["", *(f"{FUELS[fuel][0]}, {FUELS[fuel][1]}" for fuel in fuels), "Cost"]
    yield from _table(columns, rows)
    yield f"  CO2 {convert(base.co2_kg, 'kg', 'lb'):,.0f} lb"


def _losses(base: Baseline) -> Iterator[str]:
    yield from _section("Where a hundred parts of its heat go")
    rows = [
        [
            PARTS.get(part.part) or _words(part.part).capitalize(),
            str(part.strokes_material),
            str(part.strokes_air),
            _usd(part.cost_usd),
        ]
        for part in base.components
    ]
    yield from _table(["", "Through material", "With air", "Cost"], rows)


def _range(saving: Saving | None) -> str:
    if saving is None:
        return NOTHING
    low, likely, high = (
        _usd(value) for value in (saving.cost_low_usd, saving.cost_usd, saving.cost_high_usd)
    )
    return f"{likely} ({low} to {high})"


def _measures(analysis: Analysis) -> Iterator[str]:
    yield from _section("Measures, alone and in the order of work ($ a year, low to high)")
    rows = [_measure(item) for item in analysis.measures]
    columns = ["Measure", "Quantity", "Cost", "Saves alone", "In the package", "SIR", "NPV",
               "Payback", "Verdict", "Why"]  # fmt: skip
    yield from _table(columns, rows, words=(0, 8, 9))


def _measure(item: MeasureResult) -> list[str]:
    worth = item.worth
    payback = worth.simple_payback_years if worth else None
    sir = worth.sir if worth else None
    why = _words(item.reason_key)
    if item.blocked_by:
        why = "stopped by " + ", ".join(_words(kind) for kind in item.blocked_by)
    return [
        thing(item.kind),
        us_quantity_words(item.quantity, item.unit, item.kind),
        _usd(item.cost_usd),
        _range(item.saving_alone),
        _range(item.saving),
        NOTHING if sir is None else f"{sir:.1f}",
        _usd(worth.npv_usd if worth else None),
        NOTHING if payback is None else f"{payback:.1f} years",
        VERDICTS.get(item.verdict, item.verdict),
        why,
    ]


def _first(analysis: Analysis) -> Iterator[str]:
    yield from _section("What to do first")
    if not analysis.priorities:
        yield "  Nothing pays."
    for number, measure_id in enumerate(analysis.priorities, start=1):
        yield f"  {number}. {to_do(analysis.measure(measure_id).kind)}"


def _package(analysis: Analysis) -> Iterator[str]:
    package = analysis.package
    yield from _section("Together, in the order of work")
    rows = [
        [
            label,
            *(
                f"{convert(base.energy_j.get(fuel, 0.0), 'J', unit):,.0f}"
                for fuel, (_, unit) in FUELS.items()
                if package.before.energy_j.get(fuel)
            ),
            _usd(base.cost_usd),
            f"{convert(base.co2_kg, 'kg', 'lb'):,.0f}",
        ]
        for label, base in (("Now", package.before), ("Afterwards", package.after))
    ]
    used = [FUELS[fuel] for fuel in FUELS if package.before.energy_j.get(fuel)]
    yield from _table(["", *(f"{name}, {unit}" for name, unit in used), "Cost", "CO2, lb"], rows)
    saved = ", ".join(
        _fuel(fuel, amount) for fuel, amount in package.saving.energy_j.items() if round(amount)
    )
    yield f"  Saves {_range(package.saving)} a year: {saved or 'nothing'}"
    worth = package.worth
    if worth is not None:
        sir = NOTHING if worth.sir is None else f"{worth.sir:.1f}"
        yield f"  Costs {_usd(worth.cost_usd)}; SIR {sir}; net present value {_usd(worth.npv_usd)}"
    if package.ventilation_needed_m3_per_s > 0.0:
        flow = convert(package.ventilation_needed_m3_per_s, "m3/s", "CFM")
        yield f"  Afterwards the house needs a fan of {flow:,.0f} CFM, all day."


def _equipment(analysis: Analysis) -> Iterator[str]:
    if not analysis.equipment:
        return
    yield from _section("Equipment: now, or when it fails")
    rows = [
        [
            _words(item.kind).replace(":", ", ").capitalize(),
            str(item.year_installed or NOTHING),
            f"{item.efficiency_today:.2f}",
            f"{item.efficiency_best_new:.2f}",
            _usd(item.npv_now_usd),
            _usd(item.npv_at_failure_usd),
            str(item.leave_until_year or NOTHING),
            _words(item.verdict),
        ]
        for item in analysis.equipment
    ]
    columns = ["", "Installed", "Today", "A good new one", "NPV now", "NPV at failure",
               "Expected until", "Verdict"]  # fmt: skip
    yield from _table(columns, rows, words=(0, 7))


def _left_alone(analysis: Analysis) -> Iterator[str]:
    if not analysis.left_alone:
        return
    yield from _section("Looked at and left alone")
    for item in analysis.left_alone:
        again = f"; look again in {item.look_again_year}" if item.look_again_year else ""
        subject = _words(item.subject).replace(":", ", ").capitalize()
        yield f"  {subject}: {_words(item.reason_key)}{again}"
