"""Limits of the field safety tests as data: value, unit, edition, source, provenance.

Where published sources differ the stricter one is the default until the program decides in
writing. A limit known from memory only is marked so and must be confirmed against the document
before a program relies on it. Local codes and licensed practice go before every number here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from calcs.errors import InputError
from calcs.limits import PUBLISHED, Limit, Limits
from calcs.unit_factors import fahrenheit_from_celsius
from calcs.validation import require_known, require_within

OLDER_STANDARD = "BPI Technical Standards for the Building Analyst Professional (2005-2012)"
BPI_1200 = "ANSI/BPI-1200-S-2017 / NFPA 54 Annex G"
IRC_D = "2018 IRC Appendix D (from the 2018 International Fuel Gas Code)"


EDITIONS = {OLDER_STANDARD: "2005-2012", BPI_1200: "S-2017", IRC_D: "2018"}


def _limit(key: str, value: float, unit: str, sense: str, source: str, provenance: str) -> Limit:
    return Limit(key, value, unit, sense, source, provenance, EDITIONS.get(source, ""))


# Depressurization of the combustion appliance zone relative to outdoors, baseline removed.
CAZ_LIMITS: dict[str, Limit] = {
    key: _limit(f"caz.{key}", value, "Pa", "at_least", OLDER_STANDARD, provenance)
    for key, value, provenance in (
        ("orphan_natural_draft_water_heater", -2.0, "read"),
        ("natural_draft_heater_with_water_heater", -3.0, "read"),
        ("natural_draft_heater_alone", -5.0, "read"),
        ("natural_draft_heater_with_damper_and_water_heater", -5.0, "read"),
        ("induced_draft_heater_with_water_heater", -5.0, "read"),
        ("induced_or_power_vented_alone", -15.0, "read"),
        ("sealed_combustion", -50.0, "memory"),
    )
}

# Vent kinds of single appliances, as the field record names them.
NATURAL_DRAFT = "natural_draft"
NATURAL_DRAFT_DAMPER = "natural_draft_vent_damper"
INDUCED_DRAFT = "induced_draft"
POWER_VENTED = "power_vented"
SEALED = "sealed"
UNVENTED = "unvented"


@dataclass(frozen=True)
class VentedAppliance:
    """An appliance of the zone as it will stand after the planned work."""

    kind: str  # "water_heater" or "heater" (boiler, furnace, room heater)
    vent: str  # one of the vent kinds above
    chimney: str = ""  # appliances with the same non-empty name share a vent


@dataclass(frozen=True)
class SpillageLimit:
    """Longest time an appliance may spill after start. [s]"""

    warm: Limit
    cold: Limit


SPILLAGE_LIMITS: dict[str, SpillageLimit] = {
    "older": SpillageLimit(
        _limit("spillage.warm_vent", 60.0, "s", "at_most", OLDER_STANDARD, "read"),
        _limit("spillage.cold_vent", 60.0, "s", "at_most", OLDER_STANDARD, "read"),
    ),
    "bpi_1200": SpillageLimit(
        Limit("spillage.warm_vent", 120.0, "s", "at_most", "ANSI/BPI-1200", "memory", "S-2017"),
        Limit("spillage.cold_vent", 300.0, "s", "at_most", "ANSI/BPI-1200", "memory", "S-2017"),
    ),
}

AIR_FREE = "air-free"
AS_MEASURED = "as measured"


@dataclass(frozen=True)
class ApplianceCoLimit:
    """Highest acceptable CO of one appliance kind and the basis it is stated on."""

    limit: Limit
    basis: str


APPLIANCE_CO_LIMITS: dict[str, ApplianceCoLimit] = {
    key: ApplianceCoLimit(
        _limit(f"appliance_co.{key}", value, "ppm", "at_most", BPI_1200, "memory"), basis
    )
    for key, value, basis in (
        ("central_furnace", 400.0, AIR_FREE),
        ("floor_furnace", 400.0, AIR_FREE),
        ("gravity_furnace", 400.0, AIR_FREE),
        ("boiler", 400.0, AIR_FREE),
        ("direct_vent_wall_furnace", 400.0, AIR_FREE),
        ("clothes_dryer", 400.0, AIR_FREE),
        ("water_heater", 200.0, AIR_FREE),
        ("built_in_wall_furnace", 200.0, AIR_FREE),
        ("vented_room_heater", 200.0, AIR_FREE),
        ("unvented_room_heater", 200.0, AIR_FREE),
        ("oven", 225.0, AS_MEASURED),
        ("range_top_burner", 25.0, AS_MEASURED),
        ("gas_refrigerator", 25.0, AS_MEASURED),
        ("gas_fireplace", 25.0, AS_MEASURED),
        ("gas_log_set", 400.0, AIR_FREE),
    )
}
TUNED_BURNER_PPM = 100.0  # a tuned burner stays under this and steady (trade practice)

_Z21 = "ANSI product-listing limits (Z21 series), as listed on an inspectors' reference page"
PRODUCT_LISTING_CO_LIMITS: dict[str, ApplianceCoLimit] = {
    key: ApplianceCoLimit(
        Limit(f"product_co.{key}", value, "ppm", "at_most", _Z21, "read"), AIR_FREE
    )
    for key, value in (
        ("gas_furnace", 400.0),
        ("unvented_space_heater", 200.0),
        ("unvented_oven", 800.0),
    )
}


@dataclass(frozen=True)
class AmbientTier:
    """A band of ambient CO. Above `above_ppm` (or from it, when `is_inclusive`)."""

    key: str
    label: str
    above_ppm: float
    is_inclusive: bool
    lower_bound_ppm: float  # as printed by the source, whole numbers
    stops_work: bool
    action: str
    source: str
    provenance: str


_TIERS = "ANSI/BPI-1200 ambient CO actions, as reproduced in a utility form"
# Highest first. Bands have no gaps: 35.4 is above 35. Stopping work above 35 is the older
# standard's rule and the stricter one; the newer one stops only at 70.
AMBIENT_TIERS: tuple[AmbientTier, ...] = (
    AmbientTier("evacuate", "70+", 70.0, True, 70.0, True, "evacuate_and_call", _TIERS, "read"),
    AmbientTier(
        "stop", "36-69", 35.0, False, 36.0, True, "stop_sources_off_ventilate",
        f"{_TIERS}; stop above 35: {OLDER_STANDARD}", "read",
    ),
    AmbientTier("advise", "9-35", 9.0, True, 9.0, False, "find_source_and_ventilate", _TIERS,
                "read"),
    AmbientTier("clear", "under 9", 0.0, True, 0.0, False, "none", _TIERS, "read"),
)  # fmt: skip
AMBIENT_STOP_OLDER = _limit("ambient_co.stop", 35.0, "ppm", "at_most", OLDER_STANDARD, "read")
AMBIENT_CONTINUE_BELOW = _limit("ambient_co.continue_below", 30.0, "ppm", "at_most", IRC_D, "read")


def tier_limit(tier: AmbientTier, limits: Limits = PUBLISHED) -> Limit:
    """Where a tier begins, as it is in effect. [ppm]"""
    return limits.apply(
        Limit(
            f"ambient_co.{tier.key}",
            tier.above_ppm,
            "ppm",
            "at_most",
            tier.source,
            tier.provenance,
            "S-2017" if tier.key != "stop" else EDITIONS[OLDER_STANDARD],
        )
    )


GAS_LEL_CODE = _limit("combustible_gas.code", 20.0, "% LEL", "at_most", IRC_D, "read")
GAS_LEL_DEFAULT = Limit(
    "combustible_gas.leave",
    10.0,
    "% LEL",
    "at_most",
    "common program rule, read in one notice",
    "read",
)
BURNER_RUN_BEFORE_CO_MIN = _limit("burner_run", 5.0, "min", "at_least", IRC_D, "read")

_UL = "UL 2034 alarm points, as reproduced by several alarm makers"
# Longest time before a listed CO alarm must sound. [min] by CO. [ppm]
ALARM_LONGEST_MIN: dict[int, Limit] = {
    70: Limit("alarm.70", 240.0, "min", "at_most", _UL, "read"),
    150: Limit("alarm.150", 50.0, "min", "at_most", _UL, "read"),
    400: Limit("alarm.400", 15.0, "min", "at_most", _UL, "read"),
}

# Oil burners: flame-retention head / older gun (memory; partly read in trade sheets).
_OIL = "oil-burner service practice, partly read in trade sheets"
OIL_LIMITS: dict[str, dict[str, Limit]] = {
    head: {
        "smoke_spot": Limit(f"oil.{head}.smoke_spot", smoke, "-", "at_most", _OIL, "memory"),
        "o2_low": Limit(f"oil.{head}.o2_low", 4.0, "%", "at_least", _OIL, "memory"),
        "o2_high": Limit(f"oil.{head}.o2_high", o2_high, "%", "at_most", _OIL, "memory"),
        "co_as_measured": Limit(f"oil.{head}.co", 100.0, "ppm", "at_most", _OIL, "memory"),
    }
    for head, smoke, o2_high in (("flame_retention", 1.0, 7.0), ("older_gun", 2.0, 9.0))
}


# Draft by outdoor temperature: below 10 °F, the intercept of T/40 between, above 90 °F. [Pa]
DRAFT_LIMITS: dict[str, Limit] = {
    key: _limit(f"draft.{key}", value, "Pa", "at_most", OLDER_STANDARD, "memory")
    for key, value in (("below_10_degf", -2.5), ("intercept", -2.75), ("above_90_degf", -0.5))
}


def minimum_draft(outdoor_c: float, *, limits: Limits = PUBLISHED) -> Limit:
    """Draft a natural-draft appliance must reach at an outdoor temperature. [Pa]

    The source defines it in Fahrenheit: -2.5 below 10, Tout/40 - 2.75 from 10 to 90, -0.5
    above 90. Source: older building-analyst standard (memory).
    """
    require_within(outdoor_c, -60, 60, "outdoor temperature", "C")
    outdoor_degf = round(fahrenheit_from_celsius(outdoor_c), 9)
    if outdoor_degf < 10.0:
        found = limits.apply(DRAFT_LIMITS["below_10_degf"])
    elif outdoor_degf > 90.0:
        found = limits.apply(DRAFT_LIMITS["above_90_degf"])
    else:
        found = limits.apply(DRAFT_LIMITS["intercept"])
        # Nine decimals take off the noise of the conversion: equal to the limit passes.
        found = replace(found, value=round(outdoor_degf / 40.0 + found.value, 9))
    return replace(found, key="minimum_draft")


def caz_limit_key(appliance: VentedAppliance, others: Sequence[VentedAppliance]) -> str | None:
    """Row of CAZ_LIMITS for one appliance beside the others; None for an unvented one."""
    if appliance.kind not in ("water_heater", "heater"):
        raise InputError(f"appliance kind must be water_heater or heater, got {appliance.kind!r}")
    if appliance.vent == UNVENTED:
        return None
    if appliance.vent == SEALED:
        return "sealed_combustion"
    partners = [
        other
        for other in others
        if other is not appliance
        and appliance.chimney
        and other.chimney == appliance.chimney
        and other.vent not in (SEALED, UNVENTED)
    ]
    family = [appliance, *partners]
    has_water_heater = any(member.kind == "water_heater" for member in family)
    heaters = [member for member in family if member.kind == "heater"]
    natural = (NATURAL_DRAFT, NATURAL_DRAFT_DAMPER)
    if appliance.vent not in (*natural, INDUCED_DRAFT, POWER_VENTED):
        raise InputError(f"unknown vent kind {appliance.vent!r}")
    if has_water_heater and heaters:
        if any(member.vent == NATURAL_DRAFT for member in heaters):
            return "natural_draft_heater_with_water_heater"
        if any(member.vent == NATURAL_DRAFT_DAMPER for member in heaters):
            return "natural_draft_heater_with_damper_and_water_heater"
        return "induced_draft_heater_with_water_heater"
    if appliance.vent in (INDUCED_DRAFT, POWER_VENTED):
        return "induced_or_power_vented_alone"
    return "orphan_natural_draft_water_heater" if not heaters else "natural_draft_heater_alone"


def zone_limit(
    appliances: Sequence[VentedAppliance], *, limits: Limits = PUBLISHED
) -> Limit | None:
    """Strictest depressurization limit of a zone; None when nothing in it is vented.

    Give the appliances as they stand after the planned work: a water heater left alone when a
    boiler goes sealed is an orphan, -2 Pa.
    """
    keys = [caz_limit_key(appliance, appliances) for appliance in appliances]
    found = [limits.apply(CAZ_LIMITS[key]) for key in keys if key is not None]
    return max(found, key=lambda limit: limit.value) if found else None


def spillage_limit(
    *, is_vent_warm: bool, edition: str = "stricter", limits: Limits = PUBLISHED
) -> Limit:
    """Spillage time limit of an edition ("older", "bpi_1200"), or the one in effect. [s]

    In effect is what the program adopted, else the stricter of all editions.
    """
    chosen = (
        list(SPILLAGE_LIMITS.values())
        if edition == "stricter"
        else [require_known(SPILLAGE_LIMITS, edition, "spillage edition")]
    )
    found = [entry.warm if is_vent_warm else entry.cold for entry in chosen]
    strictest = min(found, key=lambda limit: limit.value)
    return limits.apply(strictest) if edition == "stricter" else strictest


def appliance_co_limit(appliance: str, *, limits: Limits = PUBLISHED) -> ApplianceCoLimit:
    """CO threshold of an appliance kind. Raises InputError for an unknown one."""
    entry = require_known(APPLIANCE_CO_LIMITS, appliance, "appliance")
    return replace(entry, limit=limits.apply(entry.limit))
