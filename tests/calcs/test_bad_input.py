"""Bad input gets the right answer or an error that names field, value, limit and unit.

Never a silent number: every numeric field of every record, every number of the thermal network and
every number of every formula is tried with what it cannot be. Records and samples come from the
code itself, so that a new field is tried without being named here.
"""

from __future__ import annotations

import dataclasses
import inspect
import math
import re
import sys
import types
import typing
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import wraps
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calcs import inputs, leakage, network, water_heating
from calcs.baseline import evaluate
from calcs.checks.registry import solver_for
from calcs.checks.rows import load_rows
from calcs.errors import CalcsError, InputError
from calcs.formulas import FIELD_TESTS
from calcs.guards import range_of
from calcs.hourly import simulate
from calcs.records import Checked
from calcs.weather import WeatherYear
from calcs.weather_files import parse_weather
from tests.calcs.buildings import BATT, GREENSBORO, house, steady_weather
from tests.factories.house_parts import PRICES
from tests.factories.houses import balloon_frame_1910, ranch_1958
from tests.factories.weather import greensboro

NOT_NUMBERS = (math.nan, math.inf, -math.inf)


# -- Records of a house ------------------------------------------------------------------------

RECORDS = sorted(
    (
        item
        for item in vars(inputs).values()
        if isinstance(item, type) and issubclass(item, Checked) and item is not Checked
    ),
    key=lambda item: item.__name__,
)


def sample(kind: type) -> dict[str, Any]:
    """The least that makes a record: the middle of each range, the first of each choice."""
    hints = typing.get_type_hints(kind)
    values: dict[str, Any] = {}
    for item in dataclasses.fields(kind):
        has_default = (
            item.default is not dataclasses.MISSING
            or item.default_factory is not dataclasses.MISSING
        )
        if has_default:
            continue
        if "low" in item.metadata:
            middle = (item.metadata["low"] + item.metadata["high"]) / 2.0
            values[item.name] = int(middle) if hints[item.name] is int else middle
        elif "values" in item.metadata:
            values[item.name] = item.metadata["values"][0]
        elif dataclasses.is_dataclass(hints[item.name]):
            inner = typing.cast(type, hints[item.name])
            values[item.name] = inner(**sample(inner))
        else:
            values[item.name] = "x"
    return values


QUANTITIES = [
    pytest.param(kind, item, id=f"{kind.__name__}.{item.name}")
    for kind in RECORDS
    for item in dataclasses.fields(kind)
    if "low" in item.metadata
]
CHOICES = [
    pytest.param(kind, item.name, id=f"{kind.__name__}.{item.name}")
    for kind in RECORDS
    for item in dataclasses.fields(kind)
    if "values" in item.metadata
]


@pytest.mark.parametrize("kind", RECORDS, ids=lambda kind: kind.__name__)
def test_the_samples_are_records(kind: type) -> None:
    """Control: what is refused below is refused for the one value that was spoiled."""
    kind(**sample(kind))


@pytest.mark.parametrize(("kind", "item"), QUANTITIES)
def test_a_field_of_a_record_refuses_what_it_cannot_be(
    kind: type, item: dataclasses.Field[Any]
) -> None:
    low, high, unit = (item.metadata[key] for key in ("low", "high", "unit"))
    reach = max(abs(low), abs(high), 1.0)
    for value in (*NOT_NUMBERS, low - 0.01 * reach, high + 0.01 * reach, "12", True):
        with pytest.raises(InputError) as refused:
            kind(**{**sample(kind), item.name: value})
        said = str(refused.value)
        for part in (f"{kind.__name__}.{item.name}", repr(value), f"{low:g}", f"{high:g}", unit):
            assert part in said, f"{part} is not in: {said}"


@pytest.mark.parametrize(("kind", "name"), CHOICES)
def test_a_choice_of_a_record_refuses_a_word_that_is_not_one(kind: type, name: str) -> None:
    with pytest.raises(InputError, match=f"{kind.__name__}.{name} is 'horoscope'; use one of"):
        kind(**{**sample(kind), name: "horoscope"})


