"""Blower door and required ventilation."""

from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from calcs import leakage, ventilation
from calcs.errors import CalcsError
from portal.intake.document import Part, Reader
from portal.intake.live.base import LiveResult, volume_m3
from portal.intake.sheet.kinds import Words
from portal.intake.units_shown import shown, surface
from portal.intake.values import figure

REMARKS: dict[str, Words] = {
    "under_50_pa": gettext_lazy("50 Pa was not reached: the flow is extrapolated."),
    "few_points": gettext_lazy("Fewer than five readings."),
    "stack_too_strong": gettext_lazy("Indoors and outdoors differ too much for a tall house."),
    "wind_above_limit": gettext_lazy("Too much wind."),
    "wind_above_preferred": gettext_lazy("More wind than is good."),
    "poor_fit": gettext_lazy("The readings do not lie on one line. Repeat the test."),
    "wide_interval": gettext_lazy(
        "The flow is not known to within 10 percent. Repeat the test with more readings."
    ),
    "range_too_short": gettext_lazy("The readings span less than 25 Pa."),
    "points_too_low": gettext_lazy("A reading is too low for the baseline there was."),
    "baseline_too_high": gettext_lazy(
        "The baseline is beyond 5 Pa. Repeat the test on a calmer day."
    ),
    "baseline_taken_once": gettext_lazy("Take the baseline before and after the readings."),
    "exponent_out_of_range": gettext_lazy("The exponent is outside 0.5 to 1. Repeat the test."),
}


def blower_door_results(
    reader: Reader,
) -> Iterator[tuple[Part, leakage.BlowerDoorResult]]:
    """Every blower-door test of the record that can be worked up.

    A test with readings of its own in ``blower_door_points`` is fitted to them.
    """
    for test, found in _tests(reader):
        if isinstance(found, leakage.BlowerDoorResult):
            yield test, found


def _tests(reader: Reader) -> Iterator[tuple[Part, leakage.BlowerDoorResult | CalcsError]]:
    """Every test with readings, worked up, or why it cannot be."""
    volume = volume_m3(reader)
    if volume is None:
        return
    for test in reader.items("blower_door_tests"):
        pressures, flows = _readings(reader, test)
        if not pressures:
            continue
        is_out = test.value("direction") != "pressurize"
        sign = -1.0 if is_out else 1.0
        try:
            yield (
                test,
                leakage.blower_door_test(
                    [sign * pressure for pressure in pressures],
                    flows,
                    baselines_pa=_baselines(test) or [0.0],
                    volume_m3=volume,
                    indoor_c=_or(test.si("indoor_temp"), 20.0),
                    outdoor_c=_or(test.si("outdoor_temp"), 20.0),
                    elevation_m=_or(test.si("altitude"), 0.0),
                    is_depressurization=is_out,
                    height_m=reader.si("dwelling.boundary_height"),
                ),
            )
        except CalcsError as error:
            yield test, error


def _baselines(test: Part) -> list[float]:
    fields = (test.si(field) for field in ("baseline_before", "baseline_after"))
    return [value for value in fields if value is not None]


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


def of_blower_door(reader: Reader) -> Iterator[LiveResult]:
    volume = volume_m3(reader)
    for test, found in _tests(reader):
        assert volume is not None, "no result without a volume"
        if isinstance(found, CalcsError):
            yield LiveResult(
                "blower_door", "air_leakage", _("Blower-door test not worked out"),
                how=f"{found}.", fails=True, field="flow", item=test.key,
            )  # fmt: skip
            continue
        cfm50 = surface(found.flow50_m3_per_s, "m3/s", "cfm")
        remarks = [str(REMARKS[remark]) for remark in found.remarks]
        if not _baselines(test):
            remarks.append(_("No baseline was recorded: none is taken off."))
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


def of_ventilation(reader: Reader) -> Iterator[LiveResult]:
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
