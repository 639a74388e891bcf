"""Savings that a program claims by the algorithms of its manual, beside those of the model.

A manual is data: for each kind of measure it names an algorithm, gives every parameter, and says
whether the program claims the deemed or the modeled saving. Here the algorithms get what the
house has (lamps, flows, lengths, R) and what the manual says (hours, temperatures, factors).
Nothing of the hourly model enters, except the heating energy a thermostat takes its share of.

References
----------
Structures as in `calcs.trm_algorithms`; every parameter comes from the manual the program names.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from calcs import trm_algorithms as trm
from calcs.errors import InputError
from calcs.inputs import House, LampGroup, WaterHeater
from calcs.unit_factors import J_PER_KWH
from calcs.validation import require_known

SECONDS_PER_YEAR = 365.25 * 86400.0
J_PER_M3_OF_1_L_PER_KWH = J_PER_KWH * 1000.0
OLD_LAMPS = ("incandescent", "halogen")


@dataclass(frozen=True, kw_only=True)
class DeemedInput:
    """One number that went in; `how` is "house" or "manual"."""

    name: str
    value: float
    unit: str
    how: str


@dataclass(frozen=True, kw_only=True)
class Deemed:
    """A deemed saving: yearly energy by fuel (negative: more is used), and how it was made. [J]"""

    algorithm: str
    formula: str
    energy_j: Mapping[str, float]
    inputs: tuple[DeemedInput, ...]


@dataclass(frozen=True, kw_only=True)
class Job:
    """What is claimed: a measure of a house, as far as the algorithms ask.

    Parameters
    ----------
    house : House
        Before the work.
    target_id : str
        The thing worked on; empty for the whole house.
    quantity : float
        As the measure counts it, SI.
    facts : mapping
        Facts of the measure (`Measure.facts`).
    heating_j : mapping
        Heating energy of a year by fuel, before the work. [J]
    """

    house: House
    target_id: str
    quantity: float
    facts: Mapping[str, Any]
    heating_j: Mapping[str, float]


@dataclass(frozen=True)
class Algorithm:
    """One algorithm: its formula, the parameters it needs with their SI units, and the function.

    The function returns energy by fuel and what it took from the house, or None where the house
    lacks what the algorithm needs.
    """

    formula: str
    parameters: Mapping[str, str]
    work: Callable[[Job, Mapping[str, float]], tuple[dict[str, float], list[DeemedInput]] | None]


def deemed_saving(algorithm: str, job: Job, parameters: Mapping[str, float]) -> Deemed | None:
    """The deemed saving of a job, or None where the record lacks what the algorithm needs.

    Parameters
    ----------
    algorithm : str
        A name of `ALGORITHMS`.
    parameters : mapping of str to float
        All of the algorithm's parameters, in the SI units it names.

    Raises
    ------
    InputError
        Unknown algorithm, or a parameter missing or not known to it.
    """
    known = require_known(ALGORITHMS, algorithm, "algorithm")
    check_parameters(algorithm, parameters)
    found = known.work(job, parameters)
    if found is None:
        return None
    energy, taken = found
    given = [
        DeemedInput(name=name, value=parameters[name], unit=unit, how="manual")
        for name, unit in known.parameters.items()
    ]
    return Deemed(
        algorithm=algorithm,
        formula=known.formula,
        energy_j={fuel: amount for fuel, amount in energy.items() if amount},
        inputs=(*taken, *given),
    )


def check_parameters(algorithm: str, parameters: Mapping[str, Any]) -> None:
    """Raise `InputError` unless the names are exactly those of the algorithm."""
    wanted = set(require_known(ALGORITHMS, algorithm, "algorithm").parameters)
    if set(parameters) != wanted:
        missing = ", ".join(sorted(wanted - set(parameters))) or "none"
        extra = ", ".join(sorted(set(parameters) - wanted)) or "none"
        raise InputError(f"Algorithm {algorithm}: parameters missing: {missing}; unknown: {extra}.")


def _from_house(name: str, value: float, unit: str) -> DeemedInput:
    return DeemedInput(name=name, value=value, unit=unit, how="house")


def _heating_fuel(house: House) -> str | None:
    return max(house.heating, key=lambda item: item.load_share).fuel if house.heating else None


def _heater(house: House, target_id: str) -> WaterHeater | None:
    if target_id:
        return next((item for item in house.water_heaters if item.id == target_id), None)
    return max(house.water_heaters, key=lambda item: item.load_share, default=None)


def _recovery(heater: WaterHeater, given: Mapping[str, float]) -> float:
    return given["recovery_electric" if heater.fuel == "electricity" else "recovery_fuel"]


def _lamps(job: Job, given: Mapping[str, float]) -> Any:
    groups = [item for item in job.house.lamps if item.kind in OLD_LAMPS and item.count]
    fuel = _heating_fuel(job.house)
    if not groups:
        return None
    saved = penalty = 0.0
    for item in groups:
        base, hours = _lamp_base_w(item, given), given[f"hours_{item.location}"] / 3600.0
        factor = given["energy_factor_inside"] if item.location == "inside" else 1.0
        saved += item.count * trm.lamp_saving_j(
            base, given["new_w"], hours=hours, in_service=given["in_service"],
            heating_cooling_factor=factor,
        )  # fmt: skip
        if item.location == "inside":
            penalty += item.count * trm.lamp_heating_penalty_j(
                base, given["new_w"], hours=hours, in_service=given["in_service"],
                heating_factor=given["heating_factor"], efficiency=given["heating_efficiency"],
            )  # fmt: skip
    energy = {"electricity": saved}
    if fuel is not None and fuel != "electricity":
        energy[fuel] = penalty
    count = float(sum(item.count for item in groups))
    return energy, [_from_house("lamps", count, "")]


def _lamp_base_w(item: LampGroup, given: Mapping[str, float]) -> float:
    """Power the manual lets count: what is there, but no more than its baseline lamp."""
    return max(min(item.power_w, given["base_w"]), given["new_w"])


def _showerheads(job: Job, given: Mapping[str, float]) -> Any:
    use, heater = job.house.hot_water_use, _heater(job.house, "")
    if use.shower_flow_m3_per_s is None or heater is None or not use.shower_heads:
        return None
    energy = trm.hot_water_energy_j_per_m3(
        delta_k=given["mixed_c"] - given["inlet_c"], recovery=_recovery(heater, given)
    )
    one = trm.showerhead_saving_j(
        use.shower_flow_m3_per_s, given["low_flow"],
        seconds_per_shower=given["shower_length"], people=job.house.geometry.occupants,
        showers_per_person_day=given["showers_per_person_day"], heads=use.shower_heads,
        energy_j_per_m3=energy, in_service=given["in_service"],
    )  # fmt: skip
    return {heater.fuel: one * use.shower_heads}, [
        _from_house("flow_before", use.shower_flow_m3_per_s, "m3/s"),
        _from_house("people", job.house.geometry.occupants, ""),
        _from_house("heads", float(use.shower_heads), ""),
    ]


def _aerators(job: Job, given: Mapping[str, float]) -> Any:
    use, heater = job.house.hot_water_use, _heater(job.house, "")
    if use.faucet_flow_m3_per_s is None or heater is None or not use.faucets:
        return None
    energy = trm.hot_water_energy_j_per_m3(
        delta_k=given["mixed_c"] - given["inlet_c"], recovery=_recovery(heater, given)
    )
    one = trm.faucet_saving_j(
        use.faucet_flow_m3_per_s, given["low_flow"],
        seconds_per_person_day=given["use_per_person_day"], people=job.house.geometry.occupants,
        drain_share=given["drain_share"], faucets=use.faucets, energy_j_per_m3=energy,
        in_service=given["in_service"],
    )  # fmt: skip
    return {heater.fuel: one * use.faucets}, [
        _from_house("flow_before", use.faucet_flow_m3_per_s, "m3/s"),
        _from_house("people", job.house.geometry.occupants, ""),
        _from_house("faucets", float(use.faucets), ""),
    ]


def _tank_wrap(job: Job, given: Mapping[str, float]) -> Any:
    heater = _heater(job.house, job.target_id)
    if heater is None:
        return None
    saved = trm.tank_wrap_saving_j(
        given["old_r"], given["new_r"], area_m2=given["area"],
        delta_k=heater.setpoint_c - given["ambient_c"], seconds=SECONDS_PER_YEAR,
        recovery=_recovery(heater, given),
    )  # fmt: skip
    return {heater.fuel: saved}, [_from_house("tank_setting", heater.setpoint_c, "°C")]


def _hot_water_pipes(job: Job, given: Mapping[str, float]) -> Any:
    heater = _heater(job.house, job.target_id)
    if heater is None:
        return None
    length = min(job.quantity, given["longest"])
    saved = trm.pipe_insulation_saving_j(
        given["old_r"], given["new_r"], length_m=length, circumference_m=given["circumference"],
        delta_k=given["delta"], seconds=SECONDS_PER_YEAR, efficiency=_recovery(heater, given),
    )  # fmt: skip
    return {heater.fuel: saved}, [_from_house("length", job.quantity, "m")]


def _water_heater(job: Job, given: Mapping[str, float]) -> Any:
    heater, after = _heater(job.house, job.target_id), job.facts.get("uef_after")
    if heater is None or after is None:
        return None
    base = given["base_uef_electric" if heater.fuel == "electricity" else "base_uef_fuel"]
    people = job.house.geometry.occupants
    saved = trm.water_heater_saving_j(
        given["draw_per_person"] * people, delta_k=given["outlet_c"] - given["inlet_c"],
        base_uef=base, efficient_uef=float(after),
    )  # fmt: skip
    return {heater.fuel: saved * heater.load_share}, [
        _from_house("people", people, ""),
        _from_house("new_uef", float(after), ""),
    ]


def _refrigerator(job: Job, given: Mapping[str, float]) -> Any:
    old = _refrigerator_of(job)
    if old is None:
        return None
    saved = trm.refrigerator_saving_j(old, given["new_use"], in_service=given["in_service"])
    return {"electricity": saved}, [_from_house("metered_use", old, "J")]


def _refrigerator_of(job: Job) -> float | None:
    """Metered use of the refrigerator meant; None where it was not metered long enough. [J]"""
    return next(
        (
            item.energy_j_per_year
            for item in job.house.appliances.refrigerators
            if item.id == job.target_id
        ),
        None,
    )


def _second_refrigerator(job: Job, given: Mapping[str, float]) -> Any:
    metered = _refrigerator_of(job)
    base = given["unmetered_use"] if metered is None else metered
    saved = trm.recycled_refrigerator_saving_j(base, part_use=given["part_use"])
    return {"electricity": saved}, (
        [] if metered is None else [_from_house("metered_use", metered, "J")]
    )


def _washer(job: Job, given: Mapping[str, float]) -> Any:
    heater = _heater(job.house, "")
    if heater is None:
        return None
    cycles = given["cycles_per_person"] * job.house.geometry.occupants
    dryer = job.house.appliances.dryer_fuel
    dries = dryer == "electricity"
    energy = {
        "electricity": trm.washer_saving_j(
            cycles, base_machine_j=given["base_machine"],
            efficient_machine_j=given["efficient_machine"],
            base_dryer_j=given["base_dryer"] if dries else 0.0,
            efficient_dryer_j=given["efficient_dryer"] if dries else 0.0,
        )
    }  # fmt: skip
    hot = trm.washer_hot_water_saving_j(
        cycles, base_m3=given["base_hot_water"], efficient_m3=given["efficient_hot_water"],
        energy_j_per_m3=trm.hot_water_energy_j_per_m3(
            delta_k=given["outlet_c"] - given["inlet_c"], recovery=_recovery(heater, given)
        ),
    )  # fmt: skip
    energy[heater.fuel] = energy.get(heater.fuel, 0.0) + hot
    return energy, [_from_house("people", job.house.geometry.occupants, "")]


def _dehumidifier(job: Job, given: Mapping[str, float]) -> Any:
    saved = trm.dehumidifier_saving_j(
        given["water_per_year"],
        base_j_per_m3=J_PER_M3_OF_1_L_PER_KWH / given["base_liters_per_kwh"],
        efficient_j_per_m3=J_PER_M3_OF_1_L_PER_KWH / given["efficient_liters_per_kwh"],
    )
    return {"electricity": saved}, []


def _thermostat(job: Job, given: Mapping[str, float]) -> Any:
    heating = {fuel: amount for fuel, amount in job.heating_j.items() if amount > 0.0}
    if not heating:
        return None
    energy = {fuel: trm.thermostat_saving_j(j, given["reduction"]) for fuel, j in heating.items()}
    return energy, [_from_house(f"heating_{fuel}", j, "J") for fuel, j in heating.items()]


def _air_sealing(job: Job, given: Mapping[str, float]) -> Any:
    removed, fuel = job.facts.get("flow50_removed_m3_per_s"), _heating_fuel(job.house)
    if not removed or fuel is None:
        return None
    heat = trm.air_sealing_heating_j(
        float(removed), n=given["n_heating"], degree_days_k_day=given["heating_degree_days"],
        efficiency=_heating_efficiency(fuel, given),
    )  # fmt: skip
    energy = {fuel: heat}
    if job.house.cooling:
        energy["electricity"] = energy.get("electricity", 0.0) + trm.air_sealing_cooling_j(
            float(removed), n=given["n_cooling"], degree_days_k_day=given["cooling_degree_days"],
            seer_btu_per_wh=given["seer"], discretionary_use=given["discretionary_use"],
            latent_multiplier=given["latent_multiplier"],
        )  # fmt: skip
    return energy, [_from_house("flow50_removed", float(removed), "m3/s")]


def _heating_efficiency(fuel: str, given: Mapping[str, float]) -> float:
    return given["efficiency_electric" if fuel == "electricity" else "efficiency_fuel"]


def _insulation(job: Job, given: Mapping[str, float]) -> Any:
    after, fuel = job.facts.get("r_after_m2k_per_w"), _heating_fuel(job.house)
    if after is None or fuel is None:
        return None
    # An R of nothing has no meaning: the empty assembly is the least.
    old = max(float(job.facts.get("r_before_m2k_per_w", 0.0)), given["empty_r"])
    common = {
        "area_m2": job.quantity,
        "framing_fraction": given["framing_fraction"],
        "adjustment": given["adjustment"],
    }
    energy = {
        fuel: trm.insulation_heating_j(
            old, float(after), degree_days_k_day=given["heating_degree_days"],
            efficiency=_heating_efficiency(fuel, given), **common,
        )
    }  # fmt: skip
    if job.house.cooling:
        energy["electricity"] = energy.get("electricity", 0.0) + trm.insulation_cooling_j(
            old, float(after), degree_days_k_day=given["cooling_degree_days"],
            discretionary_use=given["discretionary_use"], seer_btu_per_wh=given["seer"], **common,
        )  # fmt: skip
    return energy, [
        _from_house("area", job.quantity, "m2"),
        _from_house("r_before", old, "m²K/W"),
        _from_house("r_after", float(after), "m²K/W"),
    ]


_DEGREE_DAYS = {"heating_degree_days": "K·days", "cooling_degree_days": "K·days"}
_COOLING = {"seer": "", "discretionary_use": ""}
_EFFICIENCIES = {"efficiency_fuel": "", "efficiency_electric": ""}
_RECOVERY = {"recovery_fuel": "", "recovery_electric": ""}

ALGORITHMS: dict[str, Algorithm] = {
    "lamps": Algorithm(
        "(W old - W new) hours in-service factor; less heat: - W hours in-service HF / efficiency",
        {"base_w": "W", "new_w": "W", "hours_inside": "s", "hours_outside": "s",
         "hours_garage": "s", "in_service": "", "energy_factor_inside": "", "heating_factor": "",
         "heating_efficiency": ""},
        _lamps,
    ),
    "showerheads": Algorithm(
        "(flow old - flow new) min people showers 365.25 c (T mixed - T inlet) / RE in-service",
        {"low_flow": "m3/s", "shower_length": "s", "showers_per_person_day": "", "mixed_c": "°C",
         "inlet_c": "°C", "in_service": "", **_RECOVERY},
        _showerheads,
    ),
    "aerators": Algorithm(
        "(flow old - flow new) min people 365.25 drain share c (T mixed - T inlet) / RE in-service",
        {"low_flow": "m3/s", "use_per_person_day": "s", "drain_share": "", "mixed_c": "°C",
         "inlet_c": "°C", "in_service": "", **_RECOVERY},
        _aerators,
    ),
    "tank_wrap": Algorithm(
        "(1/R old - 1/R new) A (T tank - T room) hours / RE",
        {"old_r": "m²K/W", "new_r": "m²K/W", "area": "m2", "ambient_c": "°C", **_RECOVERY},
        _tank_wrap,
    ),
    "hot_water_pipes": Algorithm(
        "(1/R old - 1/R new) L circumference dT hours / RE",
        {"old_r": "m²K/W", "new_r": "m²K/W", "circumference": "m", "delta": "K", "longest": "m",
         **_RECOVERY},
        _hot_water_pipes,
    ),
    "water_heater": Algorithm(
        "gal/day people 365.25 c (T out - T in) (1/UEF base - 1/UEF new)",
        {"draw_per_person": "m³/day", "outlet_c": "°C", "inlet_c": "°C", "base_uef_fuel": "",
         "base_uef_electric": ""},
        _water_heater,
    ),
    "refrigerator": Algorithm(
        "(use old - use new) in-service factor", {"new_use": "J", "in_service": ""}, _refrigerator
    ),
    "second_refrigerator": Algorithm(
        "use part of the year", {"unmetered_use": "J", "part_use": ""}, _second_refrigerator
    ),
    "clothes_washer": Algorithm(
        "cycles (machine old - new + dryer old - new); cycles (gal old - new) c dT / RE",
        {"cycles_per_person": "", "base_machine": "J", "efficient_machine": "J", "base_dryer": "J",
         "efficient_dryer": "J", "base_hot_water": "m3", "efficient_hot_water": "m3",
         "outlet_c": "°C", "inlet_c": "°C", **_RECOVERY},
        _washer,
    ),
    "dehumidifier": Algorithm(
        "water (1/EF old - 1/EF new)",
        {"water_per_year": "m3", "base_liters_per_kwh": "", "efficient_liters_per_kwh": ""},
        _dehumidifier,
    ),
    "thermostat": Algorithm(
        "heating energy reduction", {"reduction": ""}, _thermostat
    ),
    "air_sealing": Algorithm(
        "CFM50 less / N 60 24 HDD 0.018 / efficiency; cooling: N cool, CDD, DUA, LM / SEER",
        {"n_heating": "", "n_cooling": "", "latent_multiplier": "", **_DEGREE_DAYS, **_COOLING,
         **_EFFICIENCIES},
        _air_sealing,
    ),
    "insulation": Algorithm(
        "(1/R old - 1/R new) A (1 - ff) 24 HDD ADJ / efficiency; cooling: CDD, DUA / SEER",
        {"empty_r": "m²K/W", "framing_fraction": "", "adjustment": "", **_DEGREE_DAYS, **_COOLING,
         **_EFFICIENCIES},
        _insulation,
    ),
}  # fmt: skip