# -- The thermal network -----------------------------------------------------------------------

WALL: dict[str, Any] = {
    "name": "wall", "component": "walls", "area_m2": 10.0, "layers": BATT, "zone_in": "house",
}  # fmt: skip
PARTS: list[tuple[type, dict[str, Any]]] = [
    (network.Layer, {"resistance_m2k_per_w": 1.0, "heat_capacity_j_per_m2k": 1000.0}),
    (network.OpaqueElement, WALL),
    (network.Zone, {"name": "house", "volume_m3": 250.0}),
    (network.AirChange, {"air_changes_per_hour": 0.5}),
    (network.EnvelopeLeakage, {"stack_m3_per_s": 0.01, "wind_m3_per_s": 0.01}),
    (network.AirPath, {"source_zone": "a", "target_zone": "b", "flow_m3_per_s": 0.1}),
    (network.Ventilation, {"zone": "house", "supply_m3_per_s": 0.1}),
    (network.DistributionLoss, {"zone": "house", "to_zone": "attic", "heating_factor": 0.1}),
    (network.Overhang, {"depth_m": 0.5}),
    (network.SideFin, {"depth_m": 0.5}),
    (network.Options, {}),
]


def number_fields(kind: type) -> Iterator[str]:
    """Fields that take a number or a schedule of numbers."""
    hints = typing.get_type_hints(kind)
    for item in dataclasses.fields(kind):
        text = str(hints[item.name])
        if hints[item.name] in (float, int) or "float" in text:
            yield item.name


NUMBERS = [
    pytest.param(kind, given_, name, id=f"{kind.__name__}.{name}")
    for kind, given_ in PARTS
    for name in number_fields(kind)
]


@pytest.mark.parametrize(("kind", "given_", "name"), NUMBERS)
def test_a_number_of_the_network_is_finite(kind: type, given_: dict[str, Any], name: str) -> None:
    kind(**given_)
    more = {"zone_out": network.GROUND} if name == "ground_temperature_c" else {}
    with pytest.raises(InputError) as refused:
        kind(**{**given_, **more, name: math.nan})
    # The message speaks of the field in words: heating set-point, air path flow.
    words = [part for part in re.split(r"[_\W]+", name) if len(part) > 2]
    said = str(refused.value).lower().replace("-", "")
    assert any(word.rstrip("s") in said for word in words) or "temperature" in said, said


@pytest.mark.parametrize("hours", [1, 8759, 8784, 35039])
def test_a_schedule_has_the_hours_of_a_year(hours: int) -> None:
    with pytest.raises(InputError, match=rf"one number, 8760 or 35040 values: \({hours},\)"):
        network.Zone(name="house", volume_m3=250.0, convective_gain_w=np.ones(hours))


def test_zero_volume_and_negative_area_are_refused_by_name() -> None:
    with pytest.raises(InputError, match=r"volume of zone house must be above 0 m³, got 0"):
        network.Zone(name="house", volume_m3=0.0)
    with pytest.raises(InputError, match=r"area of element wall must be above 0 m², got -10"):
        network.OpaqueElement(**{**WALL, "area_m2": -10.0})
    with pytest.raises(InputError, match=r"conditioned volume must be above 0 m3, got 0"):
        leakage.blower_door_test([-50], [1.0], baselines_pa=[0.0], volume_m3=0.0)


# -- Formulas ------------------------------------------------------------------------------------


