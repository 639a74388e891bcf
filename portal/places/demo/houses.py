"""Whole field records from compact descriptions of houses.

A description gives sizes, what is in each part, and test readings; walls and windows are worked
out by side, every burner gets its test, and what it does not mention (the visit, alarms, small
appliances) is that of the record it is based on. The result is a complete field record file, which
goes through the same upload and the same checks as any other.
"""

import copy
import json
import re
from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import Any

from django.conf import settings

Fields = dict[str, Any]
Item = dict[str, Any]

BASE = "ranch-1958"
SIDES = ("north", "east", "south", "west")
BURNED = ("natural_gas", "propane", "fuel_oil")
# "=38 kBtu/h @nameplate" is a quantity: number, unit, and how it is known when not measured.
QUANTITY = re.compile(r"^=(?P<typed>[-\d.,]+)(?: (?P<unit>[^@]+?))?(?: @(?P<how>\w+))?$")
FRONT_DOOR_FT2, BACK_DOOR_FT2 = 20.0, 20.0
BURNER_KINDS = {"furnace": "central_furnace", "boiler": "boiler", "storage": "water_heater"}
ZONE_NAMES = {
    "basement": "Basement",
    "crawlspace": "Crawlspace",
    "garage": "Garage",
    "closet": "Utility closet",
}


def record_names() -> list[str]:
    """Every house there is a record of, whole or described."""
    whole = {path.stem for path in (settings.ROOT / "fixtures" / "records").glob("*.json")}
    return sorted(whole | _descriptions().keys())


def record_file(name: str) -> bytes:
    """The field record of a house as the bytes of a file.

    Raises
    ------
    LookupError
        There is no such house.
    """
    return json.dumps(record_of(name), ensure_ascii=False, indent=1).encode()


def record_of(name: str) -> Fields:
    """The field record of a house as plain values."""
    path = settings.ROOT / "fixtures" / "records" / f"{name}.json"
    if path.is_file():
        whole: Fields = json.loads(path.read_text(encoding="utf-8"))
        return whole
    descriptions = _descriptions()
    if name not in descriptions:
        raise LookupError(f"no house {name}")
    return build(_resolved(name, descriptions))


@lru_cache(maxsize=1)
def _descriptions() -> Mapping[str, Fields]:
    path = settings.ROOT / "fixtures" / "demo" / "houses.json"
    found: Mapping[str, Fields] = json.loads(path.read_text(encoding="utf-8"))
    return found


def _resolved(name: str, descriptions: Mapping[str, Fields]) -> Fields:
    """A description laid over the one it names under ``like``."""
    description = descriptions[name]
    if "like" not in description:
        return description
    return _merged(_resolved(description["like"], descriptions), description)


def _merged(under: Fields, over: Fields) -> Fields:
    merged = dict(under)
    for key, value in over.items():
        known = merged.get(key)
        if isinstance(known, dict) and isinstance(value, dict):
            merged[key] = _merged(known, value)
        else:
            merged[key] = value
    return merged


def build(described: Fields) -> Fields:
    """A complete field record from a description."""
    base = record_of(BASE)
    items: dict[str, list[Item]] = {
        "fans": list(_fans(described, base)),
        "lamps": list(_lamps(described, base)),
        "refrigerators": list(_refrigerators(described, base)),
        "attics": list(_attics(described, base)),
        "attic_accesses": list(_accesses(described, base)),
        "walls": list(_walls(described, base)),
        "windows": list(_windows(described, base)),
        "doors": list(_doors(base)),
        "foundations": list(_foundations(described)),
        "heating_systems": described.get("heating", []),
        "cooling_systems": described.get("cooling", []),
        "water_heaters": [_water_heater(described, base)],
        "leaks": list(_leaks(described)),
        "blower_door_tests": list(_blower_door(described, base)),
    }
    items["combustion_appliances"] = list(_burners(described, items))
    items["combustion_zones"] = list(_zones(described, items["combustion_appliances"]))
    items |= dict(_ducts(described, base))
    items |= copy.deepcopy(described.get("items", {}))
    record = {
        "sheet_version": base["sheet_version"],
        "name": described["name"],
        "house": _house(described, base, items),
        "items": {group: rows for group, rows in items.items() if rows},
    }
    whole: Fields = spelled(record)
    return whole


def _fans(described: Fields, base: Fields) -> Iterator[Item]:
    """One bath fan, which blows outside unless the description says otherwise."""
    fan = copy.deepcopy(base["items"]["fans"][0])
    fan["fields"] |= {"vented_to": "outside", "flow": "=58 cfm", **described.get("bath_fan", {})}
    yield fan


