"""How the key numbers were made: formula, inputs with their origin, source."""

from __future__ import annotations

from calcs.assemblies import attic_floor_r
from calcs.inputs import House
from calcs.measures import Measure
from calcs.records import field_unit
from calcs.results import Baseline, Derivation, DerivationInput, MeasureResult, Package
from calcs.worth import Scene

HOURLY = "hourly heat balance of this house over the weather year"


def derivations_of(
    house: House,
    base: Baseline,
    package: Package,
    results: tuple[MeasureResult, ...],
    measures: tuple[Measure, ...],
    scene: Scene,
) -> tuple[Derivation, ...]:
    """Derivations of the numbers a report prints, by key."""
    made = [
        _infiltration(house, base, scene),
        _heat_loss(base),
        *_attics(house),
        *_heating(house, base),
        _cost(base, scene),
        _package(package),
    ]
    if house.ducts is not None:
        made.append(_ducts(house, base))
    made += [_payback(item) for item in results if item.worth is not None and item.saving]
    made += [_quantity(item) for item in measures]
    return tuple(made)


def _given(house: House, name: str, record: object, attribute: str, path: str) -> DerivationInput:
    value = getattr(record, attribute)
    origin = house.origin(path)
    return DerivationInput(
        name_key=name,
        value="" if value is None else value,
        unit=field_unit(record, attribute),
        path=path,
        how=origin.how,
        source=origin.source,
    )


def _worked(name: str, value: float | str, unit: str, source: str = "") -> DerivationInput:
    return DerivationInput(
        name_key=name, value=value, unit=unit, path="", how="worked_out", source=source
    )


def _infiltration(house: House, base: Baseline, scene: Scene) -> Derivation:
    leakage = house.air_leakage
    return Derivation(
        key="infiltration",
        value=base.infiltration_m3_per_s,
        unit="m³/s",
        formula="mean over the year of sqrt(Qs² + Qw²); Qs = c·Cs·ΔT^n, Qw = c·Cw·(s·G·U)^(2n), "
        "c = Q50 / 50^n",
        inputs=(
            _given(house, "flow50", leakage, "flow50_m3_per_s", "air_leakage.flow50_m3_per_s"),
            _given(house, "exponent", leakage, "exponent", "air_leakage.exponent"),
            _given(house, "shelter_class", house.site, "shelter_class", "site.shelter_class"),
            _given(house, "stories", house.geometry, "stories", "geometry.stories"),
            _worked("weather", scene.weather.name, "", "typical weather year"),
        ),
        source="ASHRAE Handbook-Fundamentals, enhanced infiltration model (memory)",
    )


def _heat_loss(base: Baseline) -> Derivation:
    inputs = tuple(
        _worked(f"part.{part.part}", part.total_j, "J", HOURLY) for part in base.components
    )
    return Derivation(
        key="heat_loss",
        value=sum(part.total_j for part in base.components),
        unit="J",
        formula="sum of the parts, in the hours when the heating runs",
        inputs=inputs,
        source=HOURLY,
    )


def _attics(house: House) -> list[Derivation]:
    made = []
    for attic in house.attics:
        path = f"attics.{attic.id}"
        inputs = [
            _given(house, f"layer.{attribute}", layer, attribute,
                   f"{path}.layers.{index}.{attribute}")
            for index, layer in enumerate(attic.layers)
            for attribute in ("material", "depth_m", "nominal_r_m2k_per_w", "condition",
                              "void_fraction")
        ]  # fmt: skip
        inputs.append(
            _given(house, "framing_fraction", attic, "framing_fraction", f"{path}.framing_fraction")
        )
        made.append(
            Derivation(
                key=f"attic_r:{attic.id}",
                value=attic_floor_r(attic),
                unit="m²·K/W",
                formula="1 / Σ(share / R of the path) − R of films and board; compressed layers "
                "lose half of the thickness lost, bare area by condition",
                inputs=tuple(inputs),
                source="parallel paths, ASHRAE Handbook-Fundamentals (memory); bare area by "
                "installation grade, ANSI/RESNET/ICC 301",
            )
        )
    return made


