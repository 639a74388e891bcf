"""Every number that decides safety or money and that a program confirms for itself.

One table: key, value, unit, edition, source, how it was obtained, and which way is stricter. A
value known from memory is in use until the program has confirmed it against the edition it
adopted. Tables of many cells stand here as one row without a value: they are confirmed as they
stand or replaced in the code.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from calcs.bills.statistics import BPI_2400_LIMITS_PCT
from calcs.combustion_air import FLUE_AREA_RATIO, KNOWN_RATE_LIMITS
from calcs.errors import InputError
from calcs.limits import Limit, Limits
from calcs.measures.lives import LIVES
from calcs.safety_limits import (
    AMBIENT_CONTINUE_BELOW,
    AMBIENT_TIERS,
    APPLIANCE_CO_LIMITS,
    CAZ_LIMITS,
    DRAFT_LIMITS,
    GAS_LEL_DEFAULT,
    OIL_LIMITS,
    spillage_limit,
    tier_limit,
)
from calcs.validation import require_known
from calcs.worth import REAL_DISCOUNT, REAL_ESCALATION

SAFETY, MONEY = "safety", "money"
# A slip of the decimal point is no change of a limit: what is proposed lies within this factor.
FARTHEST_FACTOR = 4.0


@dataclass(frozen=True)
class Confirmable:
    """One number or table that a program confirms.

    `stricter` is "lower" or "higher" for a safety limit and empty for money. `value` is None for
    a table.
    """

    key: str
    group: str
    decides: str  # SAFETY or MONEY
    value: float | None
    unit: str
    stricter: str
    source: str
    edition: str
    provenance: str
    low: float | None = None
    high: float | None = None

    @property
    def must_confirm(self) -> bool:
        """Whether it is known from memory only."""
        return self.provenance == "memory"

    def is_looser(self, value: float, than: float) -> bool:
        """Whether a value of this safety limit lets more pass than another; never of money."""
        if self.stricter == "lower":
            return value > than
        return self.stricter == "higher" and value < than

    def require_plausible(self, value: float | None) -> None:
        """Refuse a value that cannot be meant.

        Raises
        ------
        InputError
            A value for a table, none for a number, one of another sign, or one outside limits.
        """
        if (value is None) != (self.value is None):
            raise InputError("give a value for a number, and none for a table")
        if value is None or self.value is None:
            return
        low, high = self.low, self.high
        if low is None or high is None:
            ends = sorted((self.value / FARTHEST_FACTOR, self.value * FARTHEST_FACTOR))
            low, high = ends if self.value else (-1.0, 1.0)
        # Not-a-number compares with nothing and falls out here too.
        if not low <= value <= high:
            raise InputError(f"the value must lie between {low:g} and {high:g} {self.unit}".strip())


def _of_limit(limit: Limit, group: str) -> Confirmable:
    return Confirmable(
        key=limit.key,
        group=group,
        decides=SAFETY,
        value=limit.value,
        unit=limit.unit,
        stricter=limit.stricter,
        source=limit.source,
        edition=limit.edition,
        provenance=limit.provenance,
        # A sign that changes, or a limit that lets everything pass, is never meant.
        low=min(limit.value / FARTHEST_FACTOR, limit.value * FARTHEST_FACTOR),
        high=max(limit.value / FARTHEST_FACTOR, limit.value * FARTHEST_FACTOR),
    )


def _safety() -> Iterator[Confirmable]:
    for warm in (True, False):
        yield _of_limit(spillage_limit(is_vent_warm=warm), "spillage")
    for limit in DRAFT_LIMITS.values():
        yield _of_limit(limit, "draft")
    for limit in CAZ_LIMITS.values():
        yield _of_limit(limit, "caz")
    for tier in AMBIENT_TIERS:
        if tier.above_ppm > 0.0:
            yield _of_limit(tier_limit(tier), "room_co")
    yield _of_limit(AMBIENT_CONTINUE_BELOW, "room_co")
    yield _of_limit(GAS_LEL_DEFAULT, "gas")
    for entry in APPLIANCE_CO_LIMITS.values():
        yield _of_limit(entry.limit, "flue_co")
    for head in OIL_LIMITS.values():
        for limit in head.values():
            yield _of_limit(limit, "oil")
    for limit in KNOWN_RATE_LIMITS.values():
        yield _of_limit(limit, "combustion_air")
    yield _of_limit(FLUE_AREA_RATIO, "combustion_air")


_FEMP = "US DOE/FEMP real discount rate of the year in use (NIST Handbook 135 supplement)"


def _money() -> Iterator[Confirmable]:
    yield Confirmable(
        "economics.real_discount", "economics", MONEY, REAL_DISCOUNT, "a year", "", _FEMP, "",
        "memory", 0.0, 0.15,
    )  # fmt: skip
    yield Confirmable(
        "economics.real_escalation", "economics", MONEY, REAL_ESCALATION, "a year", "", _FEMP, "",
        "memory", -0.05, 0.08,
    )  # fmt: skip
    for key, value in BPI_2400_LIMITS_PCT.items():
        slug = "bias" if key == "bias" else "cv_rmse"
        yield Confirmable(
            f"bills.bpi_2400_{slug}", "bills", MONEY, value, "%", "lower", "ANSI/BPI-2400-S", "",
            "memory", 0.5, 40.0,
        )  # fmt: skip
    for kind, life in LIVES.items():
        provenance = (
            "read"
            if "(read)" in life.source
            else ("memory" if "(memory)" in life.source else "common practice")
        )
        yield Confirmable(
            f"life.{kind}", "life", MONEY, life.years, "years", "", life.source, "", provenance,
            1.0, 60.0,
        )  # fmt: skip


def _tables() -> Iterator[Confirmable]:
    for key, decides, source, edition in (
        ("table.handbook_infiltration", MONEY,
         "ASHRAE Handbook-Fundamentals, infiltration coefficients and shelter classes", ""),
        ("table.ventilation_62_2", SAFETY,
         "ASHRAE 62.2, infiltration credit and existing-home appendix", "2016, 2019"),
        ("table.uef_minimums", MONEY, "10 CFR 430.32(d), water heaters", "2015 levels"),
        ("table.service_lives", MONEY, "service lives by technical reference manual", "2015-2022"),
        ("table.deemed_savings", MONEY, "technical reference manual the program names", ""),
        ("table.steam_settings", SAFETY, "steam-heating practice, state field guides", ""),
    ):  # fmt: skip
        yield Confirmable(key, "table", decides, None, "", "", source, edition, "memory")


REGISTRY: dict[str, Confirmable] = {
    item.key: item for source in (_safety, _money, _tables) for item in source()
}


def confirmable(key: str) -> Confirmable:
    """The row of a key; raises `InputError` for an unknown one."""
    return require_known(REGISTRY, key, "confirmable value")


def value_in_effect(key: str, limits: Limits) -> float | None:
    """The value of a key with what the program has adopted; None for a table."""
    item = confirmable(key)
    return None if item.value is None else limits.value(key, item.value)


def lives_in_effect(limits: Limits) -> dict[str, tuple[float, str]]:
    """Useful life and its source by measure kind, for those the program has adopted. [yr]"""
    return {
        key.removeprefix("life."): (found.value, found.source)
        for key, found in limits.adopted.items()
        if key.startswith("life.") and found.value is not None
    }
