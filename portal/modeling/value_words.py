"""The values a program confirms, as people call them."""

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from calcs.confirmable import REGISTRY, Confirmable
from calcs.limits import ADOPTED
from portal.intake.values import figure
from portal.modeling.measure_words import Words, thing
from portal.modeling.models import ModelRun

GROUPS: dict[str, Words] = {
    "spillage": _lazy("Spillage: longest time after start"),
    "draft": _lazy("Draft: least by outdoor temperature"),
    "caz": _lazy("Depressurization: lowest pressure of a burner's room"),
    "room_co": _lazy("Carbon monoxide in the air of rooms"),
    "gas": _lazy("Combustible gas in the air"),
    "flue_co": _lazy("Carbon monoxide in flue gas"),
    "oil": _lazy("Oil burners"),
    "combustion_air": _lazy("Combustion air and chimneys"),
    "economics": _lazy("Money over time"),
    "bills": _lazy("How well the model must fit the bills"),
    "life": _lazy("How long measures last"),
    "table": _lazy("Whole tables"),
}

NAMES: dict[str, Words] = {
    "spillage.warm_vent": _lazy("Warm vent"),
    "spillage.cold_vent": _lazy("Cold vent"),
    "draft.below_10_degf": _lazy("Below 10 °F outdoors"),
    "draft.intercept": _lazy("10 to 90 °F: what is added to a fortieth of the temperature"),
    "draft.above_90_degf": _lazy("Above 90 °F outdoors"),
    "caz.orphan_natural_draft_water_heater": _lazy("Natural-draft water heater alone on its vent"),
    "caz.natural_draft_heater_with_water_heater": _lazy(
        "Natural-draft boiler or furnace vented with a water heater"
    ),
    "caz.natural_draft_heater_alone": _lazy("Natural-draft boiler or furnace alone"),
    "caz.natural_draft_heater_with_damper_and_water_heater": _lazy(
        "Boiler or furnace with a vent damper, vented with a water heater"
    ),
    "caz.induced_draft_heater_with_water_heater": _lazy(
        "Induced-draft heater vented with a water heater"
    ),
    "caz.induced_or_power_vented_alone": _lazy("Induced-draft or power-vented, alone"),
    "caz.sealed_combustion": _lazy("Sealed combustion"),
    "ambient_co.evacuate": _lazy("From here everybody leaves"),
    "ambient_co.stop": _lazy("Above this work stops"),
    "ambient_co.advise": _lazy("From here people are told and windows opened"),
    "ambient_co.continue_below": _lazy("Appliances are inspected only below this"),
    "combustible_gas.leave": _lazy("From here everybody leaves"),
    "appliance_co.central_furnace": _lazy("Central furnace"),
    "appliance_co.floor_furnace": _lazy("Floor furnace"),
    "appliance_co.gravity_furnace": _lazy("Gravity furnace"),
    "appliance_co.boiler": _lazy("Boiler"),
    "appliance_co.direct_vent_wall_furnace": _lazy("Direct-vent wall furnace"),
    "appliance_co.clothes_dryer": _lazy("Clothes dryer"),
    "appliance_co.water_heater": _lazy("Water heater"),
    "appliance_co.built_in_wall_furnace": _lazy("Built-in wall furnace"),
    "appliance_co.vented_room_heater": _lazy("Vented room heater"),
    "appliance_co.unvented_room_heater": _lazy("Unvented room heater"),
    "appliance_co.oven": _lazy("Oven"),
    "appliance_co.range_top_burner": _lazy("Range-top burner"),
    "appliance_co.gas_refrigerator": _lazy("Gas refrigerator"),
    "appliance_co.gas_fireplace": _lazy("Gas fireplace"),
    "appliance_co.gas_log_set": _lazy("Gas log set"),
    "oil.flame_retention.smoke_spot": _lazy("Flame-retention head: smoke spot"),
    "oil.flame_retention.o2_low": _lazy("Flame-retention head: least oxygen"),
    "oil.flame_retention.o2_high": _lazy("Flame-retention head: most oxygen"),
    "oil.flame_retention.co": _lazy("Flame-retention head: carbon monoxide"),
    "oil.older_gun.smoke_spot": _lazy("Older gun: smoke spot"),
    "oil.older_gun.o2_low": _lazy("Older gun: least oxygen"),
    "oil.older_gun.o2_high": _lazy("Older gun: most oxygen"),
    "oil.older_gun.co": _lazy("Older gun: carbon monoxide"),
    "combustion_air.known_rate_natural_draft": _lazy(
        "Room volume at a known air change, natural draft"
    ),
    "combustion_air.known_rate_fan_assisted": _lazy(
        "Room volume at a known air change, fan-assisted"
    ),
    "combustion_air.flue_ratio": _lazy("Masonry flue over the outlet of one draft-hood appliance"),
    "economics.real_discount": _lazy("Real discount rate"),
    "economics.real_escalation": _lazy("Yearly real rise of energy prices"),
    "bills.bpi_2400_bias": _lazy("Bias over a year"),
    "bills.bpi_2400_cv_rmse": _lazy("Scatter of the months"),
    "table.handbook_infiltration": _lazy("Infiltration coefficients and shelter classes"),
    "table.ventilation_62_2": _lazy("Ventilation credit and existing-home appendix"),
    "table.uef_minimums": _lazy("Minimum efficiency of water heaters"),
    "table.service_lives": _lazy("Service lives by manual"),
    "table.deemed_savings": _lazy("Parameters of deemed savings"),
    "table.steam_settings": _lazy("Settings of steam boilers"),
}

