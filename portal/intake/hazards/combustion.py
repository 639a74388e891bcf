"""Failed tests, gas, and burners that fail by eye."""

from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from portal.intake import verdicts
from portal.intake.document import Reader
from portal.intake.hazards.base import (
    ALL_WORK,
    FIX_FIRST,
    PRACTICE,
    STOP_NOW,
    TIGHTENING,
    WEATHERIZATION,
    Hazard,
    hazard_of,
)

KIND_OF_TEST = {
    "ambient_co": "carbon_monoxide",
    "appliance_co": "carbon_monoxide",
    "ambient_co_inspection": "carbon_monoxide",
    "oil_smoke_spot": "unsafe_burner",
    "oil_co": "carbon_monoxide",
    "combustible_gas": "gas_leak",
    "spillage_worst_case": "spillage",
    "spillage_natural": "spillage",
    "draft": "weak_draft",
    "depressurization": "depressurization",
}


def of_tests(reader: Reader) -> Iterator[Hazard]:
    """Failed safety readings. A failed one is never averaged with, or hidden by, another."""
    for judged in verdicts.judge(reader):
        if not judged.endangers:
            continue
        kind = KIND_OF_TEST[judged.verdict.test]
        part = None
        if judged.item:
            part = reader.item("combustion_appliances", judged.item) or reader.item(
                "combustion_zones", judged.item
            )
        is_gas = kind == "gas_leak"
        # A zone pulled too low is no danger while nothing changes; a burner that fails is.
        severity = STOP_NOW if judged.verdict.stops_work else FIX_FIRST
        yield hazard_of(
            kind,
            severity,
            judged.item_name or _("Rooms"),
            f"{judged.reading_words}. {judged.limit_words} {judged.saying}.",
            ALL_WORK if is_gas else TIGHTENING,
            _("Gas supplier, licensed plumber") if is_gas else _("Licensed heating contractor"),
            judged.source_words,
            section=judged.section,
            part=part,
        )


def of_gas(reader: Reader) -> Iterator[Hazard]:
    for leak in reader.items("gas_leaks"):
        if leak.value("repaired") is True:
            continue
        where = leak.value("location") or leak.name
        is_strong = leak.value("severity") in ("odor", "audible")
        yield hazard_of(
            "gas_leak",
            STOP_NOW if is_strong else FIX_FIRST,
            where,
            _("Fuel leak. Leave and call from outside when the smell is strong.")
            if is_strong
            else _("Fuel leak found with bubbles. It is repaired and tested before other work."),
            ALL_WORK,
            _("Gas supplier, licensed plumber"),
            PRACTICE,
            section="combustion",
            part=leak,
        )
    if reader.value("combustion.gas_smell") == "faint" and not reader.items("gas_leaks"):
        yield hazard_of(
            "gas_leak",
            FIX_FIRST,
            _("Rooms"),
            _("Faint smell of gas, source not found. A smell counts whatever the meter shows."),
            ALL_WORK,
            _("Gas supplier, licensed plumber"),
            PRACTICE,
            section="combustion",
            place="",
        )


FLAG_WORDS = {
    "roll_out": gettext_lazy("flame rolls out"),
    "heat_exchanger": gettext_lazy("doubt about the heat exchanger"),
    "corrosion": gettext_lazy("corrosion"),
    "scorch": gettext_lazy("scorch marks or soot"),
    "relief_valve_missing": gettext_lazy("no relief valve or drain pipe"),
}


def of_burners(reader: Reader) -> Iterator[Hazard]:
    heater = _("Licensed heating contractor")
    for burner in reader.items("combustion_appliances"):
        flags = burner.chosen("flags")
        if "gas_leak" in flags:
            yield hazard_of(
                "gas_leak", FIX_FIRST, burner.name, _("Gas leak at the burner."), ALL_WORK,
                _("Gas supplier, licensed plumber"), PRACTICE, section="combustion", part=burner,
            )  # fmt: skip
        signs = [str(FLAG_WORDS[flag]) for flag in FLAG_WORDS if flag in flags]
        if burner.value("connector") in ("poor", "disconnected"):
            signs.append(_("vent connector not sound"))
        if burner.value("result") in ("disabled", "evacuated"):
            signs.append(_("shut off and tagged"))
        if signs:
            yield hazard_of(
                "unsafe_burner",
                FIX_FIRST,
                burner.name,
                _("Fails by eye: %s.") % ", ".join(signs),
                TIGHTENING,
                heater,
                PRACTICE,
                section="combustion",
                part=burner,
            )
        if burner.value("vent") == "unvented" and burner.value("kind") in (
            "unvented_room_heater", "gas_log_set", "gas_fireplace", "vented_room_heater",
            "water_heater", "central_furnace", "boiler",
        ):  # fmt: skip
            yield hazard_of(
                "unvented_heater",
                FIX_FIRST,
                burner.name,
                _("It burns in the room without a vent. It is removed or replaced first."),
                TIGHTENING,
                heater,
                WEATHERIZATION,
                section="combustion",
                part=burner,
            )


def of_untested(reader: Reader) -> Iterator[Hazard]:
    """Burners on natural draft that were not tested: a missing reading is not a pass."""
    for burner in reader.items("combustion_appliances"):
        if burner.value("vent") not in ("atmospheric", "atmospheric_damper", "induced_draft"):
            continue
        zone = reader.item("combustion_zones", burner.value("zone") or "")
        # A zone test counts with both of its readings, not by a word that it was done.
        is_zone_tested = zone is not None and None not in (
            zone.si("baseline"),
            zone.si("worst_case"),
        )
        # Without oxygen the CO of a flue is no test.
        is_flue_tested = None not in (
            burner.si("co_measured"),
            burner.si("spillage_worst"),
            0.0 if burner.is_over_range("co_measured") else burner.si("o2"),
        )
        if is_zone_tested and is_flue_tested:
            continue
        yield hazard_of(
            "combustion_untested",
            FIX_FIRST,
            burner.name,
            _("Not fully tested. No tightening and no new exhaust until it is."),
            TIGHTENING,
            _("The auditor, at a return visit"),
            PRACTICE,
            section="combustion",
            part=burner,
        )