def _lamps(described: Fields, base: Fields) -> Iterator[Item]:
    """LED lamps, and as many old bulbs as the description counts."""
    old, led = (copy.deepcopy(item) for item in base["items"]["lamps"])
    count = described.get("old_bulbs", 0)
    if count:
        old["fields"] |= {"count": count, "swappable": count}
        yield old
    led["fields"]["count"] = 16
    yield led


def _refrigerators(described: Fields, base: Fields) -> Iterator[Item]:
    first, second = (copy.deepcopy(item) for item in base["items"]["refrigerators"])
    yield first
    if described.get("second_refrigerator"):
        second["fields"] |= {"location": described["second_refrigerator"]}
        yield second


def spelled(value: Any) -> Any:
    """Short quantities written out as the file has them."""
    if isinstance(value, dict):
        return {key: spelled(entry) for key, entry in value.items()}
    if isinstance(value, list):
        return [spelled(entry) for entry in value]
    found = QUANTITY.match(value) if isinstance(value, str) else None
    if found is None:
        return value
    return {key: words for key, words in found.groupdict().items() if words}


def _template(base: Fields, group: str, place: int = 0) -> Fields:
    fields: Fields = copy.deepcopy(base["items"][group][place]["fields"])
    return fields


def _ft(described: Fields, key: str, otherwise: float = 0.0) -> float:
    return float(described["size"].get(key, otherwise))


def _footprint_ft2(described: Fields) -> float:
    return _ft(described, "length") * _ft(described, "width")


def _perimeter_ft(described: Fields) -> float:
    return 2.0 * (_ft(described, "length") + _ft(described, "width"))


def _quantity(number: float, unit: str) -> Fields:
    return {"typed": f"{number:.10g}", "unit": unit}


def _side_ft(described: Fields, side: str) -> float:
    return _ft(described, "length" if side in ("north", "south") else "width")


def _wall_height_ft(described: Fields) -> float:
    return _ft(described, "stories") * _ft(described, "ceiling")


def _house(described: Fields, base: Fields, items: Mapping[str, list[Item]]) -> Fields:
    house: Fields = copy.deepcopy(base["house"])
    if "blower_door_tests" in items and not items["blower_door_tests"]:
        house["air_leakage"] = {}
    is_burning = bool(items["combustion_appliances"])
    stories, ceiling = _ft(described, "stories"), _ft(described, "ceiling")
    area = _ft(described, "area", _footprint_ft2(described) * stories)
    year = described["year_built"]
    for section, fields in {
        "dwelling": {
            "year_built": {"value": year, "how": "document"},
            "stories": described["size"]["stories"],
            "floor_area": _quantity(area, "ft²"),
            "ceiling_height": _quantity(ceiling, "ft"),
            "boundary_height": _quantity(stories * (ceiling + 0.8), "ft"),
            "footprint_length": _quantity(_ft(described, "length"), "ft"),
            "footprint_width": _quantity(_ft(described, "width"), "ft"),
            "lead_paint": "presumed" if year < 1978 else "newer_house",
            "garage": "none",
        },
        "combustion": {"combustion_appliances_present": is_burning},
        "attic": {
            "attics_present": bool(items["attics"]),
            "attic_accesses_present": bool(items["attic_accesses"]),
        },
        "heating_cooling": {"cooling_systems_present": bool(items["cooling_systems"])},
        "ducts": {"duct_runs_present": bool(items.get("duct_runs"))},
    }.items():
        house[section].update(fields)
    for key in ("garage_area", "garage_wall_area", "remodel_year"):
        house["dwelling"].pop(key, None)
    if not items["cooling_systems"]:
        house["dwelling"].pop("cooling_setpoint")
    if not items.get("duct_runs"):
        house["ducts"] = {"duct_runs_present": False}
    if not is_burning:
        house["combustion"].pop("piping_tested")
    if not items.get("infrared_findings"):
        house["infrared"] = {"used": "not_used"}
    house["barriers"]["barriers_present"] = bool(items.get("barriers"))
    return _merged(house, described.get("house", {}))