def published_calls() -> dict[str, dict[str, Any]]:
    """What the published rows call each formula with, by its name."""
    calls: dict[str, dict[str, Any]] = {}
    replaced: list[tuple[types.ModuleType, str, Callable[..., Any]]] = []

    def listening(name: str, function: Callable[..., Any]) -> Callable[..., Any]:
        @wraps(function)
        def heard(*args: Any, **named: Any) -> Any:
            bound = inspect.signature(function).bind(*args, **named)
            bound.apply_defaults()
            calls.setdefault(name, dict(bound.arguments))
            return function(*args, **named)

        return heard

    for test in FIELD_TESTS.values():
        module = sys.modules[test.function.__module__]
        replaced.append((module, test.function.__name__, test.function))
        setattr(module, test.function.__name__, listening(test.name, test.function))
    try:
        for row in load_rows():
            solver = solver_for(row)
            assert solver is not None
            solver(row.inputs)
    finally:
        for module, name, function in replaced:
            setattr(module, name, function)
    return calls


# What no published row calls.
OTHER_CALLS: dict[str, dict[str, Any]] = {
    "enhanced_infiltration": {
        "coefficient_m3_per_s_pa_n": 0.05, "exponent": 0.65, "temperature_difference_k": 20.0,
        "wind_m_per_s": 3.0, "stories": 1, "shelter_class": 3,
    },
    "judge_spillage": {"seconds": 40.0, "is_vent_warm": True},
    "judge_appliance_co": {"appliance": "boiler", "co_ppm": 40.0, "o2_pct": 6.0},
    "judge_gas": {"lel_pct": 2.0},
    "may_inspect_by_code": {"co_ppm": 10.0},
    "attic_insulation": {
        "new_m2k_per_w": 3.3, "depth_new_m": 0.15, "depth_now_m": 0.1, "condition": "fair",
        "other_m2k_per_w": 0.3,
    },
    "heating_degree_days": {"daily_mean_c": [0.0, 5.0, 20.0], "base_c": 18.0},
    "cooling_degree_days": {"daily_mean_c": [0.0, 5.0, 20.0], "base_c": 18.0},
    "cop_from_seer": {"seer_btu_per_wh": 14.0},
    "lamp_annual": {"watts": 60.0, "hours_per_day": 3.0},
    "leave_until": {
        "installed_year": 2010, "this_year": 2026, "kind": "boiler", "table": "trade_boiler",
    },
    "nmbe": {"measured": [1.0, 2.0, 3.0], "modeled": [1.1, 1.9, 3.2]},
    "cv_rmse": {"measured": [1.0, 2.0, 3.0], "modeled": [1.1, 1.9, 3.2]},
    "t_statistic": {"confidence": 0.9, "degrees_of_freedom": 10},
    "fractional_savings_uncertainty": {
        "t": 1.7, "cv_rmse_fraction": 0.2, "points_before": 12, "points_after": 12,
        "savings_fraction": 0.1,
    },
}  # fmt: skip
CALLS = {**OTHER_CALLS, **published_calls()}
SAMPLED = [name for name in FIELD_TESTS if name in CALLS]
# Their records have tests of their own: a duct system, and bills with the weather of their days.
NOT_SAMPLED = {"cooling_delivery", "fit_heating_bills", "o2_pct_from_co2"}


def call(name: str, arguments: dict[str, Any]) -> Any:
    function = FIELD_TESTS[name].function
    positional, named = [], {}
    for parameter in inspect.signature(function).parameters.values():
        if parameter.name not in arguments:
            continue
        if parameter.kind == inspect.Parameter.KEYWORD_ONLY:
            named[parameter.name] = arguments[parameter.name]
        else:
            positional.append(arguments[parameter.name])
    return function(*positional, **named)


def is_number(value: Any) -> bool:
    return isinstance(value, int | float | np.number) and not isinstance(value, bool)


def spoiled(value: Any, by: Any) -> Iterator[Any]:
    """The value spoiled once: the number, one of a list, or a field of a record by name."""
    if is_number(value):
        yield by
    elif isinstance(value, list | tuple | np.ndarray) and len(value) and is_number(value[0]):
        yield [by, *list(value)[1:]]


