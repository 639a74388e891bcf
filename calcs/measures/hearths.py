"""Open hearths: a plug in a flue nobody uses, a damper that closes in one that is used.

Never with gas logs: their damper is clamped open on purpose, because they burn into the flue.
"""

from __future__ import annotations

from dataclasses import replace

from calcs.inputs import House
from calcs.leak_places import leak_flows, seal
from calcs.measures.hazards import TIGHTENING
from calcs.measures.lives import life_of
from calcs.measures.measure import Measure

# Share of the leak up the flue that goes; common practice, no source.
PLUG_REMOVED = 0.85
DAMPER_REMOVED = 0.70


def measures_for(house: House) -> list[Measure]:
    """A plug or a damper, whichever the use of the hearth allows."""
    fireplace = house.air_leakage.fireplace
    if fireplace is None or fireplace.is_plugged or fireplace.has_gas_logs:
        return []
    if not fireplace.is_in_use:
        return [_measure("flue_plug", PLUG_REMOVED, house)]
    if not fireplace.has_closing_damper:
        return [_measure("fireplace_damper", DAMPER_REMOVED, house)]
    return []


def _measure(kind: str, removed: float, house: House) -> Measure:
    life = life_of(kind)
    fireplace = house.air_leakage.fireplace
    before = 0.0 if fireplace is None else fireplace.flow50_m3_per_s
    return Measure(
        kind=kind,
        stage="air_sealing",
        place="chimney",
        quantity=1.0,
        unit="each",
        life_years=life.years,
        life_source=life.source,
        apply=_plug if kind == "flue_plug" else _fit_damper,
        blocked_by=TIGHTENING,
        areas=("living_space",) if kind == "flue_plug" else ("living_space", "roof"),
        reason_key="flue_not_in_use" if kind == "flue_plug" else "damper_does_not_close",
        facts={
            "flow50_before_m3_per_s": before,
            "flow50_removed_m3_per_s": removed * min(before, leak_flows(house)["chimney"]),
        },
    )


def _close(house: House, *, removed: float, **marks: bool) -> House:
    fireplace = house.air_leakage.fireplace
    assert fireplace is not None
    flow = leak_flows(house)["chimney"]
    closed = removed * min(fireplace.flow50_m3_per_s, flow)
    sealed = seal(house, {"chimney": closed / flow}) if flow > 0.0 else house
    kept = fireplace.flow50_m3_per_s * (1.0 - removed)
    hearth = replace(fireplace, flow50_m3_per_s=kept, **marks)
    return replace(sealed, air_leakage=replace(sealed.air_leakage, fireplace=hearth))


def _plug(house: House) -> House:
    fireplace = house.air_leakage.fireplace
    if fireplace is None or fireplace.is_plugged:
        return house
    return _close(house, removed=PLUG_REMOVED, is_plugged=True)


def _fit_damper(house: House) -> House:
    fireplace = house.air_leakage.fireplace
    if fireplace is None or fireplace.has_closing_damper:
        return house
    return _close(house, removed=DAMPER_REMOVED, has_closing_damper=True)
