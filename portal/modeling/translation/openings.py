"""Windows, skylights and doors; U and solar gain from the label, else by kind."""

from calcs.inputs import Door, Window
from portal.core.units import convert
from portal.modeling.translation.envelope import FULL_AZIMUTHS
from portal.modeling.translation.reading import Document, Reader

# Default U-factors by panes and frame, Btu/(h ft2 F): IECC 2021 Table R303.1.3(1) (memory);
# low-e and triple panes: common practice, no source.
DEFAULT_U_US = {
    ("single", "metal"): 1.20,
    ("single", "other"): 0.95,
    ("double", "metal"): 0.80,
    ("double", "metal_break"): 0.65,
    ("double", "other"): 0.55,
    ("low_e", "metal"): 0.60,
    ("low_e", "metal_break"): 0.48,
    ("low_e", "other"): 0.36,
    ("triple", "other"): 0.30,
}
# Default solar gain coefficients: IECC 2021 Table R303.1.3(3) (memory) for clear and tinted;
# low-e: common practice, no source.
DEFAULT_SHGC = {
    ("single", "clear"): 0.80,
    ("single", "tinted"): 0.70,
    ("double", "clear"): 0.70,
    ("double", "tinted"): 0.60,
    ("low_e", "clear"): 0.45,
    ("triple", "clear"): 0.40,
}
DEFAULT_SOURCE = "IECC 2021 default fenestration table (memory)"
# Sun stopped by shades and by trees or neighbors (common practice, no source).
INSIDE_SHADE = {"none": 0.0, "half": 0.15, "closed": 0.30}
OUTSIDE_SHADE = {"none": 0.0, "some": 0.25, "much": 0.50}
SKYLIGHT_TILT_DEG = 22.6
# Default U of doors, Btu/(h ft2 F) (common practice, no source).
DOOR_U_US = {"wood": 0.46, "wood_panel": 0.54, "steel": 0.30, "fiberglass": 0.27, "glass": 0.80}


def _glazing_class(item: Reader) -> str:
    panes = item.whole("panes", default=2)
    has_storm = bool(item.value("storm_windows", default=False))
    if panes >= 3:
        return "triple"
    if panes == 2 and item.value("coating") == "low_e":
        return "low_e"
    return "double" if panes == 2 or has_storm else "single"


def _default_u(glazing: str, frame: str) -> float:
    for kind in (frame, "metal" if frame.startswith("metal") else "other", "other"):
        if (glazing, kind) in DEFAULT_U_US:
            return convert(DEFAULT_U_US[(glazing, kind)], "U", "W/m²K")
    raise KeyError(glazing)


def windows(document: Document) -> tuple[Window, ...]:
    """Every group of alike windows."""
    return tuple(
        _window(key, name, item) for key, name, item in document.items("windows", "windows")
    )


def _window(key: str, name: str, item: Reader) -> Window:
    glazing = _glazing_class(item)
    tint = "tinted" if item.value("coating") == "tinted" else "clear"
    u_factor = item.si("u_factor", "u_w_per_m2k")
    shgc = item.si("shgc", "shgc")
    if u_factor is None:
        u_factor = _default_u(glazing, item.value("frame", default="wood"))
        item.mark("u_w_per_m2k", "default", DEFAULT_SOURCE)
    if shgc is None:
        shgc = DEFAULT_SHGC.get((glazing, tint)) or DEFAULT_SHGC[(glazing, "clear")]
        item.mark("shgc", "default", DEFAULT_SOURCE)
    inside = INSIDE_SHADE[item.value("shading_inside", "inside_shade_share", default="half")]
    outside = OUTSIDE_SHADE[item.value("shading_outside", default="none")]
    more = {}
    if item.value("placement", default="wall") == "roof":
        more["tilt_deg"] = SKYLIGHT_TILT_DEG
    for field, target in (
        ("height", "height_m"),
        ("overhang_depth", "overhang_depth_m"),
        ("overhang_gap", "overhang_gap_m"),
    ):
        found = item.si(field, target)
        if found is not None:
            more[target] = found
    return Window(
        id=key,
        name=name,
        area_m2=item.si("area_each", "area_m2", default=0.0) * item.number("count", default=1.0),
        azimuth_deg=FULL_AZIMUTHS[item.value("orientation", "azimuth_deg", default="south")],
        u_w_per_m2k=u_factor,
        shgc=shgc,
        panes=item.whole("panes", "panes", default=2),
        has_storm=bool(item.value("storm_windows", "has_storm", default=False)),
        condition=item.value("condition", "condition", default="fair"),
        inside_shade_share=1.0 - (1.0 - inside) * (1.0 - outside),
        **more,
    )


def doors(document: Document) -> tuple[Door, ...]:
    """Every outside, garage or attic door."""
    found = []
    for key, name, item in document.items("doors", "doors"):
        r_value = item.si("r_value", "u_w_per_m2k")
        if r_value:
            u_factor = 1.0 / r_value
        else:
            u_solid = DOOR_U_US[item.value("material", default="wood")]
            glazed = item.si("glazed_share", default=0.0)
            u_us = u_solid * (1.0 - glazed) + DOOR_U_US["glass"] * glazed
            u_factor = convert(u_us, "U", "W/m²K")
            item.mark("u_w_per_m2k", "default", "by material (common practice, no source)")
        found.append(
            Door(
                id=key,
                name=name,
                area_m2=item.si("area", "area_m2", default=1.86),
                u_w_per_m2k=u_factor,
                azimuth_deg=FULL_AZIMUTHS.get(item.value("orientation", default="")),
                adjacent_to=item.value("adjacent_to", "adjacent_to", default="outside"),
                condition=item.value("condition", "condition", default="fair"),
                is_weatherstripped=bool(
                    item.value("weatherstrip", "is_weatherstripped", default=True)
                ),
                has_sweep=bool(item.value("sweep", "has_sweep", default=True)),
            )
        )
    return tuple(found)
