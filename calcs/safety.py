"""Judging field safety readings against their limits.

Readings are compared as measured, never rounded, averaged or hidden. Equal to a limit passes.
A missing reading is not a pass: these functions refuse it, and the caller records why the test
could not be made. `words` is a key the portal turns into a sentence of what to do.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from calcs.combustion import co_air_free
from calcs.errors import InputError
from calcs.guards import guarded
from calcs.limits import PUBLISHED, Limits
from calcs.safety_limits import (
    AIR_FREE,
    AMBIENT_CONTINUE_BELOW,
    AMBIENT_TIERS,
    GAS_LEL_CODE,
    GAS_LEL_DEFAULT,
    OIL_LIMITS,
    TUNED_BURNER_PPM,
    Limit,
    VentedAppliance,
    appliance_co_limit,
    minimum_draft,
    spillage_limit,
    tier_limit,
    zone_limit,
)
from calcs.validation import (
    require_finite,
    require_known,
    require_not_negative,
    require_within,
)


@dataclass(frozen=True)
class Verdict:
    """One reading judged. `passes` is None when the sample cannot be judged (re-take it)."""

    test: str
    reading: float
    limit: float | None
    unit: str
    passes: bool | None
    source: str
    provenance: str
    words: str
    stops_work: bool = False


def _holds(reading: float, limit: Limit) -> bool:
    return reading <= limit.value if limit.sense == "at_most" else reading >= limit.value


def _verdict(
    test: str, reading: float, limit: Limit, *, passed: str, failed: str, stops_work: bool = False
) -> Verdict:
    passes = _holds(reading, limit)
    return Verdict(
        test=test,
        reading=reading,
        limit=limit.value,
        unit=limit.unit,
        passes=passes,
        source=limit.source,
        provenance=limit.provenance,
        words=passed if passes else failed,
        stops_work=stops_work and not passes,
    )


def judge_draft(draft_pa: float, *, outdoor_c: float, limits: Limits = PUBLISHED) -> Verdict:
    """Draft of a natural-draft appliance; pressures are negative and compare by sign.

    -1.6 Pa passes a -1.5 Pa requirement. Above 0 the vent backdrafts: the number is kept.
    """
    require_within(draft_pa, -150, 100, "draft", "Pa")
    limit = minimum_draft(outdoor_c, limits=limits)
    failed = "backdraft_shut_off" if draft_pa > 0 else "draft_too_weak"
    return _verdict("draft", draft_pa, limit, passed="draft_enough", failed=failed)


def net_zone_pressure_pa(baseline_pa: float, worst_case_pa: float) -> float:
    """Change of the zone from its baseline: worst case less baseline. [Pa]"""
    require_within(baseline_pa, -50, 50, "baseline pressure", "Pa")
    require_within(worst_case_pa, -150, 100, "worst-case pressure", "Pa")
    # Nine decimals take off binary noise only, so that decimals equal to a limit are equal.
    return round(worst_case_pa - baseline_pa, 9)


def judge_depressurization(net_pa: float, limit: Limit) -> Verdict:
    """Net depressurization of a zone; more negative than the limit fails."""
    require_finite(net_pa, "net zone pressure")
    return _verdict(
        "depressurization",
        net_pa,
        limit,
        passed="zone_holds",
        failed="zone_too_deep_no_tightening",
    )


def judge_zone(
    baseline_pa: float,
    worst_case_pa: float,
    appliances_after_work: Sequence[VentedAppliance],
    *,
    limits: Limits = PUBLISHED,
) -> Verdict | None:
    """Depressurization of a zone against its strictest appliance after the planned work.

    None when nothing in the zone is vented.
    """
    limit = zone_limit(appliances_after_work, limits=limits)
    if limit is None:
        return None
    return judge_depressurization(net_zone_pressure_pa(baseline_pa, worst_case_pa), limit)


@guarded
def judge_spillage(
    seconds: float,
    *,
    is_vent_warm: bool,
    edition: str = "stricter",
    is_natural_condition: bool = False,
    limits: Limits = PUBLISHED,
) -> Verdict:
    """Spillage time at the draft diverter after start.

    Failed in the worst case: stop the exhausts, let the vent cool, repeat under natural
    conditions; no tightening and no new exhaust until cured. Failed under natural conditions
    too: shut off, tag, tell the occupant in writing.
    """
    require_not_negative(seconds, "spillage time", "s")
    return _verdict(
        "spillage_natural" if is_natural_condition else "spillage_worst_case",
        seconds,
        spillage_limit(is_vent_warm=is_vent_warm, edition=edition, limits=limits),
        passed="vents_properly",
        failed="spills_shut_off_and_tag" if is_natural_condition else "spills_in_worst_case",
        stops_work=is_natural_condition,
    )


@guarded
def judge_appliance_co(
    appliance: str,
    co_ppm: float,
    *,
    o2_pct: float | None = None,
    is_rising: bool = False,
    limits: Limits = PUBLISHED,
) -> Verdict:
    """CO of one appliance on the basis its limit is stated on; worst port counts.

    Raises InputError when the limit is air-free and no O2 was given. From 20 % O2 the sample
    cannot be judged; from 18 % a pass is doubtful and says so, a failure stands. A reading that
    climbs while watched fails at any level. Limits are upper bounds, not targets.
    """
    require_not_negative(co_ppm, "CO", "ppm")
    entry = appliance_co_limit(appliance, limits=limits)
    reading, is_doubtful = co_ppm, False
    if entry.basis == AIR_FREE:
        if o2_pct is None:
            raise InputError(f"CO of {appliance} is judged air-free: give the O2 reading in %")
        air_free = co_air_free(co_ppm, o2_pct)
        is_doubtful = air_free.quality == "query"
        if air_free.air_free_ppm is None:
            return Verdict(
                "appliance_co",
                co_ppm,
                entry.limit.value,
                "ppm",
                None,
                entry.limit.source,
                entry.limit.provenance,
                "co_sample_is_air_resample",
            )
        reading = air_free.air_free_ppm
    passed = "co_within_limit"
    if is_doubtful:
        passed = "co_within_limit_sample_doubtful"
    elif reading >= TUNED_BURNER_PPM and entry.limit.value > TUNED_BURNER_PPM:
        passed = "co_within_limit_tune"
    verdict = _verdict(
        "appliance_co",
        reading,
        entry.limit,
        passed=passed,
        failed="co_above_limit_repair",
        stops_work=True,
    )
    if is_rising and verdict.passes:
        return Verdict(
            verdict.test,
            reading,
            entry.limit.value,
            "ppm",
            False,
            "a reading that climbs fails at any level (trade practice)",
            "memory",
            "co_rising_repair",
            stops_work=True,
        )
    return verdict


def judge_ambient_co(co_ppm: float, *, limits: Limits = PUBLISHED) -> Verdict:
    """Ambient CO in the living space, stricter of the published tiers.

    70 and up: everybody out, call from outside. Above 35: stop ordinary work, sources off,
    ventilate, occupants out of that space. 9 to 35: find the source and ventilate.
    """
    require_not_negative(co_ppm, "ambient CO", "ppm")
    stop = next(tier for tier in AMBIENT_TIERS if tier.key == "stop")
    for tier in AMBIENT_TIERS:
        above = tier_limit(tier, limits)
        reached = co_ppm >= above.value if tier.is_inclusive else co_ppm > above.value
        if reached:
            return Verdict(
                "ambient_co",
                co_ppm,
                tier_limit(stop, limits).value,
                "ppm",
                not tier.stops_work,
                above.source,
                above.provenance,
                f"ambient_{tier.key}",
                stops_work=tier.stops_work,
            )
    raise InputError(f"ambient CO {co_ppm!r} ppm fits no tier")


def ambient_co_tier(co_ppm: float) -> str:
    """Printed label of the tier a reading falls in: "under 9", "9-35", "36-69", "70+"."""
    key = judge_ambient_co(co_ppm).words.removeprefix("ambient_")
    return next(tier.label for tier in AMBIENT_TIERS if tier.key == key)


@guarded
def may_inspect_by_code(co_ppm: float, *, limits: Limits = PUBLISHED) -> bool:
    """Whether the code text lets an appliance inspection go on: ambient CO below 30 ppm."""
    limit = limits.apply(AMBIENT_CONTINUE_BELOW)
    return require_not_negative(co_ppm, "ambient CO", "ppm") < limit.value


@guarded
def judge_inspection(co_ppm: float, *, limits: Limits = PUBLISHED) -> Verdict:
    """Whether appliances in a room may be tested on: the code text's 30 ppm, reached is failed.

    Between this limit and the one that stops all work the tester stops the burners, airs the room
    and finds the source before going on.
    """
    limit = limits.apply(AMBIENT_CONTINUE_BELOW)
    may_go_on = may_inspect_by_code(co_ppm, limits=limits)
    return Verdict(
        test="ambient_co_inspection",
        reading=co_ppm,
        limit=limit.value,
        unit=limit.unit,
        passes=may_go_on,
        source=limit.source,
        provenance=limit.provenance,
        words="inspection_goes_on" if may_go_on else "inspection_stops",
    )


OIL_READINGS = {
    "smoke_spot": ("smoke_spot",),
    "o2": ("o2_low", "o2_high"),
    "co": ("co_as_measured",),
}


def judge_oil(
    reading: str, value: float, *, head: str = "flame_retention", limits: Limits = PUBLISHED
) -> Verdict:
    """Smoke spot, oxygen or CO as measured of an oil burner, by its head. [-], [%], [ppm]

    An unknown head counts as flame retention, which has the stricter limits. Oxygen has two
    limits; the verdict names the one that decides. Zero smoke does not exclude CO.

    Raises
    ------
    InputError
        Another reading or head, or a value that cannot be measured.
    """
    keys = require_known(OIL_READINGS, reading, "oil-burner reading")
    table = require_known(OIL_LIMITS, head, "burner head")
    require_not_negative(value, reading, "as measured")
    found = [limits.apply(table[key]) for key in keys]
    broken = [limit for limit in found if not _holds(value, limit)]
    return _verdict(
        f"oil_{reading}",
        value,
        (broken or found[-1:])[0],
        passed="oil_within_limit",
        failed="oil_out_of_tune" if reading == "o2" else "oil_service_first",
    )


def judge_gas(
    lel_pct: float,
    *,
    is_smell_strong: bool = False,
    uses_code_limit: bool = False,
    limits: Limits = PUBLISHED,
) -> Verdict:
    """Combustible gas in room air; from the limit on, or with a strong smell, everybody leaves.

    Default 10 % LEL, the code text has 20 %. Here reaching the limit is already a failure, and
    a smell with a zero reading still counts.
    """
    require_within(lel_pct, 0, 100, "combustible gas", "% LEL")
    limit = limits.apply(GAS_LEL_CODE if uses_code_limit else GAS_LEL_DEFAULT)
    is_safe = lel_pct < limit.value and not is_smell_strong
    return Verdict(
        "combustible_gas",
        lel_pct,
        limit.value,
        limit.unit,
        is_safe,
        limit.source,
        limit.provenance,
        "gas_none" if is_safe else "gas_leave_and_call",
        stops_work=not is_safe,
    )


def worst(verdicts: Sequence[Verdict]) -> Verdict:
    """The verdict that decides: a failure that stops work, a failure, a sample to re-take, a pass.

    Raises InputError for an empty list; nothing tested is not a pass.
    """
    if not verdicts:
        raise InputError("no reading to judge")

    def rank(verdict: Verdict) -> int:
        if verdict.passes is False:
            return 0 if verdict.stops_work else 1
        return 2 if verdict.passes is None else 3

    return min(verdicts, key=rank)