DECIDES: dict[str, Words] = {
    "spillage": _lazy("Whether a burner's vent passes, and whether a house may be tightened."),
    "draft": _lazy("Whether a vent draws enough, and whether a house may be tightened."),
    "caz": _lazy("Whether fans and tightening may pull on the room of a burner."),
    "room_co": _lazy("Whether work goes on and whether people leave the house."),
    "gas": _lazy("Whether everybody leaves and calls from outside."),
    "flue_co": _lazy("Whether a burner is shut off until it is repaired."),
    "oil": _lazy("Whether an oil burner needs service before it is left running."),
    "combustion_air": _lazy("Whether a burner has air enough and a flue of the right size."),
    "economics": _lazy("Which measures pay, and in which order they stand."),
    "bills": _lazy("Whether a house counts as calibrated to its bills."),
    "life": _lazy("How many years of savings count, and when equipment is due."),
    "table": _lazy("Many numbers at once; a change of a cell is a change of the program."),
}


def name_of(item: Confirmable) -> str:
    """What a value is called."""
    if item.group == "life":
        return thing(item.key.removeprefix("life."))
    return str(NAMES[item.key])


def value_words(item: Confirmable, value: float | None) -> str:
    """A value with its unit; a rate a year in percent."""
    if value is None:
        return _("as it stands")
    if item.unit == "a year":
        return _("%(rate)s%% a year") % {"rate": figure(round(100.0 * value, 3))}
    unit = "" if item.unit == "-" else item.unit
    return f"{figure(value)} {unit}".strip()


def stricter_words(item: Confirmable) -> str:
    """Which way is stricter; empty for money that has no such way."""
    if item.stricter == "lower":
        return _("Lower is stricter.")
    return _("Higher is stricter.") if item.stricter == "higher" else ""


def known_words(item: Confirmable) -> str:
    """How the published value came to be known."""
    if item.provenance == "memory":
        return _("From memory: confirm with the edition your program adopted.")
    if item.provenance == "read":
        return _("Read in a published text.")
    return _("Common practice, no source.")


def of_run(run: ModelRun) -> list[str]:
    """What a report says of the rates behind its money, with value, source and edition."""
    return [
        _("%(name)s: %(value)s. %(source)s.")
        % {
            "name": name_of(REGISTRY[key]),
            "value": value_words(REGISTRY[key], used["value"]),
            "source": source_words(used["source"], used["provenance"]),
        }
        for key, used in run.values_used.items()
        if key in REGISTRY
    ]


def source_words(source: str, provenance: str) -> str:
    """Where a value is from, and whether the program has yet to confirm it."""
    if provenance == "memory":
        return _("%s: confirm with the edition your program adopted") % source
    if provenance == ADOPTED:
        return _("%s, adopted by the program") % source
    return source
