"""Safety verdicts: compared unrounded, equal passes, stricter holds, nothing hidden."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calcs import safety
from calcs import safety_limits as limits
from calcs.errors import InputError
from calcs.safety_limits import VentedAppliance
from calcs.unit_factors import celsius_from_fahrenheit as degf

BOILER = VentedAppliance("heater", limits.NATURAL_DRAFT, "chimney")
WATER = VentedAppliance("water_heater", limits.NATURAL_DRAFT, "chimney")


@pytest.mark.parametrize(
    ("draft", "passes"), [(-1.6, True), (-1.5, True), (-1.4999, False), (0.0, False)]
)
def test_draft_compares_by_sign_and_equal_passes(draft, passes):
    # 50 F: 50/40 - 2.75 = -1.5 Pa, older building-analyst table
    verdict = safety.judge_draft(draft, outdoor_c=degf(50))
    assert verdict.passes is passes
    assert verdict.reading == draft
    assert verdict.source == limits.OLDER_STANDARD


@pytest.mark.parametrize("outdoor_degf", range(10, 91))
def test_draft_equal_to_the_limit_passes_at_every_whole_degree(outdoor_degf):
    reading = round(outdoor_degf / 40 - 2.75, 4)  # as typed, in decimals
    verdict = safety.judge_draft(reading, outdoor_c=degf(outdoor_degf))
    assert verdict.passes is True


@pytest.mark.parametrize("tenths", range(-40, 41))
def test_net_pressure_equal_to_the_limit_passes_in_decimals(tenths):
    verdict = safety.judge_zone(tenths / 10, (tenths - 30) / 10, [BOILER, WATER])
    assert verdict.passes is True
    assert safety.judge_zone(tenths / 10, (tenths - 31) / 10, [BOILER, WATER]).passes is False


def test_backdraft_keeps_its_number_and_its_own_words():
    verdict = safety.judge_draft(2.3, outdoor_c=5)
    assert (verdict.reading, verdict.words) == (2.3, "backdraft_shut_off")


@given(st.floats(-30, 40))
def test_draft_limit_is_continuous_and_bounded(outdoor):
    assert -2.5 <= limits.minimum_draft(outdoor).value <= -0.5
    assert limits.minimum_draft(outdoor + 0.5).value >= limits.minimum_draft(outdoor).value


def test_water_heater_left_alone_when_the_boiler_goes_sealed_is_an_orphan():
    before = limits.zone_limit([BOILER, WATER])
    after = limits.zone_limit([VentedAppliance("heater", limits.SEALED), WATER])
    assert (before.value, after.value) == (-3.0, -2.0)
    assert after.key == "caz.orphan_natural_draft_water_heater"


def test_zone_takes_its_strictest_appliance():
    zone = [
        VentedAppliance("heater", limits.INDUCED_DRAFT),
        VentedAppliance("water_heater", limits.NATURAL_DRAFT),
    ]
    assert limits.zone_limit(zone).value == -2.0
    assert limits.zone_limit([VentedAppliance("heater", limits.UNVENTED)]) is None
    assert limits.zone_limit([VentedAppliance("heater", limits.NATURAL_DRAFT)]).value == -5.0


@pytest.mark.parametrize(
    ("worst", "passes"), [(-1.8, True), (-1.8 - 1e-6, False), (-1.79, True), (3.0, True)]
)
def test_depressurization_is_a_change_from_baseline(worst, passes):
    # baseline +1.2 Pa, limit -3: the raw reading may go to -1.8
    verdict = safety.judge_zone(1.2, worst, [BOILER, WATER])
    assert verdict.passes is passes
    assert verdict.limit == -3.0


def test_depressurization_with_nothing_vented_has_no_verdict():
    assert safety.judge_zone(0, -8, [VentedAppliance("water_heater", limits.UNVENTED)]) is None


@pytest.mark.parametrize(
    ("seconds", "edition", "warm", "passes"),
    [
        (60, "stricter", True, True), (60.1, "stricter", True, False),
        (60.1, "stricter", False, False), (119, "bpi_1200", True, True),
        (121, "bpi_1200", True, False), (300, "bpi_1200", False, True),
        (301, "bpi_1200", False, False), (61, "older", False, False),
    ],
)  # fmt: skip
def test_spillage_stricter_edition_holds_by_default(seconds, edition, warm, passes):
    verdict = safety.judge_spillage(seconds, is_vent_warm=warm, edition=edition)
    assert verdict.passes is passes


def test_spillage_under_natural_conditions_stops_work():
    worst = safety.judge_spillage(90, is_vent_warm=True)
    natural = safety.judge_spillage(90, is_vent_warm=True, is_natural_condition=True)
    assert worst.words == "spills_in_worst_case"
    assert not worst.stops_work
    assert natural.words == "spills_shut_off_and_tag"
    assert natural.stops_work


def test_appliance_co_is_judged_on_its_own_basis():
    # 90 ppm at 12 % O2 is 211 air-free: fails a water heater (200), passes a boiler (400).
    heater = safety.judge_appliance_co("water_heater", 90, o2_pct=12)
    boiler = safety.judge_appliance_co("boiler", 90, o2_pct=12)
    assert heater.reading == pytest.approx(90 * 20.9 / 8.9)
    assert heater.passes is False
    assert boiler.passes is True
    assert boiler.words == "co_within_limit_tune"
    oven = safety.judge_appliance_co("oven", 225)
    assert oven.passes is True
    assert oven.reading == 225
    assert safety.judge_appliance_co("oven", 225.01).passes is False


def test_air_free_limit_needs_an_oxygen_reading():
    with pytest.raises(InputError, match="give the O2 reading"):
        safety.judge_appliance_co("boiler", 20)


def test_sample_of_air_is_not_a_pass():
    verdict = safety.judge_appliance_co("boiler", 6, o2_pct=20.2)
    assert verdict.passes is None
    assert verdict.words == "co_sample_is_air_resample"


def test_doubtful_sample_says_so_but_a_failure_stands():
    assert safety.judge_appliance_co("boiler", 10, o2_pct=18.5).words.endswith("doubtful")
    assert safety.judge_appliance_co("boiler", 90, o2_pct=18.5).passes is False


def test_climbing_co_fails_at_any_level():
    verdict = safety.judge_appliance_co("boiler", 15, o2_pct=6, is_rising=True)
    assert verdict.passes is False
    assert verdict.words == "co_rising_repair"


@pytest.mark.parametrize(
    ("ppm", "tier", "stops"),
    [
        (0, "under 9", False), (8.99, "under 9", False), (9, "9-35", False), (35, "9-35", False),
        (35.01, "36-69", True), (35.4, "36-69", True), (69.99, "36-69", True), (70, "70+", True),
        (400, "70+", True),
    ],
)  # fmt: skip
def test_ambient_tiers_have_no_gaps(ppm, tier, stops):
    assert safety.ambient_co_tier(ppm) == tier
    verdict = safety.judge_ambient_co(ppm)
    assert verdict.stops_work is stops
    assert verdict.passes is not stops
    assert verdict.reading == ppm


@pytest.mark.parametrize(
    ("lel", "smell", "code", "safe"),
    [
        (0, False, False, True), (9.99, False, False, True), (10, False, False, False),
        (0, True, False, False), (12, False, True, True), (20, False, True, False),
    ],
)  # fmt: skip
def test_gas_leaves_at_the_stricter_limit_or_by_smell(lel, smell, code, safe):
    verdict = safety.judge_gas(lel, is_smell_strong=smell, uses_code_limit=code)
    assert verdict.passes is safe
    assert verdict.stops_work is not safe


def test_worst_verdict_decides_and_no_verdict_is_not_a_pass():
    good = safety.judge_appliance_co("oven", 10)
    resample = safety.judge_appliance_co("boiler", 6, o2_pct=20.2)
    failed = safety.judge_spillage(200, is_vent_warm=True)
    stop = safety.judge_ambient_co(80)
    assert safety.worst([good, resample]) is resample
    assert safety.worst([resample, failed, good]) is failed
    assert safety.worst([good, failed, stop]) is stop
    with pytest.raises(InputError, match="no reading"):
        safety.worst([])


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: safety.judge_ambient_co(math.nan), "finite"),
        (lambda: safety.judge_ambient_co(-1), "ambient CO"),
        (lambda: safety.judge_draft(-500, outdoor_c=0), "draft"),
        (lambda: safety.judge_gas(120), "combustible gas"),
        (lambda: safety.judge_spillage(-1, is_vent_warm=True), "spillage time"),
        (lambda: safety.judge_spillage(5, is_vent_warm=True, edition="new"), "edition"),
        (lambda: safety.judge_appliance_co("toaster", 5), "unknown appliance"),
        (lambda: limits.zone_limit([VentedAppliance("stove", "natural_draft")]), "kind"),
        (lambda: limits.zone_limit([VentedAppliance("heater", "magic")]), "vent kind"),
    ],
)
def test_refusals_name_what_is_wrong(call, words):
    with pytest.raises(InputError, match=words):
        call()


def test_every_limit_names_its_source_and_provenance():
    rows = [
        *limits.CAZ_LIMITS.values(),
        *(entry.limit for entry in limits.APPLIANCE_CO_LIMITS.values()),
        *(entry.limit for entry in limits.PRODUCT_LISTING_CO_LIMITS.values()),
        *limits.ALARM_LONGEST_MIN.values(),
        limits.GAS_LEL_CODE,
        limits.GAS_LEL_DEFAULT,
        *(limit for head in limits.OIL_LIMITS.values() for limit in head.values()),
    ]
    assert all(row.source and row.provenance in ("read", "memory") for row in rows)
