"""Windows: repair, storms over single glass, and replacement, seldom worth its price."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from calcs.inputs import House, Window
from calcs.leak_places import leak_flows, seal
from calcs.measures.hazards import TIGHTENING
from calcs.measures.lives import life_of
from calcs.measures.measure import Measure

NEW_U_W_PER_M2K = 1.7  # 0.30 Btu/(h·ft²·°F)
NEW_SHGC = 0.30
REPLACEMENT_LEAKAGE_REMOVED = 0.40
STORM_LEAKAGE_REMOVED = 0.20
REPAIR_LEAKAGE_REMOVED = 0.25  # glass, putty, locks, weatherstrip; common practice, no source
STORM_R_M2K_PER_W = 0.18  # one more pane and its air space, about R-1 (memory)
STORM_SHGC_SHARE = 0.90
OLD_ABOVE_U_W_PER_M2K = 2.8


def measures_for(house: House) -> list[Measure]:
    """Repair, storm windows and replacement, each as one job."""
    return [*_repair(house), *_storms(house), *_replacement(house)]


def _is_worn(window: Window) -> bool:
    return window.condition == "poor" and window.area_m2 > 0.0


def _repair(house: House) -> list[Measure]:
    worn = [window for window in house.windows if _is_worn(window)]
    if not worn:
        return []
    life = life_of("window_repair")
    return [
        Measure(
            kind="window_repair",
            stage="air_sealing",
            place="windows_doors",
            quantity=sum(window.area_m2 for window in worn),
            unit="m²",
            life_years=life.years,
            life_source=life.source,
            apply=partial(
                _change,
                is_target=_is_worn,
                renew=_mended,
                leakage_removed=REPAIR_LEAKAGE_REMOVED,
            ),
            excludes=("window_replacement",),
            blocked_by=TIGHTENING,
            areas=("living_space",),
            reason_key="windows_are_worn",
            facts={"window_ids": [window.id for window in worn]},
        )
    ]


def _mended(window: Window) -> Window:
    return replace(window, condition="good")


def _is_bare_single(window: Window) -> bool:
    return window.panes == 1 and not window.has_storm and window.area_m2 > 0.0


def _storms(house: House) -> list[Measure]:
    bare = [window for window in house.windows if _is_bare_single(window)]
    if not bare:
        return []
    life = life_of("storm_windows")
    return [
        Measure(
            kind="storm_windows",
            stage="insulation",
            place="windows_doors",
            quantity=sum(window.area_m2 for window in bare),
            unit="m²",
            life_years=life.years,
            life_source=life.source,
            apply=partial(
                _change,
                is_target=_is_bare_single,
                renew=_with_storm,
                leakage_removed=STORM_LEAKAGE_REMOVED,
            ),
            excludes=("window_replacement",),
            areas=("living_space",),
            reason_key="single_glass_without_storm",
        )
    ]


def _replacement(house: House) -> list[Measure]:
    old = [window for window in house.windows if window.u_w_per_m2k > OLD_ABOVE_U_W_PER_M2K]
    if not old:
        return []
    life = life_of("window_replacement")
    return [
        Measure(
            kind="window_replacement",
            stage="insulation",
            place="windows_doors",
            quantity=sum(window.area_m2 for window in old),
            unit="m²",
            life_years=life.years,
            life_source=life.source,
            apply=partial(
                _change,
                is_target=_is_old,
                renew=_new_window,
                leakage_removed=REPLACEMENT_LEAKAGE_REMOVED,
            ),
            excludes=("storm_windows", "window_repair"),
            areas=("living_space", "walls"),
            is_advised=False,
            reason_key="windows_cost_more_than_they_save",
            facts={"u_after_w_per_m2k": NEW_U_W_PER_M2K},
        )
    ]


def _is_old(window: Window) -> bool:
    return window.u_w_per_m2k > OLD_ABOVE_U_W_PER_M2K


def _with_storm(window: Window) -> Window:
    u = 1.0 / (1.0 / window.u_w_per_m2k + STORM_R_M2K_PER_W)
    return replace(window, u_w_per_m2k=u, shgc=window.shgc * STORM_SHGC_SHARE, has_storm=True)


def _new_window(window: Window) -> Window:
    return replace(
        window,
        u_w_per_m2k=NEW_U_W_PER_M2K,
        shgc=NEW_SHGC,
        panes=2,
        has_storm=False,
        condition="good",
    )


def _change(
    house: House,
    *,
    is_target: Callable[[Window], bool],
    renew: Callable[[Window], Window],
    leakage_removed: float,
) -> House:
    changed = [window for window in house.windows if is_target(window)]
    if not changed:
        return house
    share = sum(w.area_m2 for w in changed) / sum(w.area_m2 for w in house.windows)
    windows = tuple(renew(window) if is_target(window) else window for window in house.windows)
    sealed = house
    if leak_flows(house)["windows_doors"] > 0.0:
        sealed = seal(house, {"windows_doors": leakage_removed * share})
    return replace(sealed, windows=windows)
