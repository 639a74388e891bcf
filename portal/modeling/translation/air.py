"""Measured leakage, hearths and fans."""

from calcs import leakage
from calcs.inputs import AirLeakage, Fan, Fireplace, Geometry, Origin
from portal.intake import derived
from portal.intake.document import Reader as RecordReader
from portal.modeling.translation.reading import Document

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


def air_leakage(document: Document, geometry: Geometry) -> AirLeakage:
    """The leakage of the house from its last audit test, or a default that says so."""
    result = derived.blower_door(RecordReader(document.content))
    if result is not None:
        document.origins["air_leakage"] = Origin(how="measured", source="blower-door test")
        flow50, exponent = result.flow50_m3_per_s, result.exponent
    else:
        flow50 = _default_ach50(geometry.year_built) * geometry.volume_m3 / SECONDS_PER_H
        exponent = leakage.EXPONENT_ASSUMED
        document.origins["air_leakage"] = Origin(
            how="default", source="by year built; not measured"
        )
    if not leakage.EXPONENT_LOW <= exponent <= leakage.EXPONENT_HIGH:
        # The test is invalid and the record says so; the flow at 50 Pa still stands.
        exponent = leakage.EXPONENT_ASSUMED
    return AirLeakage(
        flow50_m3_per_s=flow50,
        exponent=exponent,
        has_flue=_has_flue(document),
        fireplace=_fireplace(document),
    )


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
                vented_to=item.value("vented_to", "vented_to", default="outside"),
                **more,
            )
        )
    return tuple(found)