def test_nearly_every_formula_is_tried() -> None:
    assert set(FIELD_TESTS) - set(SAMPLED) == NOT_SAMPLED
    for name in SAMPLED:
        call(name, CALLS[name])


@pytest.mark.parametrize("name", SAMPLED)
def test_a_formula_refuses_what_is_no_number(name: str) -> None:
    """NaN and infinity in any place: an error that says which number, never an answer."""
    tried = 0
    for parameter, value in CALLS[name].items():
        for bad in NOT_NUMBERS:
            for spoilt in spoiled(value, bad):
                with pytest.raises(CalcsError):
                    call(name, {**CALLS[name], parameter: spoilt})
                tried += 1
        if dataclasses.is_dataclass(value) and not isinstance(value, type):
            for item in dataclasses.fields(value):
                if item.init and is_number(getattr(value, item.name)):
                    with pytest.raises(InputError, match=r"must be|given"):
                        call(
                            name,
                            {**CALLS[name], parameter: replace(value, **{item.name: math.nan})},
                        )
                    tried += 1
    has_numbers = any(
        is_number(value) or dataclasses.is_dataclass(value) or isinstance(value, list | tuple)
        for value in CALLS[name].values()
    )
    assert tried > 0 or not has_numbers


NEVER_NEGATIVE = ("m2", "m3", "m2k_per_w", "w_per_k", "w_per_m2k", "kg_per_m3", "ppm", "m_per_s")


@pytest.mark.parametrize("name", SAMPLED)
def test_a_formula_refuses_a_negative_area_volume_or_resistance(name: str) -> None:
    for parameter, value in CALLS[name].items():
        is_one = any(parameter == end or parameter.endswith(f"_{end}") for end in NEVER_NEGATIVE)
        if not is_one or "reduction" in parameter:
            continue
        for spoilt in spoiled(value, -1.0):
            with pytest.raises(InputError, match=r"-\d|above 0|below 0"):
                call(name, {**CALLS[name], parameter: spoilt})


@pytest.mark.parametrize("name", SAMPLED)
def test_a_formula_refuses_a_share_above_one(name: str) -> None:
    for parameter, value in CALLS[name].items():
        if is_number(value) and range_of(parameter)[1:] == (1.0, "(a fraction)"):
            with pytest.raises(InputError, match=r"1\.5"):
                call(name, {**CALLS[name], parameter: 1.5})


EXPONENTS = [name for name in SAMPLED if "exponent" in CALLS[name]]


@pytest.mark.parametrize("name", EXPONENTS)
def test_an_exponent_of_1_4_is_refused_wherever_there_is_one(name: str) -> None:
    with pytest.raises(InputError, match=r"exponent must be from 0\.5 to 1 .*, got 1\.4"):
        call(name, {**CALLS[name], "exponent": 1.4})


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(SAMPLED), st.data())
def test_no_formula_answers_with_what_is_no_number(name: str, data: st.DataObject) -> None:
    """Any finite numbers: an answer that is a number, or a refusal; nothing else, and no crash."""
    arguments = {
        parameter: data.draw(st.floats(-1e4, 1e4)) if isinstance(value, float) else value
        for parameter, value in CALLS[name].items()
    }
    try:
        answer = call(name, arguments)
    except CalcsError:
        return
    for number in numbers_of(answer):
        assert math.isfinite(number), f"{name}({arguments}) is {answer}"


def numbers_of(answer: Any) -> Iterator[float]:
    if is_number(answer):
        yield float(answer)
    elif dataclasses.is_dataclass(answer) and not isinstance(answer, type):
        for item in dataclasses.fields(answer):
            yield from numbers_of(getattr(answer, item.name))


# -- Whole houses --------------------------------------------------------------------------------


def year_of(item: inputs.House, weather: WeatherYear | None = None) -> Any:
    return evaluate(item, weather or greensboro(), prices=PRICES, year=2026)