def _heating(house: House, base: Baseline) -> list[Derivation]:
    made = []
    for system in house.heating:
        path = f"heating.{system.id}"
        inputs = [
            _given(house, attribute, system, attribute, f"{path}.{attribute}")
            for attribute in ("steady_state_efficiency", "efficiency", "seasonal_cop",
                              "year_installed", "capacity_w")
            if getattr(system, attribute) is not None
        ]  # fmt: skip
        inputs.append(_worked("part_load_by_hour", base.heating_load_j, "J", HOURLY))
        made.append(
            Derivation(
                key=f"heating_efficiency:{system.id}",
                value=base.heating_efficiency,
                unit="share",
                formula="heat given / Σ over the hours of (heat given / steady-state efficiency + "
                "idle loss while on call)",
                inputs=tuple(inputs),
                source="linear input-output line of burners; idle shares are common practice",
            )
        )
    return made


def _ducts(house: House, base: Baseline) -> Derivation:
    ducts = house.ducts
    assert ducts is not None
    inputs = tuple(
        _given(house, name, ducts, name, f"ducts.{name}")
        for name in ("supply_leak25_m3_per_s", "return_leak25_m3_per_s", "supply_area_m2",
                     "supply_r_m2k_per_w", "fan_flow_m3_per_s", "supply_location")
    )  # fmt: skip
    return Derivation(
        key="duct_delivery",
        value=base.distribution_efficiency_heating,
        unit="share",
        formula="as·Bs − as·Bs·(1 − Br·ar)·ΔTr/ΔTe − as·(1 − Bs)·ΔTs/ΔTe, hour by hour",
        inputs=inputs,
        source="ASHRAE Standard 152, heating delivery effectiveness (memory, derived again)",
    )


def _cost(base: Baseline, scene: Scene) -> Derivation:
    inputs: list[DerivationInput] = []
    for fuel, amount in base.energy_j.items():
        inputs.append(_worked(f"energy.{fuel}", amount, "J", HOURLY))
        rate = scene.terms.prices.rates.get(fuel)
        price = base.cost_usd_by_fuel[fuel] / amount if amount else 0.0
        inputs.append(
            DerivationInput(
                name_key=f"price.{fuel}", value=price, unit="$/J", path="",
                how="recorded" if rate is None else "worked_out",
                source=scene.terms.prices.as_of if rate is None else rate.name or rate.source,
            )
        )  # fmt: skip
    return Derivation(
        key="annual_cost",
        value=base.cost_usd,
        unit="$",
        formula="Σ energy × price; on a rate, each month's bill less what it is without any use",
        inputs=tuple(inputs),
        source="prices of the program, dated",
    )


def _package(package: Package) -> Derivation:
    return Derivation(
        key="package_saving",
        value=package.saving.cost_usd,
        unit="$",
        formula="cost of the year before − cost of the year after all measures",
        inputs=(
            _worked("cost_before", package.before.cost_usd, "$", HOURLY),
            _worked("cost_after", package.after.cost_usd, "$", HOURLY),
        ),
        source="measures run in the order of work, each on the house the earlier ones left",
    )


def _payback(item: MeasureResult) -> Derivation:
    assert item.worth is not None
    assert item.saving is not None
    years = item.worth.simple_payback_years
    return Derivation(
        key=f"payback:{item.id}",
        value=-1.0 if years is None else years,
        unit="yr",
        formula="full cost / saving of the first year; NPV = saving × present value factor "
        "over the life − full cost",
        inputs=(
            DerivationInput(name_key="cost", value=item.worth.cost_usd, unit="$", path="",
                            how="recorded", source="quote or price list"),
            _worked("saving", item.saving.cost_usd, "$", HOURLY),
            _worked("life", item.life_years, "yr", item.life_source),
        ),
        source="NIST Handbook 135 formulas (memory)",
    )  # fmt: skip


def _quantity(measure: Measure) -> Derivation:
    facts = tuple(
        _worked(name, value if isinstance(value, (int, float)) else str(value), "")
        for name, value in measure.facts.items()
    )
    return Derivation(
        key=f"quantity:{measure.id}",
        value=measure.quantity,
        unit=measure.unit,
        formula="from the recorded sizes of what the measure works on",
        inputs=facts,
        source="field record",
    )
