"""What energy costs by the utility's rate: bills of a month, and what a saving takes off them.

A rate has a customer charge, seasons, blocks of use in a month, hours with a price of their own
and a minimum bill. What a saving is worth is the bill before less the bill after: the price of
the last units, never the mean of the bill, and nothing of what is paid without using anything.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calcs.errors import InputError

FloatArray = NDArray[np.float64]

MONTHS = tuple(range(1, 13))
HOURS = tuple(range(24))
WEEKDAYS_SHARE = 5.0 / 7.0
# Hours of a day when nothing is known of them: use spread evenly.
EVEN_DAY = np.full(24, 1.0 / 24.0)


def _price(value: float, what: str) -> None:
    if not 0.0 <= value < 1e3:
        raise InputError(f"{what} is {value!r}; it must be a number from 0 up.")


@dataclass(frozen=True, kw_only=True)
class Block:
    """Use of a month up to a limit (None: all the rest) at one price. [J], [$/J]"""

    up_to_j: float | None = None
    usd_per_j: float


@dataclass(frozen=True, kw_only=True)
class Window:
    """Hours of the day at a price of their own, hour 0 the one after midnight. [$/J]"""

    name: str
    hours: tuple[int, ...]
    usd_per_j: float
    is_weekdays_only: bool = True

    def share(self, by_hour: FloatArray) -> float:
        """Share of a month's use inside the window, from the shares of the 24 hours."""
        inside = float(by_hour[list(self.hours)].sum())
        return inside * (WEEKDAYS_SHARE if self.is_weekdays_only else 1.0)


@dataclass(frozen=True, kw_only=True)
class Season:
    """Months alike. Use inside a window takes its price, the rest goes through the blocks."""

    months: tuple[int, ...]
    blocks: tuple[Block, ...]
    windows: tuple[Window, ...] = ()


@dataclass(frozen=True, kw_only=True)
class MonthBill:
    """One month: its parts, and their sum. [$]"""

    customer_usd: float
    windows_usd: float
    blocks_usd: float
    to_minimum_usd: float

    @property
    def energy_usd(self) -> float:
        """What the use itself costs."""
        return self.windows_usd + self.blocks_usd

    @property
    def total_usd(self) -> float:
        """What is paid."""
        return self.customer_usd + self.energy_usd + self.to_minimum_usd


@dataclass(frozen=True, kw_only=True)
class Rate:
    """A residential rate for one fuel.

    Parameters
    ----------
    fuel, code, name, source : str
        What it is for and who published it.
    customer_usd : float
        Paid every month whatever is used. [$]
    minimum_usd : float
        The least a month's bill comes to. [$]
    seasons : tuple of Season
        Every month in exactly one.

    Raises
    ------
    InputError
        A month in no season or in two, blocks that do not rise to one without a limit, hours in
        two windows, a price that is no number from 0 up.
    """

    fuel: str
    code: str = ""
    name: str = ""
    source: str = ""
    as_of: str = ""
    customer_usd: float = 0.0
    minimum_usd: float = 0.0
    seasons: tuple[Season, ...]

    def __post_init__(self) -> None:
        _price(self.customer_usd, "The customer charge")
        _price(self.minimum_usd, "The minimum bill")
        named = sorted(month for season in self.seasons for month in season.months)
        if named != list(MONTHS):
            raise InputError("Every month from 1 to 12 must be in exactly one season of a rate.")
        for season in self.seasons:
            _check_season(season)

    def season(self, month: int) -> Season:
        """The season of a month, 1 to 12."""
        for season in self.seasons:
            if month in season.months:
                return season
        raise InputError(f"{month} is no month from 1 to 12.")

    def bill(self, month: int, use_j: float, *, by_hour: FloatArray = EVEN_DAY) -> MonthBill:
        """The bill of one month. Net use below zero is billed as none.

        Parameters
        ----------
        month : int
            1 to 12.
        use_j : float
            Site energy of the month. [J]
        by_hour : ndarray, shape (24,)
            Shares of the use in the hours of a mean day, adding to 1; matters for windows only.
        """
        season, use = self.season(month), max(use_j, 0.0)
        in_windows = [use * window.share(by_hour) for window in season.windows]
        windows = sum(
            amount * window.usd_per_j
            for amount, window in zip(in_windows, season.windows, strict=True)
        )
        blocks = blocks_usd(season.blocks, use - sum(in_windows))
        due = self.customer_usd + windows + blocks
        return MonthBill(
            customer_usd=self.customer_usd,
            windows_usd=windows,
            blocks_usd=blocks,
            to_minimum_usd=max(self.minimum_usd - due, 0.0),
        )

    def without_use_usd(self) -> float:
        """What a month costs with nothing used: no measure saves it. [$]"""
        return max(self.customer_usd, self.minimum_usd)

    def marginal_usd_per_j(self, month: int, use_j: float, *, hour: int | None = None) -> float:
        """What the last unit of a month costs, or its last unit in an hour of a weekday. [$/J]

        Below the minimum bill it costs nothing.
        """
        season = self.season(month)
        if self.bill(month, use_j).to_minimum_usd > 0.0:
            return 0.0
        if hour is not None:
            for window in season.windows:
                if hour in window.hours:
                    return window.usd_per_j
        return _last_block(season.blocks, use_j).usd_per_j


