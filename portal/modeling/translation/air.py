"""Measured leakage, hearths and fans."""

from typing import Any

from calcs import leakage
from calcs.inputs import AirLeakage, Fan, Fireplace, Geometry, Origin
from portal.modeling.translation.reading import Document, Reader

# Where no blower-door test was possible: air changes an hour at 50 Pa by the year of building
# (common practice, no source). The report says that it was not measured.
DEFAULT_ACH50_BEFORE = ((1950, 16.0), (1980, 12.0), (2000, 9.0), (2012, 6.0))
DEFAULT_ACH50_NEW = 4.0
SECONDS_PER_H = 3600.0
FAN_KINDS = {
    "exhaust": "exhaust",
    "supply": "supply",
    "hrv": "balanced",
    "erv": "balanced",
    "central_fan": "supply",
}
FAN_PURPOSES = {
    "bath": "bath",
    "half_bath": "bath",
    "kitchen": "kitchen",
    "kitchen_other": "kitchen",
    "whole_house": "whole_house",
    "laundry": "bath",
}
# Hours a day fans run when nobody said (common practice, no source).
DEFAULT_FAN_HOURS = {"bath": 1.0, "kitchen": 1.0, "whole_house": 24.0}
CHIMNEY_VENTS = ("atmospheric", "atmospheric_damper")


def air_leakage(document: Document, geometry: Geometry, *, elevation_m: float) -> AirLeakage:
    """The leakage of the house from its last audit test, or a default that says so."""
    origins = document.origins
    test = _last_test(document)
    result = None
    if test is not None:
        result = leakage.blower_door_test(
            **_readings(document, test),
            volume_m3=geometry.volume_m3,
            elevation_m=elevation_m,
            height_m=geometry.height_m,
        )
        origins["air_leakage"] = Origin(how="measured", source="blower-door test")
        flow50, exponent = result.flow50_m3_per_s, result.exponent
    else:
        flow50 = _default_ach50(geometry.year_built) * geometry.volume_m3 / SECONDS_PER_H
        exponent = leakage.EXPONENT_ASSUMED
        origins["air_leakage"] = Origin(how="default", source="by year built; not measured")
    if not leakage.EXPONENT_LOW <= exponent <= leakage.EXPONENT_HIGH:
        # The test is invalid and the record says so; the flow at 50 Pa still stands.
        exponent = leakage.EXPONENT_ASSUMED
    return AirLeakage(
        flow50_m3_per_s=flow50,
        exponent=exponent,
        has_flue=_has_flue(document),
        fireplace=_fireplace(document),
    )


def _last_test(document: Document) -> tuple[str, Reader] | None:
    if document.section("air_leakage").value("blower_door") == "not_done":
        return None
    tests = [
        (key, item)
        for key, _name, item in document.items("blower_door_tests")
        if item.value("stage", default="audit") == "audit" and "flow" in item
    ]
    return (
        max(tests, key=lambda found: str(found[1].value("tested_on", default="")))
        if tests
        else None
    )


def _readings(document: Document, test: tuple[str, Reader]) -> dict[str, Any]:
    key, item = test
    is_depressurization = item.value("direction", default="depressurize") == "depressurize"
    sign = -1.0 if is_depressurization else 1.0
    points = [
        (point.si("pressure"), point.si("flow"))
        for _key, _name, point in document.items("blower_door_points")
        if str(point.value("test", default="")) == key and "flow" in point
    ]
    if item.value("method") != "multi_point" or len(points) < 2:
        points = [(item.si("house_pressure", default=50.0), item.si("flow"))]
    baselines = [
        reading
        for reading in (item.si("baseline_before"), item.si("baseline_after"))
        if reading is not None
    ]
    return {
        "gauge_pa": [sign * abs(pressure) for pressure, _flow in points],
        "fan_flow_m3_per_s": [flow for _pressure, flow in points],
        "baselines_pa": baselines or [0.0],
        "indoor_c": item.si("indoor_temp", default=20.0),
        "outdoor_c": item.si("outdoor_temp", default=20.0),
        "is_depressurization": is_depressurization,
    }


def _default_ach50(year_built: int | None) -> float:
    for before, ach50 in DEFAULT_ACH50_BEFORE:
        if year_built is None or year_built < before:
            return ach50
    return DEFAULT_ACH50_NEW


def _has_flue(document: Document) -> bool:
    return any(
        item.value("vent") in CHIMNEY_VENTS
        for group in ("heating_systems", "water_heaters")
        for _key, _name, item in document.items(group)
    ) or bool(document.items("fireplaces"))


def _fireplace(document: Document) -> Fireplace | None:
    for _key, _name, item in document.items("fireplaces"):
        if item.value("kind") in ("open_fireplace", "gas_logs"):
            return Fireplace(
                has_closing_damper=item.value("damper") in ("closes", "top"),
                has_gas_logs=item.value("kind") == "gas_logs",
                is_in_use=bool(item.value("in_use", default=False)),
            )
    return None


def fans(document: Document) -> tuple[Fan, ...]:
    """Fans that move air out of or into the house."""
    found = []
    for key, _name, item in document.items("fans", "fans"):
        if item.value("vented_to", default="outside") == "room":
            continue
        purpose = FAN_PURPOSES[item.value("purpose", "purpose", default="bath")]
        continuous = item.value("control") == "continuous"
        more = {}
        power = item.si("power", "power_w")
        if power is not None:
            more["power_w"] = power
        found.append(
            Fan(
                id=key,
                kind=FAN_KINDS[item.value("kind", "kind", default="exhaust")],
                purpose=purpose,
                flow_m3_per_s=item.si("flow", "flow_m3_per_s", default=0.0),
                hours_per_day=item.si(
                    "hours_per_day",
                    "hours_per_day",
                    default=24.0 if continuous else DEFAULT_FAN_HOURS[purpose],
                ),
                recovery=item.si("recovery", "recovery", default=0.0),
                **more,
            )
        )
    return tuple(found)
