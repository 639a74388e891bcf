"""Where a line of work is, and what the crew will find there, from the field record."""

from django.utils.translation import gettext as _

from portal.core.units import convert
from portal.intake.document import Part, Reader
from portal.intake.words import choice_words
from portal.modeling.results import MeasureResult

# Place of a measure -> groups of the sheet its target may be in.
TARGET_GROUPS = (
    "attics",
    "attic_accesses",
    "walls",
    "foundations",
    "windows",
    "doors",
    "fans",
    "heating_systems",
    "cooling_systems",
    "water_heaters",
    "refrigerators",
    "lamps",
)


def target_of(item: MeasureResult, reader: Reader) -> Part | None:
    """The recorded thing a measure works on."""
    if not item.target_id:
        return None
    for group in TARGET_GROUPS:
        for part in reader.items(group):
            if part.key == item.target_id:
                return part
    return None


# Kinds whose work is on the attic floor, whatever leak of the model they close.
ATTIC_SEALING = (
    "attic_air_sealing",
    "wall_top_sealing",
    "penetration_sealing",
    "chimney_chase_sealing",
)
ATTIC_INSULATION = ("attic_insulation", "attic_insulation_renewal")
# Fact of a measure that lists the things it works on -> their group on the sheet.
LISTED_IN = {
    "wall_ids": "walls",
    "window_ids": "windows",
    "door_ids": "doors",
    "fan_ids": "fans",
}


def listed_parts(item: MeasureResult, reader: Reader) -> list[Part]:
    """The recorded things a measure of several names: these doors, those walls."""
    for fact, group in LISTED_IN.items():
        wanted = set(item.reason_facts.get(fact, ()))
        found = [part for part in reader.items(group) if part.key in wanted]
        if found:
            return found
    return []


def location(item: MeasureResult, reader: Reader) -> str:
    """Where the work is, in the auditor's own names for the places."""
    target = target_of(item, reader)
    if target is not None and target.name:
        return target.name
    listed = listed_parts(item, reader)
    if listed:
        return "; ".join(part.name for part in listed if part.name)
    if item.reason_facts.get("repair_ids"):
        return "; ".join(dict.fromkeys(item.reason_facts.get("names", ()))) or str(_("House"))
    if item.kind in ATTIC_SEALING:
        return "; ".join(part.name for part in reader.items("attics") if part.name)
    named = {
        "attic_floor": reader.items("attics"),
        "attic_access": reader.items("attic_accesses"),
        "walls": reader.items("walls"),
        "garage_wall": reader.items("walls"),
        "foundation": reader.items("foundations"),
        "rim_joist": reader.items("foundations"),
        "ducts": reader.items("duct_runs"),
        "hot_water": reader.items("water_heaters"),
        "heating": reader.items("heating_systems"),
        "lighting": reader.items("lamps"),
        "chimney": reader.items("fireplaces"),
        "windows_doors": reader.items("windows"),
    }.get(item.place, ())
    names = [part.name for part in named if part.name]
    return "; ".join(names) if names else str(_("Whole house"))


def existing_condition(item: MeasureResult, reader: Reader) -> str:
    """What was found there, with the R-value before where there is one."""
    target = target_of(item, reader)
    if item.place == "attic_floor" or item.kind in ATTIC_SEALING:
        return _attics(item, reader)
    if item.place == "ducts":
        return _ducts(reader)
    if item.kind in ("floor_insulation", "rim_joist", "crawl_ground_cover", "crawl_encapsulation"):
        return _foundations(item, reader, target)
    if item.kind in ("wall_insulation", "wall_spot_repair"):
        return _walls(item, reader)
    listed = listed_parts(item, reader)
    if listed:
        return "; ".join(_described(part) for part in listed)
    if item.reason_facts.get("repair_ids"):
        return str(_("As the audit's hazards on this scope say"))
    if target is not None:
        return _steam_vents(item, target) or _described(target)
    leaks = [part for part in reader.items("leaks") if part.value("words")]
    if item.stage == "air_sealing" and leaks:
        return "; ".join(str(part.value("words")) for part in leaks[:6])
    return str(_("As recorded at the audit"))


def _r(value: float | None) -> str:
    return "?" if value is None else f"{convert(value, 'm²K/W', 'R'):.0f}"


def _inches(value: float | None) -> str:
    return "?" if value is None else f"{convert(value, 'm', 'in'):.0f}"


