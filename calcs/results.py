"""What the model hands back: frozen records, energy in joules, money in dollars as floats.

Money here ranks measures; what a program pays is decided elsewhere, in exact decimals.
Everything goes to JSON through `analysis_to_dict` and back through `analysis_from_dict`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from calcs.bills.account import Calibration
from calcs.errors import InputError
from calcs.records import from_plain, to_plain

# Version of the stored form. What an earlier version does not have takes the field's default, so
# a stored run can always be read. 1: symmetric ranges. 2: percentiles, ranges of fuels and prices.
FORMAT_VERSION = 2

END_USES = (
    "heating",
    "cooling",
    "fans_pumps",
    "hot_water",
    "lighting",
    "refrigerator",
    "cooking",
    "laundry",
    "other",
)

# Parts of the house that a section drawing labels, top to bottom.
PARTS = (
    "attic_floor",
    "attic_access",
    "chimney",
    "walls",
    "garage_wall",
    "windows_doors",
    "rim_joist",
    "foundation",
    "ducts",
    "pipes",
    "ventilation",
)


@dataclass(frozen=True, kw_only=True)
class EndUseEnergy:
    """Site energy of one end use on one fuel, January to December. [J]"""

    end_use: str
    fuel: str
    monthly_j: tuple[float, ...]

    @property
    def annual_j(self) -> float:
        """Sum of the twelve months. [J]"""
        return sum(self.monthly_j)


@dataclass(frozen=True, kw_only=True)
class HeatLossPart:
    """Heat that leaves through one part over the heating season.

    `material_j` goes through the material (insulate), `air_j` with leaking air (seal). `strokes_*`
    are whole parts in a hundred by largest remainder, the same numbers for drawing and table.
    `cost_usd` is the part's share of the yearly heating cost. `item_ids` names the attics, walls,
    windows ... of the house behind it.
    """

    part: str
    material_j: float
    air_j: float
    strokes_material: int
    strokes_air: int
    cost_usd: float
    area_m2: float
    item_ids: tuple[str, ...] = ()

    @property
    def total_j(self) -> float:
        """Both ways together. [J]"""
        return self.material_j + self.air_j


@dataclass(frozen=True, kw_only=True)
class Baseline:
    """The house as it is (or as a plan would leave it) over one weather year.

    `cost_usd` is what the use adds to the bills. `fixed_usd` is what they come to without any use
    (customer charges, minimum bills), which no measure saves.
    """

    end_uses: tuple[EndUseEnergy, ...]
    energy_j: Mapping[str, float]
    cost_usd: float
    cost_usd_by_fuel: Mapping[str, float]
    cost_usd_by_use: Mapping[str, float]
    co2_kg: float
    heating_load_j: float
    cooling_load_j: float
    heating_efficiency: float
    distribution_efficiency_heating: float
    distribution_efficiency_cooling: float
    peak_heating_w: float
    peak_cooling_w: float
    infiltration_m3_per_s: float
    unmet_heating_hours: int
    components: tuple[HeatLossPart, ...]
    heat_loss_w_per_k: float
    fixed_usd: float = 0.0
    unmet_cooling_hours: int = 0

    def use_j(self, end_use: str, fuel: str | None = None) -> float:
        """Yearly energy of an end use, on one fuel or on all. [J]"""
        return sum(
            item.annual_j
            for item in self.end_uses
            if item.end_use == end_use and fuel in (None, item.fuel)
        )


@dataclass(frozen=True, kw_only=True)
class Saving:
    """Yearly saving: by fuel (negative where more is used), in dollars and in CO2, with ranges.

    The expected figures are the model at the middle of every input; they add up over a package.
    Low and high are the 10th and 90th percentile over what is uncertain, each of its own: they do
    not add up. `cost_median_usd` is the 50th percentile of the same draws, None in runs of before
    they were kept.
    """

    energy_j: Mapping[str, float]
    cost_usd: float
    cost_low_usd: float
    cost_high_usd: float
    co2_kg: float
    cost_median_usd: float | None = None
    energy_low_j: Mapping[str, float] = field(default_factory=dict)
    energy_high_j: Mapping[str, float] = field(default_factory=dict)
    co2_low_kg: float | None = None
    co2_high_kg: float | None = None

    @property
    def total_j(self) -> float:
        """All fuels together. [J]"""
        return sum(self.energy_j.values())


@dataclass(frozen=True, kw_only=True)
class Worth:
    """Economics at full cost; `simple_payback_years` is None when nothing is saved.

    Low and high are percentiles (10th, 90th) over the draws of saving and of price; the payback's
    are None where a tenth of the draws saves nothing. `chance_pays` is the share of draws whose
    net present value is not below nothing.
    """

    cost_usd: float
    subsidy_usd: float
    present_value_usd: float
    npv_usd: float
    npv_to_owner_usd: float
    sir: float | None
    simple_payback_years: float | None
    cost_low_usd: float | None = None
    cost_high_usd: float | None = None
    npv_low_usd: float | None = None
    npv_high_usd: float | None = None
    payback_low_years: float | None = None
    payback_high_years: float | None = None
    chance_pays: float | None = None


@dataclass(frozen=True, kw_only=True)
class MeasureResult:
    """One measure of this house.

    `saving` is in the order of work, with interactions, and adds up to the package; it is None
    for a measure outside the package. `saving_alone` is the same measure on the house as it is.
    `pick_saving_usd` and `pick_npv_usd` are what it brought, with what it needs first, when it was
    picked: on the house that the better picks left. `rank` follows them. `verdict` is one of: do,
    plan_at_failure, leave, blocked, required.
    """

    id: str
    kind: str
    target_id: str
    title_key: str
    place: str
    stage: str
    quantity: float
    unit: str
    life_years: float
    life_source: str
    cost_usd: float | None
    saving_alone: Saving
    saving: Saving | None
    worth: Worth | None
    verdict: str
    reason_key: str
    reason_facts: Mapping[str, Any] = field(default_factory=dict)
    blocked_by: tuple[str, ...] = ()
    requires: tuple[str, ...] = ()
    excludes: tuple[str, ...] = ()
    rank: int | None = None
    cost_low_usd: float | None = None
    cost_high_usd: float | None = None
    pick_saving_usd: float | None = None
    pick_npv_usd: float | None = None


@dataclass(frozen=True, kw_only=True)
class EquipmentFinding:
    """One piece of equipment judged twice: replaced now, and when it fails.

    `saving_at_failure` is against a new unit of the minimum efficiency that will then be sold.
    `npv_now` is what replacing now is worth over waiting for the failure; `annual_cost_now` the
    price of the new unit spread over its life, which the saving has to beat. `leave_until_year`
    names the expected end of life by `life_source`, `expected_years_left` the median of what a
    unit of this age still has. `verdict` is one of: replace_now, plan_change, leave_alone,
    unknown_age.
    """

    equipment_id: str
    kind: str
    year_installed: int | None
    age_years: float | None
    life_years: float
    life_source: str
    leave_until_year: int | None
    efficiency_today: float
    efficiency_minimum_new: float
    efficiency_best_new: float
    saving_now_usd: float
    saving_at_failure_usd: float
    npv_now_usd: float | None
    npv_at_failure_usd: float | None
    verdict: str
    reason_key: str
    reason_facts: Mapping[str, Any] = field(default_factory=dict)
    annual_cost_now_usd: float | None = None
    expected_years_left: float | None = None
    horizon_years: int | None = None


@dataclass(frozen=True, kw_only=True)
class LeftAlone:
    """Something looked at and left as it is, with the reason."""

    subject: str
    item_id: str
    reason_key: str
    reason_facts: Mapping[str, Any] = field(default_factory=dict)
    look_again_year: int | None = None


@dataclass(frozen=True, kw_only=True)
class RangeInput:
    """One uncertain input of this house: how it was got, how far off it may be, who says so.

    `spread` is one standard deviation: of the logarithm where `shape` is lognormal, of the value
    in `unit` where it is normal. `share` is its part of the variance of the package's saving.
    """

    key: str
    path: str
    how: str
    shape: str
    unit: str
    spread: float
    source: str
    share: float


@dataclass(frozen=True, kw_only=True)
class DerivationInput:
    """One number that went into another, with its path in the house and where it came from."""

    name_key: str
    value: float | str
    unit: str
    path: str
    how: str
    source: str


@dataclass(frozen=True, kw_only=True)
class Derivation:
    """How one number of a report was made; `name` is the formula's."""

    key: str
    value: float
    unit: str
    formula: str
    inputs: tuple[DerivationInput, ...]
    source: str
    name: str = ""


