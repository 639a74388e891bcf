"""Results beside the fields: worked out from the record as it stands, with formula and source.

Computed when a section is saved and shown on its page. What cannot be worked out yet is left
out; what is beyond a limit fails, and never softly.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from calcs import assemblies, combustion, envelope, leakage, ventilation
from calcs.errors import CalcsError
from calcs.inputs import Attic, InsulationLayer
from portal.intake import verdicts
from portal.intake.document import Document, Part, Reader
from portal.intake.sheet.kinds import Words
from portal.intake.units_shown import shown, surface
from portal.intake.values import figure

Numbers = dict[str, Any]


@dataclass(frozen=True)
class LiveResult:
    """One result: what it says, how it was worked out, whose limit or method it is."""

    key: str
    section: str
    value: str
    how: str = ""
    source: str = ""
    limit: str = ""
    fails: bool = False
    stops_work: bool = False
    field: str = ""
    item: str = ""
    numbers: tuple[tuple[str, Any], ...] = ()

    def plain(self) -> dict[str, Any]:
        """The result as plain values."""
        return {
            "key": self.key,
            "section": self.section,
            "item": self.item,
            "field": self.field,
            "value": self.value,
            "limit": self.limit,
            "how": self.how,
            "source": self.source,
            "fails": self.fails,
            "stops_work": self.stops_work,
            "numbers": dict(self.numbers),
        }


def results(document: Document) -> tuple[LiveResult, ...]:
    """Every result the record gives now."""
    reader = Reader(document)
    return tuple(result for source in _SOURCES for result in source(reader))


def results_in(document: Document, section: str) -> tuple[LiveResult, ...]:
    """The results shown in one section."""
    reader = Reader(document)
    return tuple(
        result
        for source in _SOURCES_OF.get(section, ())
        for result in source(reader)
        if result.section == section
    )


def volume_m3(reader: Reader) -> float | None:
    """Heated volume: as entered, else floor area times ceiling height. [m³]"""
    entered = reader.si("dwelling.volume")
    if entered is not None:
        return entered
    area, height = reader.si("dwelling.floor_area"), reader.si("dwelling.ceiling_height")
    return area * height if area is not None and height is not None else None


def _safety(reader: Reader) -> Iterator[LiveResult]:
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
        return _("The limit follows the outdoor temperature: T ÷ 40 − 2.75 between 10 and 90 °F.")
    return ""


# The analyses of the model, by the fuels of the sheet.
ANALYSIS_OF = {"natural_gas": "natural_gas", "propane": "propane", "fuel_oil": "fuel_oil_2"}


def _efficiency(reader: Reader) -> Iterator[LiveResult]:
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


REMARKS: dict[str, Words] = {
    "under_50_pa": gettext_lazy("50 Pa was not reached: the flow is extrapolated."),
    "few_points": gettext_lazy("Fewer than five readings."),
    "stack_too_strong": gettext_lazy("Indoors and outdoors differ too much for a tall house."),
    "wind_above_limit": gettext_lazy("Too much wind."),
    "wind_above_preferred": gettext_lazy("More wind than is good."),
    "poor_fit": gettext_lazy("The readings do not lie on one line. Repeat the test."),
    "exponent_out_of_range": gettext_lazy("The exponent is outside 0.5 to 1. Repeat the test."),
}


def blower_door_results(
    reader: Reader,
) -> Iterator[tuple[Part, leakage.BlowerDoorResult]]:
    """Every blower-door test of the record that can be worked up.

    A test with readings of its own in ``blower_door_points`` is fitted to them.
    """
    volume = volume_m3(reader)
    if volume is None:
        return
    for test in reader.items("blower_door_tests"):
        pressures, flows = _readings(reader, test)
        if not pressures:
            continue
        is_out = test.value("direction") != "pressurize"
        sign = -1.0 if is_out else 1.0
        baselines = [
            value for field in ("baseline_before", "baseline_after")
            if (value := test.si(field)) is not None
        ]  # fmt: skip
        try:
            yield (
                test,
                leakage.blower_door_test(
                    [sign * pressure for pressure in pressures],
                    flows,
                    baselines_pa=baselines or [0.0],
                    volume_m3=volume,
                    indoor_c=_or(test.si("indoor_temp"), 20.0),
                    outdoor_c=_or(test.si("outdoor_temp"), 20.0),
                    elevation_m=_or(test.si("altitude"), 0.0),
                    is_depressurization=is_out,
                    height_m=reader.si("dwelling.boundary_height"),
                ),
            )
        except CalcsError:
            continue


def _or(value: float | None, default: float) -> float:
    return default if value is None else value


def _readings(reader: Reader, test: Part) -> tuple[list[float], list[float]]:
    points = [
        (pressure, flow)
        for point in reader.items("blower_door_points")
        if point.value("test") == test.key
        and (pressure := point.si("pressure")) is not None
        and (flow := point.si("flow")) is not None
    ]
    if len(points) < 2:
        pressure, flow = test.si("house_pressure"), test.si("flow")
        points = [(pressure, flow)] if pressure is not None and flow is not None else []
    return [pressure for pressure, _flow in points], [flow for _pressure, flow in points]


def _blower_door(reader: Reader) -> Iterator[LiveResult]:
    volume = volume_m3(reader)
    for test, found in blower_door_results(reader):
        assert volume is not None, "no result without a volume"
        cfm50 = surface(found.flow50_m3_per_s, "m3/s", "cfm")
        remarks = [str(REMARKS[remark]) for remark in found.remarks]
        if found.fit is not None:
            how = _(
                "Fitted to %(points)d readings: exponent %(n)s, r² %(r)s, 95%% interval of the "
                "flow ±%(half)s%%."
            ) % {
                "points": found.fit.points,
                "n": figure(round(found.exponent, 3)),
                "r": figure(round(found.fit.r_squared, 4)),
                "half": figure(round(found.fit.flow50_half_width_pct, 1)),
            }
        else:
            how = _("Flow × (50 ÷ %(pressure)s)^%(n)s, corrected for baseline and air density.") % {
                "pressure": figure(round(found.highest_pressure_pa, 1)),
                "n": figure(round(found.exponent, 3)),
            }
        how += " " + _("Air changes: %(flow)s × 60 ÷ %(volume)s ft³.") % {
            "flow": figure(round(cfm50)),
            "volume": shown(volume, "m3", "ft³"),
        }
        value = _("%(flow)s CFM50. %(ach)s air changes an hour at 50 Pa") % {
            "flow": figure(round(cfm50)),
            "ach": figure(round(found.ach50_per_h, 1)),
        }
        yield LiveResult(
            "blower_door",
            "air_leakage",
            value if found.is_valid else _("%s. Not valid: repeat the test") % value,
            limit=" ".join(remarks),
            how=how,
            source=_("ASTM E779 and E1827 (memory)"),
            fails=not found.is_valid,
            field="flow",
            item=test.key,
            numbers=(
                ("cfm50", cfm50),
                ("ach50", found.ach50_per_h),
                ("exponent", found.exponent),
                ("is_valid", found.is_valid),
                ("is_extrapolated", found.is_extrapolated),
            ),
        )


def local_exhaust(reader: Reader) -> list[ventilation.LocalExhaust]:
    """Kitchen and full baths: what each has on demand, as far as recorded."""
    rooms: list[ventilation.LocalExhaust] = []
    has_kitchen_fan = False
    for fan in reader.items("fans"):
        purpose, is_out = fan.value("purpose"), fan.value("vented_to") == "outside"
        # A fan that ends in the attic or blows back into the room removes nothing.
        flow = fan.si("flow") if is_out else 0.0
        if purpose == "bath":
            rooms.append(
                ventilation.LocalExhaust(
                    "bathroom", flow or 0.0, bool(fan.value("openable_window"))
                )
            )
        if purpose in ("kitchen", "kitchen_other"):
            has_kitchen_fan = True
            room = "kitchen_hood" if purpose == "kitchen" else "kitchen_other"
            rooms.append(
                ventilation.LocalExhaust(room, flow or 0.0, bool(fan.value("openable_window")))
            )
    part = reader.section("ventilation")
    for _bath in range(int(part.value("full_baths_without_fan") or 0)):
        rooms.append(
            ventilation.LocalExhaust("bathroom", 0.0, bool(part.value("baths_without_fan_window")))
        )
    if not has_kitchen_fan and part.value("kitchen_exhaust") is not None:
        rooms.append(
            ventilation.LocalExhaust("kitchen_hood", 0.0, bool(part.value("kitchen_window")))
        )
    return rooms


def _ventilation(reader: Reader) -> Iterator[LiveResult]:
    area, bedrooms = reader.si("dwelling.floor_area"), reader.value("dwelling.bedrooms")
    if area is None or bedrooms is None:
        return
    try:
        need = ventilation.required_fan(
            floor_area_m2=area, bedrooms=int(bedrooms), local=local_exhaust(reader)
        )
    except CalcsError:
        return
    total = surface(need.total_m3_per_s, "m3/s", "cfm")
    deficit = surface(need.deficit_m3_per_s, "m3/s", "cfm")
    fan = surface(need.fan_m3_per_s, "m3/s", "cfm")
    yield LiveResult(
        "required_ventilation",
        "ventilation",
        _("%s cfm of fresh air is needed all day, before credit for leaks") % figure(round(fan, 1)),
        how=_(
            "0.03 × %(area)s ft² + 7.5 × (%(beds)d + 1) = %(total)s cfm. Kitchen and baths lack "
            "%(deficit)s cfm on demand; a quarter of it is added."
        )
        % {
            "area": shown(area, "m2", "ft²"),
            "beds": max(int(bedrooms), 1),
            "total": figure(round(total, 1)),
            "deficit": figure(round(deficit, 1)),
        },
        source=_("%s. Bedrooms count as at least one") % need.source,
        field="humidity",
        numbers=(
            ("total_cfm", total),
            ("deficit_cfm", deficit),
            ("fan_cfm", fan),
            ("edition", need.edition),
        ),
    )


def _attic(reader: Reader) -> Iterator[LiveResult]:
    for item in reader.items("attics"):
        area, layers = item.si("area"), attic_layers(item)
        if area is None or layers is None:
            continue
        joists = item.si("joist_depth")
        more = {} if joists is None else {"joist_depth_m": joists}
        try:
            attic = Attic(id=item.key, area_m2=area, layers=layers, **more)
            effective = surface(assemblies.attic_floor_r(attic), "m2K/W", "R")
            steps = [_layer_words(layer) for layer in layers]
        except CalcsError as error:
            yield LiveResult("attic_r", "attic", _("R-value not worked out"), how=f"{error}.",
                             field="layer1_depth", item=item.key)  # fmt: skip
            continue
        yield LiveResult(
            "attic_r",
            "attic",
            _("Counts as R-%s") % figure(round(effective, 1)),
            how=" ".join([*steps, _("With voids and the wood of the joists as parallel paths.")])
            if layers
            else _("No insulation: the wood and air films only."),
            source=_("tables of R per inch; condition factors are common practice"),
            field="layer1_condition",
            item=item.key,
            numbers=(("r_us", effective),),
        )


def attic_layers(item: Part) -> tuple[InsulationLayer, ...] | None:
    """The insulation layers of an attic; None while one is not fully recorded."""
    layers: list[InsulationLayer] = []
    for number in (1, 2):
        material = item.value(f"layer{number}_material")
        if material is None:
            if number == 1:
                return None
            continue
        if material == "none":
            continue
        depth, condition = item.si(f"layer{number}_depth"), item.value(f"layer{number}_condition")
        if depth is None or condition is None:
            return None
        coverage = item.si(f"layer{number}_coverage")
        layers.append(
            InsulationLayer(
                material=material,
                depth_m=depth,
                nominal_r_m2k_per_w=item.si(f"layer{number}_nominal_r"),
                condition=condition,
                void_fraction=0.0 if coverage is None else 1.0 - coverage,
            )
        )
    return tuple(layers)


def _layer_words(layer: InsulationLayer) -> str:
    now = surface(assemblies.layer_r(layer), "m2K/W", "R")
    factor = assemblies.CONDITION_FACTOR[layer.condition]
    return _("%(depth)s in.: R-%(new)s when new × %(factor)s for its condition = R-%(now)s.") % {
        "depth": shown(layer.depth_m, "m", "in", 1),
        "new": figure(round(now / factor, 1)),
        "factor": figure(factor),
        "now": figure(round(now, 1)),
    }


SURVEY_REMARKS: dict[str, Words] = {
    "difference_too_small": gettext_lazy("Indoors and outdoors differ by less than 18 °F."),
    "not_long_enough": gettext_lazy("The difference has not lasted 4 hours."),
    "too_windy": gettext_lazy("Too much wind."),
    "sun_on_wall": gettext_lazy("The sun has been on the wall."),
    "surface_wet": gettext_lazy("The surface is wet."),
}


def infrared_judgment(reader: Reader) -> envelope.InfraredJudgment | None:
    """Whether the pictures of insulation are evidence; None while conditions are not recorded."""
    part = reader.section("infrared")
    indoor, outdoor, hours = (
        part.si("indoor_temp"),
        part.si("outdoor_temp"),
        part.si("hours_steady"),
    )
    if indoor is None or outdoor is None or hours is None:
        return None
    disturbed = part.chosen("disturbed_by")
    return envelope.infrared_survey(
        indoor_c=indoor,
        outdoor_c=outdoor,
        hours_at_difference=hours,
        # The sheet asks whether these disturbed the picture, not how much.
        wind_m_per_s=99.0 if "wind" in disturbed else None,
        hours_since_sun=0.0 if "sun" in disturbed else None,
        is_dry="rain" not in disturbed,
    )


def _infrared(reader: Reader) -> Iterator[LiveResult]:
    judgment = infrared_judgment(reader)
    part = reader.section("infrared")
    if judgment is None:
        return
    indoor, outdoor = part.si("indoor_temp"), part.si("outdoor_temp")
    assert indoor is not None and outdoor is not None, "no judgment without them"
    difference = abs(surface(indoor, "degC", "°F") - surface(outdoor, "degC", "°F"))
    remarks = " ".join(str(SURVEY_REMARKS[remark]) for remark in judgment.remarks)
    yield LiveResult(
        "infrared_conditions",
        "infrared",
        _("Pictures of insulation mean something")
        if judgment.is_conclusive
        else _("Not conclusive for insulation"),
        how=_("Indoors and outdoors differ by %s °F.") % figure(round(difference, 1)),
        limit=remarks,
        source=_("ASTM C1060 practice (memory): 18 °F for 4 hours"),
        field="hours_steady",
        numbers=(("difference_degf", difference), ("is_conclusive", judgment.is_conclusive)),
    )
    fan = part.si("fan_pressure")
    if part.value("fan_running") and fan is not None:
        is_conclusive = envelope.leak_survey_is_conclusive(indoor, outdoor, fan)
        yield LiveResult(
            "infrared_leaks",
            "infrared",
            _("Pictures of leaks mean something") if is_conclusive
            else _("Not conclusive for leaks"),
            how=_("%(fan)s Pa, %(difference)s °F.")
            % {"fan": figure(fan), "difference": figure(round(difference, 1))},
            source=_("ASTM E1186 (memory): fan at 20 to 50 Pa, 5 °F"),
            field="fan_pressure",
            numbers=(("is_conclusive", is_conclusive),),
        )  # fmt: skip
    for finding in reader.items("infrared_findings"):
        yield from _finding(finding, judgment)


def _finding(finding: Part, judgment: envelope.InfraredJudgment) -> Iterator[LiveResult]:
    good, bad = finding.si("good_spot"), finding.si("bad_spot")
    if good is None or bad is None or finding.value("pattern") not in (
        "missing_insulation", "settled_insulation",
    ):  # fmt: skip
        return
    is_fault = envelope.bay_difference_means_fault(good - bad, judgment)
    spots = abs(surface(good, "degC", "°F") - surface(bad, "degC", "°F"))
    words = {
        True: _("%s °F apart: missing or bad insulation"),
        False: _("%s °F apart: too little to mark a fault"),
        None: _("%s °F apart: proves nothing under these conditions"),
    }[is_fault]
    yield LiveResult(
        "bay_difference",
        "infrared",
        words % figure(round(spots, 1)),
        source=_("7 to 10 °F between neighboring bays (common practice, no source)"),
        field="bad_spot",
        item=finding.key,
        numbers=(("difference_degf", spots), ("means_fault", is_fault)),
    )


_Source = Callable[[Reader], Iterator[LiveResult]]
_SOURCES_OF: dict[str, tuple[_Source, ...]] = {
    "combustion": (_safety, _efficiency),
    "air_leakage": (_blower_door,),
    "attic": (_attic,),
    "ventilation": (_ventilation,),
    "infrared": (_infrared,),
}
_SOURCES: tuple[_Source, ...] = tuple(
    source for sources in _SOURCES_OF.values() for source in sources
)