def _attics(item: MeasureResult, reader: Reader) -> str:
    found = []
    for attic in reader.items("attics"):
        if item.target_id and attic.key != item.target_id:
            continue
        material = choice_words("attics", "layer1_material", attic.value("layer1_material"))
        if attic.value("layer1_material") in (None, "none"):
            found.append(_("%(attic)s: no insulation (R-0)") % {"attic": attic.name})
            continue
        found.append(
            _("%(attic)s: %(material)s, %(depth)s in., %(condition)s, counts as R-%(r)s")
            % {
                "attic": attic.name,
                "material": material.lower(),
                "depth": _inches(attic.si("layer1_depth")),
                "condition": choice_words(
                    "attics", "layer1_condition", attic.value("layer1_condition")
                ).lower(),
                "r": _r(item.reason_facts.get("r_before_m2k_per_w")),
            }
            if item.kind in ATTIC_INSULATION
            else _attic_leaks(item, attic)
        )
    return "; ".join(found)


def _attic_leaks(item: MeasureResult, attic: Part) -> str:
    """What is open in an attic floor; of the bypasses only those this line closes."""
    if item.kind == "attic_raised_deck":
        return _("%(attic)s: boards for storage, %(area)s ft²") % {
            "attic": attic.name,
            "area": f"{convert(item.quantity, 'm2', 'ft2'):,.0f}",
        }
    closes = item.reason_facts.get("bypasses", ())
    seen = [name for name in attic.value("bypasses") or () if name in closes]
    return _("%(attic)s: %(bypasses)s") % {
        "attic": attic.name,
        "bypasses": ", ".join(choice_words("attics", "bypasses", name).lower() for name in seen)
        or _("leaks at the attic floor"),
    }


def _ducts(reader: Reader) -> str:
    found = [
        _("%(name)s: R-%(r)s wrap, leaks seen: %(condition)s")
        % {
            "name": run.name,
            "r": _r(run.si("insulation_r")),
            "condition": choice_words("duct_runs", "condition", run.value("condition")).lower(),
        }
        for run in reader.items("duct_runs")
    ]
    for test in reader.items("duct_tests"):
        if test.si("flow") is not None:
            found.append(
                _("%(flow).0f CFM25 to outside")
                % {"flow": convert(test.si("flow") or 0.0, "m3/s", "cfm")}
            )
    return "; ".join(found)


def _foundations(item: MeasureResult, reader: Reader, target: Part | None) -> str:
    parts = [target] if target is not None else list(reader.items("foundations"))
    found = []
    for part in parts:
        if item.kind == "rim_joist":
            sealed = _("sealed") if part.value("rim_sealed") else _("not sealed")
            found.append(
                _("%(name)s: R-%(r)s, %(sealed)s")
                % {"name": part.name, "r": _r(part.si("rim_r")), "sealed": sealed}
            )
        elif item.kind == "floor_insulation":
            found.append(
                _("%(name)s: R-%(r)s between the joists, clear height %(clear)s in.")
                % {
                    "name": part.name,
                    "r": _r(part.si("floor_r") or 0.0),
                    "clear": _inches(part.si("clear_height")),
                }
            )
        else:
            covered = part.si("ground_cover") or 0.0
            found.append(
                _("%(name)s: %(covered).0f %% of the ground covered")
                % {"name": part.name, "covered": covered * 100}
            )
    return "; ".join(found)


def _walls(item: MeasureResult, reader: Reader) -> str:
    wanted = set(item.reason_facts.get("wall_ids", ()))
    return "; ".join(
        _("%(name)s: R-%(r)s in the cavity, %(siding)s outside, drill from %(side)s")
        % {
            "name": part.name,
            "r": _r(part.si("cavity_r") or 0.0),
            "siding": choice_words("walls", "siding", part.value("siding")).lower(),
            "side": choice_words("walls", "drill_from", part.value("drill_from")).lower(),
        }
        for part in reader.items("walls")
        if not wanted or part.key in wanted
    )


def _steam_vents(item: MeasureResult, system: Part) -> str:
    if item.kind != "steam_venting":
        return ""
    return _("%(name)s: %(main)d main vents and %(radiator)d radiator vents or traps fail") % {
        "name": system.name,
        "main": item.reason_facts.get("main_vents", 0),
        "radiator": item.reason_facts.get("radiator_vents", 0),
    }


def _described(part: Part) -> str:
    words = [part.name]
    for field in ("make", "model"):
        if part.value(field):
            words.append(str(part.value(field)))
    year = part.value("year")
    if year:
        words.append(_("made %(year)d") % {"year": year})
    if part.value("condition"):
        words.append(choice_words(part.group, "condition", part.value("condition")).lower())
    return ", ".join(words)
