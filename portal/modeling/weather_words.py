"""What the check of a weather file found, in words."""

from typing import Any

from django.utils.translation import gettext as _

from calcs.weather_files import TEXT
from portal.core.units import convert

KM_PER_MILE = 1.609344


def finding_words(item: dict[str, Any]) -> str:
    """A finding in the reader's language where it is translated."""
    template = TEXT.get(item["code"])
    return item["text"] if template is None else _(template) % item["facts"]


def check_pairs(report: dict[str, Any]) -> list[dict[str, str]]:
    """What the check says of hours, years, units and place, as pairs of words."""
    if not report.get("kind"):
        return []
    years = f"{report['first_year']}–{report['last_year']}"
    if report["first_year"] == report["last_year"]:
        years = str(report["first_year"])
    pairs = [
        {"label": _("Format"), "value": report["kind"]},
        {"label": _("Station"), "value": report["name"]},
        {"label": _("Hours"), "value": f"{report['rows']:,}"},
        {"label": _("Years"), "value": years},
    ]
    if report.get("latitude_deg") is not None:
        pairs += [
            {"label": _("Place"), "value": _place(report["latitude_deg"], report["longitude_deg"])},
            {
                "label": _("Elevation"),
                "value": f"{convert(report['elevation_m'], 'm', 'ft'):,.0f} ft",
            },
            {"label": _("Time zone"), "value": f"UTC{report['utc_offset_h']:+g}"},
        ]
    if report.get("nearest_km") is not None:
        near, far = (round(report[key] / KM_PER_MILE) for key in ("nearest_km", "farthest_km"))
        words = _("%(near)d miles") if near == far else _("%(near)d to %(far)d miles")
        pairs.append(
            {
                "label": _("Distance to the territory"),
                "value": words % {"near": near, "far": far},
            }
        )
    units = sorted(set(report.get("units", {}).values()))
    if units:
        pairs.append({"label": _("Units"), "value": ", ".join(units)})
    return pairs


def _place(latitude: float, longitude: float) -> str:
    north = _("north") if latitude >= 0.0 else _("south")
    east = _("east") if longitude >= 0.0 else _("west")
    return f"{abs(latitude):.2f}° {north}, {abs(longitude):.2f}° {east}"


def climate_facts(report: dict[str, Any]) -> list[dict[str, str]]:
    """The few figures by which somebody knows their climate."""
    if "heating_degree_days_k" not in report:
        return []
    return [
        {
            "label": _("Heating degree days"),
            "value": f"{convert(report['heating_degree_days_k'], 'K', 'ΔF'):,.0f}",
            "note": _("base 65 °F"),
        },
        {
            "label": _("Cooling degree days"),
            "value": f"{convert(report['cooling_degree_days_k'], 'K', 'ΔF'):,.0f}",
            "note": _("base 65 °F"),
        },
        {
            "label": _("Coldest to warmest"),
            "value": f"{convert(report['lowest_c'], 'degC', 'degF'):.0f} "
            f"– {convert(report['highest_c'], 'degC', 'degF'):.0f} °F",
        },
        {
            "label": _("Mean"),
            "value": f"{convert(report['mean_c'], 'degC', 'degF'):.1f} °F",
        },
    ]
