"""Combustion safety: air in the rooms, gas, alarms, zones and every burner."""

from django.utils.translation import gettext_lazy as _

from portal.intake.sheet.kinds import (
    FUELS,
    VENTS,
    Choices,
    Field,
    Group,
    Kind,
    O,
    PhotoPrompt,
    Section,
    choice,
    choices,
    count,
    flag,
    link,
    quantity,
    text,
    when,
)

APPLIANCES: Choices = {
    "central_furnace": _("Furnace"),
    "floor_furnace": _("Floor furnace"),
    "gravity_furnace": _("Gravity furnace"),
    "boiler": _("Boiler"),
    "direct_vent_wall_furnace": _("Wall furnace, direct vent"),
    "built_in_wall_furnace": _("Wall furnace, built in"),
    "vented_room_heater": _("Room heater with a vent"),
    "unvented_room_heater": _("Room heater without a vent"),
    "water_heater": _("Water heater"),
    "clothes_dryer": _("Clothes dryer"),
    "oven": _("Oven"),
    "range_top_burner": _("Range top"),
    "gas_fireplace": _("Gas fireplace"),
    "gas_log_set": _("Gas logs in a wood fireplace"),
    "gas_refrigerator": _("Gas refrigerator"),
    "solid_fuel": _("Wood or pellet burner"),
}
FLUE_TESTED = (
    "central_furnace",
    "floor_furnace",
    "gravity_furnace",
    "boiler",
    "direct_vent_wall_furnace",
    "built_in_wall_furnace",
    "vented_room_heater",
    "unvented_room_heater",
    "water_heater",
    "clothes_dryer",
    "gas_log_set",
)
NATURAL_DRAFT = ("atmospheric", "atmospheric_damper")
SPILLAGE_TESTED = (*NATURAL_DRAFT, "induced_draft")
GAS = ("natural_gas", "propane")

ZONES = Group(
    "combustion_zones",
    _("Rooms with burners"),
    _("Combustion zone"),
    name_hint=_("Utility closet off the hall"),
    least=1,
    when=when("combustion_appliances_present"),
    fields=(
        choice(
            "location",
            _("Where"),
            {
                "conditioned": _("In the heated rooms"),
                "closet": _("Closet"),
                "basement": _("Basement"),
                "crawlspace": _("Crawlspace"),
                "attic": _("Attic"),
                "garage": _("Garage"),
            },
        ),
        quantity(
            "volume",
            _("Volume"),
            "ft³",
            (10, 100000),
            (50, 20000),
            O,
            help=_("Indoor-air guide: 50 ft³ for each 1,000 Btu/h, in an ordinary house."),
        ),
        choice(
            "door",
            _("Door"),
            {
                "none": _("No door"),
                "solid": _("Solid"),
                "louvered": _("Louvered"),
                "undercut": _("Undercut"),
            },
        ),
        choice(
            "combustion_air",
            _("Combustion air"),
            {
                "indoor": _("From the rooms"),
                "outdoor": _("From outside by duct or opening"),
                "both": _("Both"),
                "none_seen": _("No opening seen"),
            },
        ),
        quantity("opening_area", _("Openings for combustion air"), "in²", (0, 3000), (0, 600), O),
        flag("solvents_stored", _("Paint, bleach or solvents stored here")),
        choice(
            "tested",
            _("Worst-case test"),
            {
                "done": _("Done"),
                "not_needed": _("Not needed: sealed burners only"),
                "not_done": _("Not done"),
            },
        ),
        text("not_tested_words", _("Why it was not done"), when=when("tested", "not_done")),
        quantity(
            "baseline",
            _("Pressure with nothing running"),
            "Pa",
            (-50, 50),
            (-10, 10),
            when=when("tested", "done"),
            help=_("Zone against outdoors."),
        ),
        choices(
            "worst_running",
            _("Running in the worst case"),
            {
                "bath_fans": _("Bath fans"),
                "kitchen_hood": _("Kitchen hood"),
                "dryer": _("Dryer"),
                "central_vacuum": _("Central vacuum"),
                "air_handler": _("Air handler"),
                "attic_fan": _("Attic fan"),
            },
            when=when("tested", "done"),
        ),
        text("doors_words", _("Which inside doors were shut"), when=when("tested", "done"), use=O),
        choice(
            "basement_door",
            _("Basement door in the worst case"),
            {"open": _("Open"), "closed": _("Shut"), "none": _("No basement")},
            when=when("tested", "done"),
        ),
        quantity(
            "worst_case",
            _("Pressure in the worst case"),
            "Pa",
            (-150, 100),
            (-15, 5),
            when=when("tested", "done"),
        ),
        quantity(
            "ambient_co",
            _("CO in the zone during the test"),
            "ppm",
            (0, 2000),
            (0, 9),
            when=when("tested", "done"),
            can_be_over_range=True,
        ),
    ),
    photos=(
        PhotoPrompt("gauge", _("Gauge with the worst-case reading"), when=when("tested", "done")),
    ),
)