def _check_season(season: Season) -> None:
    limits = [block.up_to_j for block in season.blocks]
    rising = [limit for limit in limits[:-1] if limit is not None]
    if not limits or limits[-1] is not None or len(rising) != len(limits) - 1:
        raise InputError("The last block of a season has no limit, and only the last.")
    if any(b <= a for a, b in zip([0.0, *rising], rising, strict=False)):
        raise InputError("The limits of blocks must rise.")
    for block in season.blocks:
        _price(block.usd_per_j, "A block's price")
    taken: set[int] = set()
    for window in season.windows:
        _price(window.usd_per_j, f"The price of {window.name!r}")
        if not set(window.hours) <= set(HOURS) or taken & set(window.hours):
            raise InputError("Hours of windows run from 0 to 23, each in one window.")
        taken |= set(window.hours)


def blocks_usd(blocks: Sequence[Block], use_j: float) -> float:
    """Cost of a month's use through blocks. [$]"""
    total, below = 0.0, 0.0
    for block in blocks:
        above = use_j if block.up_to_j is None else min(use_j, block.up_to_j)
        total += max(above - below, 0.0) * block.usd_per_j
        if block.up_to_j is None or use_j <= block.up_to_j:
            break
        below = block.up_to_j
    return total


def _last_block(blocks: Sequence[Block], use_j: float) -> Block:
    for block in blocks:
        if block.up_to_j is None or use_j <= block.up_to_j:
            return block
    raise InputError("The last block of a season has no limit.")


def flat(fuel: str, usd_per_j: float, *, customer_usd: float = 0.0, source: str = "") -> Rate:
    """A rate of one price all year."""
    season = Season(months=MONTHS, blocks=(Block(usd_per_j=usd_per_j),))
    return Rate(fuel=fuel, customer_usd=customer_usd, seasons=(season,), source=source)


@dataclass(frozen=True, eq=False, kw_only=True)
class FuelUse:
    """One use of one fuel: energy by month, shape (12,) [J], and the hours it falls in.

    `by_hour`, shape (12, 24), are shares of the hours of a mean day of each month.
    """

    end_use: str
    fuel: str
    monthly_j: FloatArray
    by_hour: FloatArray | None = None


@dataclass(frozen=True, kw_only=True)
class FuelCost:
    """What a year of one fuel costs: what its use adds to the bills, by end use; the rest."""

    variable_usd: float
    by_use: Mapping[str, float]
    fixed_usd: float


def cost_of_fuel(rate: Rate, uses: Sequence[FuelUse]) -> FuelCost:
    """A year of one fuel on a rate.

    The variable part of a month is its bill less the bill without any use. It goes to the end
    uses by their energy: what falls into a window by the energy there, the rest by the rest.
    """
    variable, by_use = 0.0, {item.end_use: 0.0 for item in uses}
    idle = rate.without_use_usd()
    for index, month in enumerate(MONTHS):
        energy = np.array([float(item.monthly_j[index]) for item in uses])
        total = float(energy.sum())
        if total <= 0.0:
            continue
        hours = [EVEN_DAY if item.by_hour is None else item.by_hour[index] for item in uses]
        by_hour = sum((e * h for e, h in zip(energy, hours, strict=True)), start=np.zeros(24))
        bill = rate.bill(month, total, by_hour=by_hour / total)
        paid = bill.total_usd - idle
        variable += paid
        if bill.energy_usd <= 0.0:
            continue
        scale = paid / bill.energy_usd  # below 1 where a minimum bill swallows a part
        season = rate.season(month)
        inside = np.array([[window.share(h) for window in season.windows] for h in hours]).reshape(
            len(uses), len(season.windows)
        )
        window_j = energy[:, None] * inside
        window_usd = window_j @ np.array([window.usd_per_j for window in season.windows])
        rest_j = energy - window_j.sum(axis=1)
        rest = float(rest_j.sum())
        rest_usd = bill.blocks_usd * rest_j / rest if rest > 0.0 else np.zeros(len(uses))
        for item, amount in zip(uses, (window_usd + rest_usd) * scale, strict=True):
            by_use[item.end_use] += float(amount)
    return FuelCost(variable_usd=variable, by_use=by_use, fixed_usd=12.0 * idle)


def saving_usd(
    rate: Rate,
    before_j: Sequence[float],
    after_j: Sequence[float],
    *,
    by_hour_before: FloatArray | None = None,
    by_hour_after: FloatArray | None = None,
) -> tuple[float, ...]:
    """What each month's bill falls by; shapes (12,), hours (12, 24). [$]"""
    found = []
    for index, month in enumerate(MONTHS):
        sides = []
        for use, hours in ((before_j, by_hour_before), (after_j, by_hour_after)):
            of_day = EVEN_DAY if hours is None else hours[index]
            sides.append(rate.bill(month, float(use[index]), by_hour=of_day).total_usd)
        found.append(sides[0] - sides[1])
    return tuple(found)
