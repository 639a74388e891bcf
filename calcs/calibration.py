"""The house model held against the bills, and the fewest changes that make them agree.

Bills come weather-normalized, month by month in the typical year the model runs in. A handful of
inputs that no visit can measure well may move, each inside limits and each at a cost that grows
with its distance from the record. No change is tried first, then each one, each pair, each three:
the smallest set within the published limits is taken, of its size one that stays off the ends of
its limits, and of those the likeliest. Where three do
not suffice the house stays as recorded and the result says so; a model bent until it agrees would
agree for the wrong reasons.

The model's months answer nearly in a straight line to these inputs, so sets are compared on
finite differences, one run an input, and only the set taken is run.

References
----------
Limits: ASHRAE Guideline 14 monthly, 5 % and 15 % (read in an article quoting it); ANSI/BPI-2400-S,
5 % and 20 % (memory). Moving few parameters with priors is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from calcs.bills.account import Calibration, Change, FuelMatch
from calcs.bills.outcome import BillsOutcome, limits_met, months_of_bills
from calcs.bills.statistics import cv_rmse_pct, nmbe_pct
from calcs.errors import InputError
from calcs.inputs import House, Origin
from calcs.limits import PUBLISHED, Limits
from calcs.results import Baseline
from calcs.unit_factors import K_PER_DEGF

FloatArray = NDArray[np.float64]

MOST_CHANGES = 3
FEWEST_MONTHS = 9
# What a month's bill may differ by from habits alone, as a share of the mean month, and what a
# fuel has to be of all energy to decide anything (common practice, no source).
MONTH_SCATTER = 0.08
SMALL_SHARE = 0.03
MOST_SETS_RUN = 3
MOST_ROUNDS = 3
NO_ANSWER = 2e-3  # of a mean month for one prior deviation: the input does not show in the bills
LIMITS_IN_ORDER = ("guideline_14", "bpi_2400")


@dataclass(frozen=True, kw_only=True)
class Knob:
    """An input that bills may move: its limits, how far it may be off, and how it is set.

    `low` and `high` are relative to the record: added where `is_shift`, else multiplied with.
    """

    key: str
    unit: str
    path: str
    low: float
    high: float
    deviation: float
    read: Callable[[House], float]
    write: Callable[[House, float], House]
    is_shift: bool = False
    applies: Callable[[House], bool] = lambda house: True

    def limits(self, house: House) -> tuple[float, float]:
        """Lowest and highest value for this house."""
        at = self.read(house)
        return (at + self.low, at + self.high) if self.is_shift else (at * self.low, at * self.high)

    def scale(self, house: House) -> float:
        """One standard deviation of what the record may be off by."""
        return self.deviation if self.is_shift else self.deviation * self.read(house)


def _heating(house: House, value: float) -> House:
    control = house.thermostat
    return replace(house, thermostat=replace(control, heating_c=value))


def _cooling(house: House, value: float) -> House:
    return replace(house, thermostat=replace(house.thermostat, cooling_c=value))


def _exposure(house: House, value: float) -> House:
    return replace(house, air_leakage=replace(house.air_leakage, exposure_factor=value))


def _plugs(house: House, value: float) -> House:
    return replace(house, appliances=replace(house.appliances, plug_factor=value))


def _draws(house: House, value: float) -> House:
    return replace(house, hot_water_use=replace(house.hot_water_use, draw_factor=value))


# Limits and deviations: common practice, no source. Occupants misreport set-points by a few °F,
# natural infiltration from a blower door is good to a fifth or a quarter, and households use half
# or twice the reference hot water and plug load.
KNOBS = (
    Knob(key="heating_setpoint", unit="°C", path="thermostat.heating_c", is_shift=True,
         low=-6 * K_PER_DEGF, high=5 * K_PER_DEGF, deviation=2 * K_PER_DEGF,
         read=lambda h: h.thermostat.heating_c, write=_heating, applies=lambda h: bool(h.heating)),
    Knob(key="cooling_setpoint", unit="°C", path="thermostat.cooling_c", is_shift=True,
         low=-5 * K_PER_DEGF, high=6 * K_PER_DEGF, deviation=2.5 * K_PER_DEGF,
         read=lambda h: h.thermostat.cooling_c, write=_cooling, applies=lambda h: bool(h.cooling)),
    Knob(key="exposure", unit="-", path="air_leakage.exposure_factor",
         low=0.6, high=1.6, deviation=0.2,
         read=lambda h: h.air_leakage.exposure_factor, write=_exposure),
    Knob(key="conductance", unit="-", path="conductance_factor",
         low=0.75, high=1.4, deviation=0.15,
         read=lambda h: h.conductance_factor,
         write=lambda h, value: replace(h, conductance_factor=value)),
    Knob(key="plugs", unit="-", path="appliances.plug_factor",
         low=0.3, high=3.0, deviation=0.4, read=lambda h: h.appliances.plug_factor, write=_plugs),
    Knob(key="hot_water", unit="-", path="hot_water_use.draw_factor",
         low=0.3, high=2.5, deviation=0.4,
         read=lambda h: h.hot_water_use.draw_factor, write=_draws,
         applies=lambda h: bool(h.water_heaters)),
)  # fmt: skip


DESIGN_INDOOR_C = 21.1  # 70 °F, indoor winter design of the usual sizing procedure (memory)


def for_sizing(house: House) -> House:
    """The house that new equipment is sized for: what bills moved must not make it smaller.

    A household that keeps 64 °F, or whose leaks the wind happens to spare, says how much is used
    and not what the next one needs. Without a value fitted to bills it is the house itself.
    """
    fitted = {path for path, origin in house.origins.items() if origin.how == "fitted"}
    if not fitted:
        return house
    control, leakage, used = house.thermostat, house.air_leakage, house.appliances
    if "thermostat.heating_c" in fitted:
        control = replace(control, heating_c=max(control.heating_c, DESIGN_INDOOR_C))
    if "air_leakage.exposure_factor" in fitted:
        leakage = replace(leakage, exposure_factor=max(leakage.exposure_factor, 1.0))
    if "appliances.plug_factor" in fitted:
        used = replace(used, plug_factor=min(used.plug_factor, 1.0))
    return replace(
        house,
        thermostat=control,
        air_leakage=leakage,
        appliances=used,
        conductance_factor=max(house.conductance_factor, 1.0)
        if "conductance_factor" in fitted
        else house.conductance_factor,
    )


@dataclass(frozen=True, eq=False, kw_only=True)
class Calibrated:
    """The house to go on with, and how it came about."""

    house: House
    calibration: Calibration


Run = Callable[[House], Baseline]


def months_of_model(base: Baseline, fuel: str) -> FloatArray:
    """Site energy of one fuel by month, shape (12,). [J]"""
    found = np.zeros(12)
    for item in base.end_uses:
        if item.fuel == fuel:
            found += np.array(item.monthly_j)
    return found


def calibrate(
    house: House,
    bills: Sequence[BillsOutcome],
    run: Run,
    *,
    knobs: Sequence[Knob] = KNOBS,
    limits: Limits = PUBLISHED,
) -> Calibrated:
    """Hold a house against its bills and move as little as makes them agree.

    Parameters
    ----------
    house : House
        As recorded.
    bills : sequence of BillsOutcome
        One a fuel, normalized to the typical year that `run` uses, with their joules a unit.
    run : callable
        House to `Baseline` over that typical year.
    limits : Limits
        What the program has adopted in place of published limits of a fit.

    Returns
    -------
    Calibrated
        The house with what was moved, each change with its origin "fitted"; and the account.

    Raises
    ------
    InputError
        Two outcomes for one fuel.
    """
    if len({item.fuel for item in bills}) != len(bills):
        raise InputError("Bills of one fuel are there twice.")
    work = _Work(house, bills, run, knobs, limits)
    if not bills:
        return work.result(house, "no_bills")
    if not work.targets:
        return work.result(house, "no_bills")
    met = work.limit_of(work.start)
    if met == LIMITS_IN_ORDER[0]:
        return work.result(house, "as_recorded", limit=met)
    return work.search(met)


@dataclass(frozen=True, eq=False)
class _Target:
    """Months of one fuel that the model has to meet. [J]"""

    fuel: str
    billed: FloatArray
    is_there: NDArray[np.bool_]

    @property
    def scatter(self) -> float:
        return float(MONTH_SCATTER * self.billed[self.is_there].mean())

    def errors(self, modeled: FloatArray) -> FloatArray:
        """Billed less modeled, in units of what a month may be off by."""
        difference: FloatArray = (self.billed - modeled)[self.is_there] / self.scatter
        return difference

    def fit(self, modeled: FloatArray) -> tuple[float, float]:
        """NMBE and CV(RMSE). [%]"""
        billed, model = self.billed[self.is_there], modeled[self.is_there]
        return nmbe_pct(billed, model), cv_rmse_pct(billed, model)


Months = dict[str, FloatArray]


@dataclass(frozen=True, eq=False)
class _Found:
    """A set of knobs at the values a straight line gives them."""

    keys: tuple[int, ...]
    moves: FloatArray
    objective: float
    limit: str
    at_ends: int


class _Work:
    """The search for one house; counts the runs of the model."""

    def __init__(
        self,
        house: House,
        bills: Sequence[BillsOutcome],
        run: Run,
        knobs: Sequence[Knob],
        limits: Limits,
    ) -> None:
        self.house, self.bills, self._run = house, tuple(bills), run
        self.limits = limits
        self.runs = 0
        self.left_out: dict[str, str] = {}
        self.at_record: dict[int, Months] = {}
        self.knobs = [knob for knob in knobs if knob.applies(house)]
        self.start = self.months(house) if bills else {}
        self.targets = self._targets() if bills else []

    def months(self, house: House) -> Months:
        """One run of the model: months of each billed fuel."""
        base = self._run(house)
        self.runs += 1
        self.energy = dict(base.energy_j)
        return {item.fuel: months_of_model(base, item.fuel) for item in self.bills}

    def _targets(self) -> list[_Target]:
        found = []
        for item in self.bills:
            months = months_of_bills(item)
            there = np.array([value is not None for value in months])
            billed = np.array([value or 0.0 for value in months]) * item.joules_per_unit
            why = self._why_not(item, billed, there)
            if why:
                self.left_out[item.fuel] = why
            else:
                found.append(_Target(item.fuel, billed, there))
        return found

    def _why_not(self, item: BillsOutcome, billed: FloatArray, there: NDArray[np.bool_]) -> str:
        if item.fit is None:
            return "refused"
        if any(flag.code == "net_metered" for flag in item.flags):
            return "net_metered"
        if there.sum() < FEWEST_MONTHS:
            return "too_few_months"
        if not self.start[item.fuel].any():
            return "not_in_the_house"
        if billed[there].mean() * 12.0 < SMALL_SHARE * sum(self.energy.values()):
            return "small_use"
        return ""

    def limit_of(self, months: Months) -> str:
        """The strictest published limits that every deciding fuel meets, or empty."""
        met = [
            limits_met(*target.fit(months[target.fuel]), limits=self.limits)
            for target in self.targets
        ]
        return next((name for name in LIMITS_IN_ORDER if all(name in one for one in met)), "")

    def slopes(self, house: House, keys: Sequence[int], at: Months) -> dict[int, Months]:
        """Change of each month for one standard deviation of a knob. [J]"""
        found = {}
        for key in keys:
            knob = self.knobs[key]
            value = knob.read(house)
            low, high = knob.limits(self.house)
            # A step down where up leads out of the limits or of what the record allows.
            for step in (0.5 * knob.scale(self.house), -0.5 * knob.scale(self.house)):
                if not low <= value + step <= high:
                    continue
                moved = _written(knob, house, value + step)
                if moved is not None:
                    months = self.months(moved)
                    share = knob.scale(self.house) / step
                    found[key] = {fuel: share * (months[fuel] - at[fuel]) for fuel in at}
                    break
        return found

    def search(self, met: str) -> Calibrated:
        """Sets of one, two, three changes; the smallest that agrees, run and confirmed."""
        slopes = self.slopes(self.house, range(len(self.knobs)), self.start)
        self.at_record = slopes
        useful = [key for key, slope in slopes.items() if self._shows(slope)]
        sets = [
            self._solve(keys, slopes)
            for size in range(1, MOST_CHANGES + 1)
            for keys in combinations(useful, size)
        ]
        for limit in LIMITS_IN_ORDER:
            if met == limit:
                return self.result(self.house, "as_recorded", limit=met)
            wanted = [one for one in sets if limit in _at_least(one.limit)]
            # An input that runs into its end explains less than one that stops on the way.
            wanted.sort(key=lambda one: (len(one.keys), one.at_ends, one.objective))
            for one in wanted[:MOST_SETS_RUN]:
                house, months = self._confirm(one, slopes)
                reached = self.limit_of(months)
                if limit in _at_least(reached):
                    return self.result(house, "fitted", limit=reached, keys=one.keys)
        best = min(sets, key=lambda one: one.objective, default=None)
        tried = () if best is None else tuple(self.knobs[key].key for key in best.keys)
        return self.result(self.house, "not_reconciled", best_tried=tried)

    def _shows(self, slope: Months) -> bool:
        return any(
            np.abs(slope[target.fuel]).sum() > NO_ANSWER * target.billed[target.is_there].sum()
            for target in self.targets
        )

    def _solve(self, keys: tuple[int, ...], slopes: dict[int, Months]) -> _Found:
        """Least squares of misfit and distance from the record, inside the limits."""
        return self._solve_at(keys, slopes, self.start, np.zeros(len(keys)))

    def _solve_at(
        self, keys: tuple[int, ...], slopes: dict[int, Months], at: Months, moved: FloatArray
    ) -> _Found:
        """The same from a house where the knobs stand at `moved` deviations from the record."""
        # Imported where it solves: most commands solve nothing.
        from scipy.optimize import lsq_linear

        columns = np.array(
            [
                np.concatenate([slopes[key][t.fuel][t.is_there] / t.scatter for t in self.targets])
                for key in keys
            ]
        ).T
        errors = np.concatenate([t.errors(at[t.fuel]) for t in self.targets])
        # The prior: being a deviation away from the record counts as much as a month off by one.
        matrix = np.vstack([columns, np.eye(len(keys))])
        right = np.concatenate([errors + columns @ moved, np.zeros(len(keys))])
        limits = [self._reach(key) for key in keys]
        solved = lsq_linear(matrix, right, bounds=np.array(limits).T)
        moves = np.asarray(solved.x, float)
        months = {
            t.fuel: at[t.fuel]
            + sum(slopes[k][t.fuel] * (m - m0) for k, m, m0 in zip(keys, moves, moved, strict=True))
            for t in self.targets
        }
        return _Found(
            keys=keys,
            moves=moves,
            objective=float(solved.cost),
            limit=self.limit_of(months),
            at_ends=int(np.count_nonzero(solved.active_mask)),
        )

    def _reach(self, key: int) -> tuple[float, float]:
        """Limits of a knob in deviations from the record."""
        knob = self.knobs[key]
        low, high = knob.limits(self.house)
        at, scale = knob.read(self.house), knob.scale(self.house)
        return (low - at) / scale, (high - at) / scale

    def _house_at(self, keys: tuple[int, ...], moves: FloatArray) -> House:
        house = self.house
        for key, move in zip(keys, moves, strict=True):
            knob = self.knobs[key]
            value = knob.read(self.house) + float(move) * knob.scale(self.house)
            house = _written(knob, house, value) or house
        return house

    def _confirm(self, one: _Found, slopes: dict[int, Months]) -> tuple[House, Months]:
        """Run a set; where the straight line misled, take it anew from where it led."""
        moves = one.moves
        house = self._house_at(one.keys, moves)
        months = self.months(house)
        for _ in range(MOST_ROUNDS - 1):
            if one.limit in _at_least(self.limit_of(months)):
                break
            again = self.slopes(house, one.keys, months)
            if len(again) < len(one.keys):
                break
            moves = self._solve_at(one.keys, again, months, moves).moves
            house = self._house_at(one.keys, moves)
            months = self.months(house)
        return house, months

    def result(
        self,
        house: House,
        state: str,
        *,
        limit: str = "",
        keys: Sequence[int] = (),
        best_tried: tuple[str, ...] = (),
    ) -> Calibrated:
        """The account, and the house with the origins of what was moved."""
        after = self.start if house is self.house else self.months(house)
        changes = tuple(self._change(key, house) for key in keys)
        if changes:
            fitted = {item.path: Origin(how="fitted", source="utility bills") for item in changes}
            house = replace(house, origins={**house.origins, **fitted})
        return Calibrated(
            house=house,
            calibration=Calibration(
                state=state,
                limit=limit,
                changes=changes,
                fuels=tuple(self._match(item, after) for item in self.bills),
                bills=self.bills,
                runs=self.runs,
                best_tried=best_tried,
            ),
        )

    def _change(self, key: int, house: House) -> Change:
        knob = self.knobs[key]
        low, high = knob.limits(self.house)
        value = knob.read(house)
        return Change(
            key=knob.key,
            unit=knob.unit,
            path=knob.path,
            recorded=knob.read(self.house),
            fitted=value,
            low=low,
            high=high,
            explains=self._explains(key, value),
            is_at_limit=min(value - low, high - value) < 1e-3 * (high - low),
        )

    def _explains(self, key: int, value: float) -> str:
        """The fuel whose months this change alone moves most, against what is billed."""
        knob = self.knobs[key]
        moved = (value - knob.read(self.house)) / knob.scale(self.house)
        return max(
            self.targets,
            key=lambda t: float(
                np.abs(self.at_record[key][t.fuel] * moved).sum() / t.billed[t.is_there].sum()
            ),
        ).fuel

    def _match(self, item: BillsOutcome, after: Months) -> FuelMatch:
        billed = months_of_bills(item)
        target = next((t for t in self.targets if t.fuel == item.fuel), None)
        match = FuelMatch(
            fuel=item.fuel,
            billed_j=tuple(None if v is None else v * item.joules_per_unit for v in billed),
            recorded_j=tuple(float(v) for v in self.start[item.fuel]),
            fitted_j=tuple(float(v) for v in after[item.fuel]),
            left_out=self.left_out.get(item.fuel, ""),
        )
        if target is None:
            return match
        before, now = (target.fit(months[item.fuel]) for months in (self.start, after))
        return replace(
            match,
            nmbe_recorded_pct=before[0],
            cv_recorded_pct=before[1],
            nmbe_fitted_pct=now[0],
            cv_fitted_pct=now[1],
            within_recorded=limits_met(*before, limits=self.limits),
            within_fitted=limits_met(*now, limits=self.limits),
        )


def _at_least(limit: str) -> tuple[str, ...]:
    """The limits that are met where the strictest met is this one."""
    return LIMITS_IN_ORDER[LIMITS_IN_ORDER.index(limit) :] if limit else ()


def _written(knob: Knob, house: House, value: float) -> House | None:
    """The house with a knob set, None where its record refuses the value."""
    try:
        return knob.write(house, value)
    except InputError:
        return None