BURNERS = Group(
    "combustion_appliances",
    _("Burners"),
    _("Burner"),
    name_hint=_("Water heater, utility closet"),
    question=_("Does anything in the house, garage or attic burn fuel?"),
    fields=(
        choice("kind", _("Kind"), APPLIANCES),
        link("zone", _("Stands in"), "combustion_zones", use=O),
        link("system", _("Same as"), "heating_systems", "water_heaters", use=O),
        choice("fuel", _("Fuel"), {key: FUELS[key] for key in FUELS if key != "electricity"}),
        quantity(
            "input", _("Input"), "kBtu/h", (0.3, 2500), (5, 300), how="nameplate", asks_how=True
        ),
        choice("vent", _("Vent"), VENTS),
        text(
            "shares_vent_with",
            _("Name of the shared chimney or vent"),
            use=O,
            help=_("Burners with the same name here share a vent."),
        ),
        choice(
            "vent_pipe",
            _("Chimney or vent pipe"),
            {
                "masonry_lined": _("Masonry, lined"),
                "masonry_unlined": _("Masonry, no liner"),
                "b_vent": _("Double-wall gas vent"),
                "single_wall": _("Single-wall metal"),
                "plastic": _("Plastic"),
                "none": _("None"),
            },
        ),
        choice(
            "connector",
            _("Vent connector"),
            {
                "sound": _("Sound, rising"),
                "poor": _("Rusty, loose or falling back"),
                "disconnected": _("Disconnected"),
                "none": _("None"),
            },
        ),
        quantity("gas_pressure_supply", _("Gas pressure, supply"), "in w.c.", (0, 60), (5, 14), O),
        quantity(
            "gas_pressure_manifold", _("Gas pressure, manifold"), "in w.c.", (0, 60), (2.5, 11), O
        ),
        choices(
            "flags",
            _("Any of these"),
            {
                "roll_out": _("Flame rolls out"),
                "heat_exchanger": _("Doubt about the heat exchanger"),
                "corrosion": _("Corrosion"),
                "scorch": _("Scorch marks or soot"),
                "gas_leak": _("Gas leak at the burner"),
                "relief_valve_missing": _("No relief valve or drain pipe"),
            },
            help=_("Any one of these is a fail."),
        ),
        choice(
            "tested",
            _("Flue tests"),
            {
                "done": _("Done"),
                "not_done": _("Not done"),
                "not_needed": _("Not needed: sealed, or nothing to test"),
            },
        ),
        text("not_tested_words", _("Why they were not done"), when=when("tested", "not_done")),
        quantity(
            "co_measured",
            _("CO in the flue, as read"),
            "ppm",
            (0, 20000),
            (0, 100),
            when=when("tested", "done"),
            can_be_over_range=True,
            help=_("Undiluted, the worst port. Type “over” when the meter cannot show it."),
        ),
        quantity(
            "o2",
            _("Oxygen in the same sample"),
            "% read",
            (0, 21.5),
            (2, 17.9),
            when=(*when("tested", "done"), *when("kind", *FLUE_TESTED)),
        ),
        flag("co_rising", _("CO climbs while you watch"), when=when("tested", "done")),
        quantity("co2", _("Carbon dioxide"), "% read", (0.1, 20), (3, 14), O),
        quantity(
            "co_air_free", _("Air-free CO as the meter shows it"), "ppm", (0, 50000), (0, 400), O
        ),
        choice(
            "spillage_vent_start",
            _("Vent at the start"),
            {"warm": _("Warm"), "cold": _("Cold")},
            when=(*when("tested", "done"), *when("vent", *SPILLAGE_TESTED)),
        ),
        quantity(
            "spillage_worst",
            _("Spilled for, worst case"),
            "s",
            (0, 600),
            (0, 120),
            when=(*when("tested", "done"), *when("vent", *SPILLAGE_TESTED)),
            help=_("Seconds until it stops. 600 when it did not stop."),
        ),
        quantity(
            "spillage_natural",
            _("Spilled for, natural conditions"),
            "s",
            (0, 600),
            (0, 120),
            O,
            help=_("Repeat without the fans when it fails."),
        ),
        quantity(
            "draft",
            _("Draft"),
            "Pa",
            (-150, 100),
            (-30, 5),
            when=(*when("tested", "done"), *when("vent", *NATURAL_DRAFT)),
            help=_("A pull is negative. Above 0 exhaust comes back: keep the number."),
        ),
        quantity(
            "draft_outdoor_temp",
            _("Outdoor temperature then"),
            "°F",
            (-60, 130),
            (-20, 110),
            when=(*when("tested", "done"), *when("vent", *NATURAL_DRAFT)),
        ),
        quantity(
            "stack_temp",
            _("Stack temperature"),
            "°F",
            (-20, 1500),
            (90, 700),
            O,
            help=_("After 10 minutes."),
        ),
        quantity(
            "combustion_air_temp",
            _("Temperature of the air the burner draws"),
            "°F",
            (-60, 150),
            (30, 100),
            O,
        ),
        quantity(
            "efficiency_shown", _("Efficiency the analyzer shows"), "%", (10, 112), (65, 98), O
        ),
        choice(
            "efficiency_basis",
            _("Counted on"),
            {"gross": _("Gross (higher heating value)"), "net": _("Net (lower)")},
            when=when("fuel", "natural_gas", "propane", "fuel_oil"),
            use=O,
        ),
        count(
            "smoke_spot",
            _("Smoke spot"),
            (0, 9),
            (0, 2),
            when=(*when("tested", "done"), *when("fuel", "fuel_oil")),
            help=_("Before the probe goes in."),
        ),
        choice(
            "oil_head",
            _("Burner head"),
            {"flame_retention": _("Flame retention"), "older_gun": _("Older gun")},
            when=when("fuel", "fuel_oil"),
            use=O,
        ),
        quantity(
            "over_fire_draft", _("Draft over the fire"), "in w.c.", (-0.5, 0.5), (-0.06, 0.02), O
        ),
        quantity("pump_pressure", _("Oil pump pressure"), "psi", (0, 400), (80, 200), O),
        quantity("nozzle", _("Nozzle"), "gph", (0.2, 5), (0.4, 2), O, how="nameplate"),
        flag("main_heat", _("It is the main heat"), when=when("vent", "unvented")),
        choice(
            "result",
            _("Result"),
            {
                "pass": _("Works safely"),
                "monitor": _("Watch"),
                "repair": _("Needs repair"),
                "disabled": _("Shut off and tagged"),
                "evacuated": _("House left"),
                "utility_called": _("Utility called"),
            },
        ),
        text(
            "action_words",
            _("What was done, when, and the reference you were given"),
            when=when("result", "repair", "disabled", "evacuated", "utility_called"),
        ),
        flag(
            "occupant_told",
            _("The people in the house were told"),
            when=when("result", "monitor", "repair", "disabled", "evacuated", "utility_called"),
        ),
        flag(
            "back_in_service",
            _("Back in service, flame proved"),
            when=when("result", "pass", "monitor"),
        ),
    ),
    photos=(
        PhotoPrompt("nameplate", _("Nameplate")),
        PhotoPrompt("reading", _("Analyzer with its reading"), when=when("tested", "done")),
    ),
)

