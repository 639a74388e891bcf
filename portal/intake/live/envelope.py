"""Effective R of attics, and what infrared pictures can mean."""

from collections.abc import Iterator
from dataclasses import replace

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from calcs import assemblies, envelope
from calcs.errors import CalcsError
from calcs.inputs import Attic, InsulationLayer
from portal.intake.document import Part, Reader
from portal.intake.live.base import LiveResult
from portal.intake.sheet.kinds import Words
from portal.intake.units_shown import shown, surface
from portal.intake.values import figure


def of_attic(reader: Reader) -> Iterator[LiveResult]:
    for item in reader.items("attics"):
        area, layers = item.si("area"), attic_layers(item)
        if area is None or layers is None:
            continue
        joists = item.si("joist_depth")
        try:
            attic = Attic(id=item.key, area_m2=area, layers=layers)
            if joists is not None:
                attic = replace(attic, joist_depth_m=joists)
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
            source=_(
                "R per inch and installation grades as tabulated; a poor layer is common practice"
            ),
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
    return _("%(depth)s in. is worth R-%(now)s where it lies well; %(bare)s%% counts as bare.") % {
        "depth": shown(layer.depth_m, "m", "in", 1),
        "now": figure(round(now, 1)),
        "bare": figure(round(100.0 * assemblies.layer_void(layer), 1)),
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


def of_infrared(reader: Reader) -> Iterator[LiveResult]:
    judgment = infrared_judgment(reader)
    part = reader.section("infrared")
    if judgment is None:
        return
    indoor, outdoor = part.si("indoor_temp"), part.si("outdoor_temp")
    assert indoor is not None, "no judgment without it"
    assert outdoor is not None, "no judgment without it"
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