def test_condensing_efficiency_on_steam_is_refused() -> None:
    boiler = balloon_frame_1910().heating[0]
    assert boiler.distribution == "steam_pipes"
    for changes in ({"efficiency": 0.96}, {"is_condensing": True}):
        with pytest.raises(InputError, match=r"HeatingSystem\.\w+ is .*steam"):
            replace(boiler, **changes)


def test_no_windows_lose_nothing_through_windows() -> None:
    with_them, without = year_of(ranch_1958()), year_of(replace(ranch_1958(), windows=(), doors=()))
    assert without.heating_load_j < with_them.heating_load_j
    part = next((item for item in without.components if item.part == "windows_doors"), None)
    assert part is None or part.material_j == 0.0
    assert all(math.isfinite(item.total_j) for item in without.components)


def test_no_heating_burns_nothing_and_says_no_shares() -> None:
    cold = year_of(replace(ranch_1958(), heating=(), cooling=(), ducts=None))
    assert cold.use_j("heating") == 0.0
    assert cold.heating_load_j == 0.0
    assert cold.heat_loss_w_per_k == 0.0
    assert cold.cost_usd > 0.0
    assert all(
        math.isfinite(number) for number in (*cold.energy_j.values(), cold.co2_kg, cold.cost_usd)
    )


def test_forty_zones_close_their_balance() -> None:
    """Forty rooms in a row behind one outside wall each; what goes in goes out."""
    zones = tuple(
        network.Zone(name=f"room {i}", volume_m3=40.0, heating_setpoint_c=20.0) for i in range(40)
    )
    walls = tuple(
        network.OpaqueElement(**{**WALL, "name": f"wall {i}", "zone_in": f"room {i}"})
        for i in range(40)
    )
    between = tuple(
        network.OpaqueElement(
            **{
                **WALL,
                "name": f"between {i}",
                "component": "inside",
                "zone_in": f"room {i}",
                "zone_out": f"room {i + 1}",
            }
        )
        for i in range(39)
    )
    result = simulate(network.Network(zones=zones, elements=walls + between), steady_weather())
    loads = [result.zones[zone.name].heating_w[4000] for zone in zones]
    # 0 C outside, 20 C in, the same wall everywhere. A room between two others has one more face
    # to take warmth from than the rooms at the ends.
    assert loads[5:35] == pytest.approx([loads[20]] * 30, rel=1e-4)
    assert max(loads[0], loads[39]) < loads[20]
    lost = sum(result.elements[wall.name].while_heating_kwh for wall in walls)
    heated = sum(result.zones[zone.name].heating_kwh for zone in zones)
    assert lost == pytest.approx(heated, rel=1e-9)


# -- Weather -------------------------------------------------------------------------------------


def tmy_lines() -> list[bytes]:
    return GREENSBORO.read_bytes().splitlines(keepends=True)


def test_a_year_of_8759_hours_is_refused() -> None:
    with pytest.raises(InputError, match=r"has 8759 hours; a year has 8,760"):
        parse_weather(b"".join(tmy_lines()[:-1]))
    with pytest.raises(InputError, match=r"dry_bulb_c must have 8760 hours, got shape \(8759,\)"):
        replace(greensboro(), dry_bulb_c=np.zeros(8759))


def test_a_gap_in_the_year_says_where_it_is() -> None:
    values = np.array(greensboro().wind_m_per_s)
    values[100:103] = np.nan
    with pytest.raises(InputError, match=r"wind_m_per_s lacks 3 of 8760 hours.*after hour 100"):
        replace(greensboro(), wind_m_per_s=values)