def _attics(described: Fields, base: Fields) -> Iterator[Item]:
    if described.get("attic") is None:
        return
    fields = _template(base, "attics") | {
        "area": _quantity(_footprint_ft2(described), "ft²"),
        "floored_area": "=0 ft²",
        "storage_area": "=0 ft²",
        "storage_to_move": False,
        "exhaust_ends_here": [],
        "flue_kind": "none",
    }
    for key in ("flue_clearance", "flue_chase_open", "notes", "rafter_bays", "chutes_present"):
        fields.pop(key, None)
    fields |= described["attic"]
    if fields["layer1_material"] == "none":
        for key in [key for key in fields if key.startswith("layer1_") and key[7:] != "material"]:
            del fields[key]
    if fields["kind"] != "vented":
        for key in ("vents", "eave_clear_height", "vent_area", "soffit_blocked"):
            fields.pop(key, None)
    yield {"key": "attic-a", "name": described.get("attic_name", "Attic A: whole house"),
           "fields": fields}  # fmt: skip


def _accesses(described: Fields, base: Fields) -> Iterator[Item]:
    if described.get("attic") is None or described.get("hatch", {}) is None:
        return
    fields = _template(base, "attic_accesses") | described.get("hatch", {})
    yield {"key": "hatch", "name": str(fields["location"]), "fields": fields}


def _walls(described: Fields, base: Fields) -> Iterator[Item]:
    shared = described.get("shared_side", "")
    for side in SIDES:
        gross = _side_ft(described, side) * _wall_height_ft(described)
        openings = 0.0 if side == shared else _openings_ft2(described, side)
        fields = _template(base, "walls") | described.get("walls", {})
        if fields["structure"] not in ("wood_frame", "balloon_frame"):
            for key in [key for key in fields if key.startswith(("stud_", "cavity_"))]:
                del fields[key]
        elif fields["cavity_material"] == "none":
            fields["cavity_r"] = "=0 R @estimated"
            fields.pop("cavity_thickness", None)
            fields.pop("cavity_empty_share", None)
        yield {
            "key": f"wall-{side}",
            "name": f"{side.capitalize()} wall",
            "fields": fields
            | {
                "orientation": side,
                "adjacent_to": "neighbor" if side == shared else "outside",
                "gross_area": _quantity(gross, "ft²"),
                "opening_area": _quantity(openings, "ft²"),
            },
        }


def _openings_ft2(described: Fields, side: str) -> float:
    windows = described["windows"]
    doors = {"south": FRONT_DOOR_FT2, "north": BACK_DOOR_FT2}.get(side, 0.0)
    return float(windows.get(side, 0)) * float(windows["area_each_ft2"]) + doors


def _windows(described: Fields, base: Fields) -> Iterator[Item]:
    windows = described["windows"]
    for side in SIDES:
        if not windows.get(side):
            continue
        fields = _template(base, "windows")
        for key in ("notes", "u_factor", "shgc"):
            fields.pop(key, None)
        fields |= windows.get("fields", {})
        if fields["panes"] == 1:
            fields.pop("gas_fill", None)
        yield {
            "key": f"windows-{side}",
            "name": f"{side.capitalize()} windows",
            "fields": fields
            | {
                "orientation": side,
                "count": windows[side],
                "area_each": _quantity(float(windows["area_each_ft2"]), "ft²"),
            },
        }


def _doors(base: Fields) -> Iterator[Item]:
    for place in (0, 1):
        yield copy.deepcopy(base["items"]["doors"][place])


def _foundations(described: Fields) -> Iterator[Item]:
    found = described.get("foundation")
    if found is None:
        return
    fields: Fields = {
        "area": _quantity(_footprint_ft2(described), "ft²"),
        "perimeter": _quantity(_perimeter_ft(described), "ft"),
        "water": [],
        "wiring_or_asbestos": [],
    }
    if found["kind"] in ("basement", "vented_crawlspace", "unvented_crawlspace"):
        fields["rim_length"] = _quantity(_perimeter_ft(described), "ft")
    yield {"key": "foundation", "name": described.get("foundation_name", "Under the whole house"),
           "fields": fields | found}  # fmt: skip


def _water_heater(described: Fields, base: Fields) -> Item:
    fields = _template(base, "water_heaters")
    given = described.get("water_heater", {})
    if given.get("fuel") == "electricity":
        for key in ("vent", "uef", "input"):
            fields.pop(key)
    return {
        "key": "water-heater",
        "name": described.get("water_heater_name", "Water heater"),
        "fields": fields | given,
    }


def _leaks(described: Fields) -> Iterator[Item]:
    for number, (place, size, found_with, words) in enumerate(described.get("leaks", ()), start=1):
        yield {
            "key": f"leak-{number}",
            "name": words[:78],
            "fields": {"place": place, "size": size, "found_with": found_with, "words": words},
        }


