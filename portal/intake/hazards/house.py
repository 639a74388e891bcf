"""Hazards of the house and its systems."""

from collections.abc import Iterator

from django.utils.translation import gettext as _

from portal.intake.document import Reader
from portal.intake.hazards.base import (
    ATTIC,
    FIX_FIRST,
    HEATING_PLANT,
    INFORM,
    INSULATING,
    LEAD_RULE,
    PRACTICE,
    STOP_NOW,
    TIGHTENING,
    WALLS,
    WEATHERIZATION,
    WITH_CARE,
    Hazard,
    hazard_of,
)
from portal.intake.sheet.kinds import LEAD_YEAR


def of_house(reader: Reader) -> Iterator[Hazard]:
    year, lead = reader.value("dwelling.year_built"), reader.value("dwelling.lead_paint")
    is_lead = lead in ("presumed", "tested_present") or (
        lead is None and year is not None and year < LEAD_YEAR
    )
    if is_lead:
        yield hazard_of(
            "lead_paint", WITH_CARE, _("Painted surfaces"),
            _("Built before 1978: paint may hold lead. Work that disturbs it needs a certified "
              "firm, the leaflet, and records."),
            (), _("Certified lead-safe firm"), LEAD_RULE, section="dwelling",
        )  # fmt: skip
    if reader.value("ventilation.mold") == "large":
        yield hazard_of(
            "moisture", FIX_FIRST, reader.value("ventilation.mold_location") or _("Rooms"),
            _("Mold over 10 ft² or more. Its source is fixed and it is cleaned first."),
            TIGHTENING, _("Mold specialist"), WEATHERIZATION, section="ventilation",
        )  # fmt: skip
    if "plumbing" in reader.section("ventilation").chosen("water_entry"):
        yield hazard_of(
            "active_leak", FIX_FIRST, _("Plumbing"),
            _("Plumbing leak. It is repaired and dry first."), INSULATING,
            _("Licensed plumber"), PRACTICE, section="ventilation", place="living_space",
        )  # fmt: skip
    # 4 pCi/L is the action level; the reading is compared as it was given.
    radon = reader.section("ventilation").entry("radon")
    if radon and radon.get("si") is not None and float(radon["si"]) >= 4.0 * 37.0:
        yield hazard_of(
            "radon", INFORM, _("Rooms"),
            _("Radon at or above 4 pCi/L. Reduce it, and test again after tightening."),
            (), _("Radon specialist"), _("EPA action level, 4 pCi/L"), section="ventilation",
        )  # fmt: skip
    if reader.value("ventilation.dryer_duct") == "plastic":
        yield hazard_of(
            "dryer_duct", WITH_CARE, _("Clothes dryer"),
            _("Plastic or foil dryer duct: a fire risk. It is replaced with metal."), (),
            _("Contractor"), PRACTICE, section="ventilation",
        )  # fmt: skip
    hazards = reader.section("heating_cooling").chosen("electrical_hazards")
    if hazards:
        yield hazard_of(
            "electrical", FIX_FIRST, _("Electrical panel and wiring"),
            _("Electrical hazard seen. An electrician looks at it first."),
            (*ATTIC, *WALLS, "heat_pump", "heat_pump_water_heater", "bath_fan"),
            _("Licensed electrician"), PRACTICE, section="heating_cooling",
        )  # fmt: skip
    for system in reader.items("heating_systems"):
        if system.value("asbestos_wrap") == "yes":
            yield hazard_of(
                "friable_asbestos", FIX_FIRST, system.name,
                _("Pipe or boiler wrap that may be asbestos. Do not touch it."),
                (*HEATING_PLANT, "blower_door"),
                _("Accredited asbestos firm"), WEATHERIZATION, section="heating_cooling",
                place="basement", part=system,
            )  # fmt: skip
        if system.value("low_water_cutoff") in ("kept_running", "none"):
            yield hazard_of(
                "low_water_cutoff", STOP_NOW, system.name,
                _("The low-water cut-off did not stop the burner. The boiler stays off until it "
                  "is repaired."),
                (), _("Licensed heating contractor"), PRACTICE, section="heating_cooling",
                part=system,
            )  # fmt: skip
    for run in reader.items("duct_runs"):
        if "asbestos" in run.chosen("flags"):
            yield hazard_of(
                "friable_asbestos", FIX_FIRST, run.name,
                _("Duct tape or wrap that may be asbestos. Do not touch it."),
                ("duct_sealing", "duct_insulation"), _("Accredited asbestos firm"),
                WEATHERIZATION, section="ducts", part=run,
            )  # fmt: skip