@dataclass(frozen=True, kw_only=True)
class Package:
    """The chosen measures together, run through the model in the order of work."""

    measure_ids: tuple[str, ...]
    before: Baseline
    after: Baseline
    saving: Saving
    worth: Worth | None
    ventilation_needed_m3_per_s: float


@dataclass(frozen=True, kw_only=True)
class Analysis:
    """Everything a report on one home needs from the model."""

    baseline: Baseline
    measures: tuple[MeasureResult, ...]
    package: Package
    priorities: tuple[str, ...]
    equipment: tuple[EquipmentFinding, ...]
    left_alone: tuple[LeftAlone, ...]
    derivations: tuple[Derivation, ...]
    range_method_key: str
    weather_name: str
    is_calibrated: bool = False
    calibration: Calibration | None = None
    format_version: int = 1
    range_inputs: tuple[RangeInput, ...] = ()

    def measure(self, measure_id: str) -> MeasureResult:
        """The result of one measure; raises `KeyError` when it is not there."""
        for item in self.measures:
            if item.id == measure_id:
                return item
        raise KeyError(measure_id)


def analysis_to_dict(analysis: Analysis) -> dict[str, Any]:
    """The analysis as plain JSON values."""
    plain: dict[str, Any] = to_plain(analysis)
    return plain


def analysis_from_dict(data: Mapping[str, Any]) -> Analysis:
    """The analysis from what `analysis_to_dict` made, by this version or an earlier one.

    Raises
    ------
    InputError
        It was made by a later version, whose meaning is not known here.
    """
    version = data.get("format_version", 1)
    if version > FORMAT_VERSION:
        raise InputError(
            f"Analysis.format_version is {version}; this engine reads up to {FORMAT_VERSION}."
        )
    return from_plain(Analysis, data)


def hundred_parts(amounts: Sequence[float]) -> list[int]:
    """Whole parts in a hundred by largest remainder; they add up to 100.

    Negative amounts count as nothing. With nothing at all to share, every part is 0.
    """
    kept = [max(amount, 0.0) for amount in amounts]
    total = sum(kept)
    if total <= 0.0:
        return [0] * len(kept)
    exact = [100.0 * amount / total for amount in kept]
    whole = [int(value) for value in exact]
    by_remainder = sorted(
        range(len(kept)), key=lambda index: (exact[index] - whole[index], -index), reverse=True
    )
    for index in by_remainder[: 100 - sum(whole)]:
        whole[index] += 1
    return whole