def _blower_door(described: Fields, base: Fields) -> Iterator[Item]:
    tested = described.get("blower_door")
    if tested is None:
        return
    fields = _template(base, "blower_door_tests")
    fields.pop("fan_pressure")
    yield {"key": "test-arrival", "name": "Test on arrival", "fields": fields | tested}


def _burners(described: Fields, items: Mapping[str, list[Item]]) -> Iterator[Item]:
    """One tested burner for everything that burns fuel."""
    tests = described.get("burner_tests", {})
    for system in (*items["heating_systems"], *items["water_heaters"]):
        fields = system["fields"]
        if fields["fuel"] not in BURNED or fields["kind"] not in BURNER_KINDS:
            continue
        kind = BURNER_KINDS[fields["kind"]]
        burner: Fields = {
            "kind": kind,
            "system": system["key"],
            "zone": f"zone-{_zone_of(fields)}",
            "fuel": fields["fuel"],
            "input": fields["input"],
            "vent": fields["vent"],
            "vent_pipe": "b_vent",
            "connector": "sound",
            "flags": [],
            **_test_readings(fields),
            "result": "pass",
            "back_in_service": True,
        }
        burner |= tests.get(system["key"], {})
        if burner["result"] not in ("pass", "monitor"):
            burner.pop("back_in_service")
        yield {"key": f"burner-{system['key']}", "name": system["name"], "fields": burner}


def _test_readings(fields: Fields) -> Fields:
    if fields["vent"] in ("direct", "power_vented"):
        return {
            "vent_pipe": "plastic",
            "tested": "done",
            "co_measured": "=9 ppm",
            "o2": "=7.5 %",
            "co_rising": False,
            "stack_temp": "=118 °F",
            "combustion_air_temp": "=60 °F",
        }
    readings: Fields = {
        "tested": "done",
        "co_measured": "=16 ppm",
        "o2": "=8.6 %",
        "co_rising": False,
        "spillage_vent_start": "cold",
        "spillage_worst": "=22 s",
        "stack_temp": "=345 °F",
        "combustion_air_temp": "=62 °F",
    }
    if fields["vent"].startswith("atmospheric"):
        readings |= {"draft": "=-3.6 Pa", "draft_outdoor_temp": "=41 °F"}
    if fields["fuel"] == "fuel_oil":
        readings |= {"smoke_spot": 1}
    return readings


def _zone_of(fields: Fields) -> str:
    location = str(fields["location"])
    return "closet" if location == "conditioned" else location


def _zones(described: Fields, burners: list[Item]) -> Iterator[Item]:
    given = described.get("zones", {})
    for zone in dict.fromkeys(item["fields"]["zone"].removeprefix("zone-") for item in burners):
        sealed = all(
            item["fields"]["vent"] in ("direct", "power_vented")
            for item in burners
            if item["fields"]["zone"] == f"zone-{zone}"
        )
        fields: Fields = {
            "location": zone,
            "door": "solid" if zone in ("basement", "garage") else "louvered",
            "combustion_air": "indoor",
            "solvents_stored": False,
        }
        if sealed:
            fields["tested"] = "not_needed"
        else:
            fields |= {
                "tested": "done",
                "baseline": "=-0.4 Pa",
                "worst_running": ["bath_fans", "dryer"],
                "doors_words": "Bedroom doors shut",
                "basement_door": "closed" if zone == "basement" else "none",
                "worst_case": "=-1.7 Pa",
                "ambient_co": "=1 ppm",
            }
        fields |= given.get(zone, {})
        yield {"key": f"zone-{zone}", "name": ZONE_NAMES[zone], "fields": fields}


def _ducts(described: Fields, base: Fields) -> Iterator[tuple[str, list[Item]]]:
    """Supply and return runs in one place, with a test of each side where one was made."""
    ducts = described.get("ducts")
    if ducts is None:
        return
    runs, tests = [], []
    for place, side in enumerate(("supply", "return")):
        fields = _template(base, "duct_runs", place)
        fields.pop("notes", None)
        fields |= {"flags": [], "location": ducts["location"]} | ducts.get("fields", {})
        fields["area"] = ducts[f"{side}_area"]
        runs.append(
            {"key": f"ducts-{side}", "name": f"{side.capitalize()} ducts", "fields": fields}
        )
        flow = ducts.get(f"{side}_cfm25")
        if flow is not None:
            tested = _template(base, "duct_tests", place) | {"flow": _quantity(float(flow), "cfm")}
            tests.append(
                {
                    "key": f"duct-test-{side}",
                    "name": f"{side.capitalize()} side, to outside",
                    "fields": tested,
                }
            )
    yield "duct_runs", runs
    yield "duct_tests", tests