GAS_LEAKS = Group(
    "gas_leaks",
    _("Gas leaks"),
    _("Gas leak"),
    name_hint=_("Union behind the range"),
    question=_("Was any fuel leak found?"),
    fields=(
        choice(
            "fuel", _("Fuel"), {key: FUELS[key] for key in ("natural_gas", "propane", "fuel_oil")}
        ),
        text("location", _("Where"), use=O),
        choice(
            "severity",
            _("How strong"),
            {
                "bubbles": _("Bubbles only"),
                "audible": _("Can be heard"),
                "odor": _("Smell in the room"),
                "drip": _("Drips"),
            },
        ),
        flag("repaired", _("Repaired and proved today")),
        text("reference", _("Who was called, when, reference"), when=when("repaired", False)),
    ),
    photos=(PhotoPrompt("leak", _("The leak, marked")),),
)

SECTION = Section(
    "combustion",
    _("Combustion safety"),
    groups=(ZONES, BURNERS, GAS_LEAKS),
    caution=_(
        "Wear the CO monitor the whole time. At 70 ppm or a strong smell of gas: no switches, "
        "everybody out, call 911 and the gas emergency line from outside. Local codes and "
        "licensed trades come first."
    ),
    fields=(
        quantity("co_outdoors", _("CO outdoors"), "ppm", (0, 2000), (0, 5), O),
        quantity("co_entry", _("CO on entering"), "ppm", (0, 2000), (0, 9), can_be_over_range=True),
        quantity(
            "co_living_max",
            _("Highest CO in the rooms during the visit"),
            "ppm",
            (0, 2000),
            (0, 9),
            can_be_over_range=True,
        ),
        choice(
            "gas_smell",
            _("Smell of gas"),
            {"none": _("None"), "faint": _("Faint"), "strong": _("Strong")},
        ),
        quantity(
            "gas_lel",
            _("Gas in the air, of the explosive limit"),
            "% read",
            (0, 100),
            (0, 1),
            O,
            can_be_over_range=True,
        ),
        flag(
            "piping_tested",
            _("All reachable gas piping tested"),
            when=when("combustion_appliances_present"),
        ),
        count("co_alarms", _("CO alarms that work"), (0, 40), (0, 8)),
        flag("co_alarms_each_floor", _("One on each floor and near bedrooms")),
        quantity(
            "co_alarm_age",
            _("Age of the oldest CO alarm"),
            "years",
            (0, 50),
            (0, 7),
            O,
            how="nameplate",
        ),
        count("smoke_alarms", _("Smoke alarms that work"), (0, 60), (0, 20)),
        flag("smoke_alarms_each_floor", _("One on each floor and in bedrooms")),
        quantity(
            "smoke_alarm_age",
            _("Age of the oldest smoke alarm"),
            "years",
            (0, 60),
            (0, 10),
            O,
            how="nameplate",
        ),
        Field("booklet_given", _("Safety leaflet handed over"), Kind.FLAG, O),
    ),
)