def test_a_leap_year_is_refused_with_the_lines_to_take_out() -> None:
    """The lines it names are the right ones: without them the year is what it was."""
    lines = tmy_lines()
    head, hours = lines[:2], lines[2:]
    ends = (31 + 28) * 24
    extra = [
        line.replace(b"02/28/", b"02/29/", 1).replace(line[:5], b"02/29", 1)
        for line in hours[ends - 24 : ends]
    ]
    raw = b"".join([*head, *hours[:ends], *extra, *hours[ends:]])
    with pytest.raises(InputError, match=r"8,784 hours; February 29 is lines 1419 to 1442"):
        parse_weather(raw)
    without = raw.splitlines(keepends=True)
    del without[1418:1442]
    assert np.array_equal(parse_weather(b"".join(without)).dry_bulb_c, greensboro().dry_bulb_c)


def southern() -> WeatherYear:
    """Greensboro's year half a year later, at the same latitude south of the equator."""
    year = greensboro()
    series = {
        item.name: np.roll(np.asarray(getattr(year, item.name)), 182 * 24)
        for item in dataclasses.fields(year)
        if isinstance(getattr(year, item.name), np.ndarray)
    }
    return replace(year, latitude_deg=-year.latitude_deg, name="south", **series)


def turned(item: inputs.House) -> inputs.House:
    """The house with north for south, as one would build it there."""

    def across(azimuth: float | None) -> float | None:
        return None if azimuth is None else (180.0 - azimuth) % 360.0

    return replace(
        item,
        site=replace(item.site, latitude_deg=-item.site.latitude_deg),
        geometry=replace(item.geometry, front_azimuth_deg=across(item.geometry.front_azimuth_deg)),
        walls=tuple(replace(wall, azimuth_deg=across(wall.azimuth_deg)) for wall in item.walls),
        windows=tuple(replace(w, azimuth_deg=across(w.azimuth_deg)) for w in item.windows),
        doors=tuple(replace(door, azimuth_deg=across(door.azimuth_deg)) for door in item.doors),
    )


def test_the_southern_hemisphere_heats_in_july() -> None:
    """The same house mirrored under the same weather half a year later uses the same.

    Not to the last digit: the equation of time and the sun's distance are not symmetric.
    """
    north, south = year_of(ranch_1958()), year_of(turned(ranch_1958()), southern())
    for use, within in (("heating", 0.01), ("cooling", 0.03), ("hot_water", 0.01)):
        assert south.use_j(use) == pytest.approx(north.use_j(use), rel=within), use
    heating = np.zeros(12)
    for item in south.end_uses:
        if item.end_use == "heating":
            heating += np.array(item.monthly_j)
    assert heating[5:8].sum() > 3.0 * heating[[11, 0, 1]].sum()


def test_mains_water_is_coldest_in_the_local_winter() -> None:
    def mains(day: float, *, is_north: bool) -> float:
        return water_heating.mains_temperature_c(
            day, air_mean_c=15.0, monthly_spread_k=20.0, is_north=is_north
        )

    assert mains(45, is_north=True) < mains(228, is_north=True)
    assert mains(45, is_north=False) > mains(228, is_north=False)
    # Half a year apart the two hemispheres are one.
    assert mains(45, is_north=False) == pytest.approx(mains(45 + 182.5, is_north=True), abs=0.2)


def test_a_house_that_is_described_twice_over_is_refused() -> None:
    ranch = ranch_1958()
    with pytest.raises(InputError, match="two items with one id"):
        replace(ranch, windows=(ranch.windows[0], ranch.windows[0]))
    with pytest.raises(InputError, match=r"load shares add to 2\.000"):
        replace(ranch, heating=(*ranch.heating, replace(ranch.heating[0], id="another")))


def test_the_house_of_the_blower_door_refuses_an_exponent_of_1_4() -> None:
    with pytest.raises(InputError, match=r"AirLeakage\.exponent is 1\.4; .* 0\.5 and 1 -"):
        inputs.AirLeakage(flow50_m3_per_s=1.0, exponent=1.4)


def test_the_plain_house_is_sound() -> None:
    """Control: the building whose parts are spoiled above runs."""
    assert simulate(house(), steady_weather()).load.while_heating_kwh > 0.0
