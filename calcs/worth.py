"""What a saving is worth: present value, NPV, SIR and payback at full cost."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from calcs.baseline import evaluate
from calcs.economics import savings_present_value, simple_payback_years
from calcs.inputs import EnergyPrices, House
from calcs.measures import Measure
from calcs.results import Baseline, Saving, Worth
from calcs.weather import WeatherYear

# (measure id, kind, quantity, SI unit) -> dollars, or None when nobody priced it.
CostOf = Callable[[str, str, float, str], float | None]
Costs = Mapping[str, float] | CostOf
# The same -> dollars at the 10th, 50th and 90th percentile, or None.
CostRangeOf = Callable[[str, str, float, str], tuple[float, float, float] | None]

# Real rate with real prices; the federal energy-management rate of many years (memory), dated.
REAL_DISCOUNT = 0.03
REAL_ESCALATION = 0.0


@dataclass(frozen=True, kw_only=True)
class Terms:
    """Prices, rates, costs and subsidies that a run is judged by."""

    prices: EnergyPrices
    costs: Costs
    subsidies: Mapping[str, float]
    discount: float = REAL_DISCOUNT
    escalation: float = REAL_ESCALATION
    cost_ranges: CostRangeOf | None = None

    def cost_usd(self, measure: Measure) -> float | None:
        """Full cost of a measure: by its id, else by its kind, else unknown."""
        if callable(self.costs):
            return self.costs(measure.id, measure.kind, measure.quantity, measure.unit)
        return self.costs.get(measure.id, self.costs.get(measure.kind))

    def cost_range_usd(self, measure: Measure) -> tuple[float, float, float] | None:
        """Low, middle and high cost; three times the cost where only that is known."""
        cost = self.cost_usd(measure)
        if cost is None:
            return None
        found = None
        if self.cost_ranges is not None:
            found = self.cost_ranges(measure.id, measure.kind, measure.quantity, measure.unit)
        if found is None or abs(found[1] - cost) > 0.01:
            # A quote is what it is; the price list's spread does not belong to it.
            return cost, cost, cost
        return found

    def subsidy_usd(self, measure: Measure) -> float:
        """Subsidy of a measure, 0 where none is given."""
        return self.subsidies.get(measure.id, self.subsidies.get(measure.kind, 0.0))


# States kept by house, weather, prices and year: plans of one home share most of theirs.
KEPT_STATES = 512
_states: OrderedDict[Hashable, Baseline] = OrderedDict()


@dataclass(frozen=True, kw_only=True)
class Scene:
    """The fixed surroundings of an analysis: weather, terms, year."""

    weather: WeatherYear
    terms: Terms
    year: int

    @cached_property
    def _key(self) -> Hashable:
        return self.weather, repr(self.terms.prices), self.year

    def run(self, house: House) -> Baseline:
        """A house over the year; the same house again costs nothing."""
        key = (house, self._key)
        found = _states.get(key)
        if found is None:
            found = evaluate(house, self.weather, prices=self.terms.prices, year=self.year)
            _states[key] = found
            if len(_states) > KEPT_STATES:
                _states.popitem(last=False)
        else:
            _states.move_to_end(key)
        return found


def saving_between(before: Baseline, after: Baseline) -> Saving:
    """What changed from one state of a house to the next; its range is not known here."""
    fuels = sorted({*before.energy_j, *after.energy_j})
    cost = before.cost_usd - after.cost_usd
    return Saving(
        energy_j={f: before.energy_j.get(f, 0.0) - after.energy_j.get(f, 0.0) for f in fuels},
        cost_usd=cost,
        cost_low_usd=cost,
        cost_high_usd=cost,
        co2_kg=before.co2_kg - after.co2_kg,
    )


def present_value_factor(life_years: float, terms: Terms) -> float:
    """Present value of a dollar saved each year over a life, whole years. [-]"""
    return savings_present_value(
        1.0,
        discount=terms.discount,
        escalation=terms.escalation,
        life_years=max(round(life_years), 1),
    )


def present_value(annual_usd: float, life_years: float, terms: Terms) -> float:
    """Present value of a yearly saving over a life, whole years."""
    return annual_usd * present_value_factor(life_years, terms)


def worth_of(measure: Measure, saving: Saving, terms: Terms) -> Worth | None:
    """Economics of one measure; None when its cost is not known."""
    cost = terms.cost_usd(measure)
    if cost is None:
        return None
    value = present_value(saving.cost_usd, measure.life_years, terms)
    subsidy = min(terms.subsidy_usd(measure), cost)
    return _worth(cost, subsidy, value, saving.cost_usd)


def worth_together(
    measures: Sequence[Measure], savings: Sequence[Saving], terms: Terms
) -> Worth | None:
    """Economics of a package: interacted savings, each over its own life.

    None when a cost is missing: a total without it would be a wrong one.
    """
    costs = [terms.cost_usd(measure) for measure in measures]
    if any(cost is None for cost in costs):
        return None
    total = sum(cost for cost in costs if cost is not None)
    subsidy = sum(
        min(terms.subsidy_usd(measure), cost or 0.0)
        for measure, cost in zip(measures, costs, strict=True)
    )
    value = sum(
        present_value(saving.cost_usd, measure.life_years, terms)
        for measure, saving in zip(measures, savings, strict=True)
    )
    return _worth(total, subsidy, value, sum(saving.cost_usd for saving in savings))


def _worth(cost: float, subsidy: float, value: float, annual: float) -> Worth:
    return Worth(
        cost_usd=cost,
        subsidy_usd=subsidy,
        present_value_usd=value,
        npv_usd=value - cost,
        npv_to_owner_usd=value - (cost - subsidy),
        sir=value / cost if cost > 0.0 else None,
        simple_payback_years=simple_payback_years(cost, annual),
    )
