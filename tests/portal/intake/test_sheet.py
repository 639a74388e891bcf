"""The sheet holds together: keys, conditions, limits, and the words of the model."""

import json
from collections.abc import Iterator
from typing import Any

import jsonschema
import pytest

from calcs import inputs
from calcs.measures.hazards import AREAS
from calcs.safety_limits import APPLIANCE_CO_LIMITS
from portal.core import units
from portal.intake import sheet, values
from portal.intake.sheet import attic, combustion, heating_cooling, hot_water, kinds, schema
from portal.intake.sheet.kinds import Field, Kind
from portal.intake.uploads import json_file
from portal.intake.values import Raw
from tests.factories.intake import RANCH, ranch_document


def every_field() -> Iterator[tuple[str, Field, tuple[Field, ...]]]:
    for section in sheet.SECTIONS:
        for field in section.all_fields:
            yield f"{section.key}.{field.key}", field, section.all_fields
        for group in section.groups:
            for field in group.fields:
                yield f"{group.key}.{field.key}", field, group.fields


FIELDS = list(every_field())


def test_sheet_covers_the_house() -> None:
    assert len(FIELDS) > 200
    assert len({path for path, _field, _siblings in FIELDS}) == len(FIELDS)


@pytest.mark.parametrize(("path", "field", "siblings"), FIELDS, ids=[row[0] for row in FIELDS])
def test_field_refers_to_fields_that_exist(
    path: str, field: Field, siblings: tuple[Field, ...]
) -> None:
    by_key = {sibling.key: sibling for sibling in siblings}
    for condition in field.when:
        other = (
            sheet.house_field(condition.field)
            if "." in condition.field
            else by_key.get(condition.field)
        )
        assert other is not None, condition.field
        if other.kind in (Kind.CHOICE, Kind.CHOICES):
            assert set(condition.among) <= set(other.choices), condition.field
    if field.part_of:
        assert by_key[field.part_of].unit == field.unit
    for group in field.links:
        assert sheet.group(group) is not None
    assert len(path) <= 60, "paths are stored in a column of 60"


def test_conditions_of_groups_and_photos_exist() -> None:
    for section in sheet.SECTIONS:
        for group in section.groups:
            for condition in group.when:
                assert section.field(condition.field) is not None
            for prompt in group.photos:
                for condition in prompt.when:
                    assert group.field(condition.field) is not None


NUMBERS = [row for row in FIELDS if row[1].is_number]


def _bounds(field: Field) -> tuple[float | None, float | None, float | None, float | None]:
    return values.limits(field)


@pytest.mark.parametrize(("path", "field", "siblings"), NUMBERS, ids=[row[0] for row in NUMBERS])
def test_hard_limits_refuse_beyond_and_take_the_limit(
    path: str, field: Field, siblings: tuple[Field, ...]
) -> None:
    """A3: every field's hard limits, from both sides, with the limit and the unit in the words."""
    low, high, _soft_low, _soft_high = _bounds(field)
    unit = field.surface_unit if field.kind is Kind.QUANTITY else ""
    for bound, step, words in ((high, 1.0, "at most"), (low, -1.0, "at least")):
        if bound is None:
            continue
        beyond = values.check(field, Raw(typed=values.figure_exact(bound + step), unit=unit))
        assert beyond.value is None
        assert words in beyond.error
        assert str(field.label) in beyond.error
        if unit:
            assert values.with_unit(bound, unit) in beyond.error
        at_limit = values.check(field, Raw(typed=values.figure_exact(bound), unit=unit))
        assert at_limit.error == ""
        assert at_limit.value is not None


@pytest.mark.parametrize(("path", "field", "siblings"), NUMBERS, ids=[row[0] for row in NUMBERS])
def test_soft_limits_ask_beyond_and_are_silent_at_the_limit(
    path: str, field: Field, siblings: tuple[Field, ...]
) -> None:
    """A3: every field's soft limits, with the limit in the question."""
    low, high, soft_low, soft_high = _bounds(field)
    unit = field.surface_unit if field.kind is Kind.QUANTITY else ""
    for bound, hard, words in ((soft_high, high, "above"), (soft_low, low, "below")):
        if bound is None:
            continue
        at_limit = values.check(field, Raw(typed=values.figure_exact(bound), unit=unit))
        assert at_limit.question == ""
        if hard is None or hard == bound:
            continue
        # Halfway to the hard limit, on a step where the field has steps.
        beyond = (bound + hard) / 2
        if field.kind is not Kind.QUANTITY:
            step = field.step or 1.0
            beyond = bound + step if hard > bound else bound - step
        asked = values.check(field, Raw(typed=values.figure_exact(beyond), unit=unit))
        assert asked.error == ""
        assert words in asked.question
        assert asked.value is not None, "what was typed is kept"


QUANTITIES = [row for row in NUMBERS if row[1].kind is Kind.QUANTITY]


@pytest.mark.parametrize(
    ("path", "field", "siblings"), QUANTITIES, ids=[row[0] for row in QUANTITIES]
)
def test_limits_hold_in_every_unit_that_may_be_typed(
    path: str, field: Field, siblings: tuple[Field, ...]
) -> None:
    low, high, _soft_low, _soft_high = _bounds(field)
    assert low is not None, "a quantity has hard limits"
    assert high is not None, "a quantity has hard limits"
    assert low < high
    for unit in field.accepted_units:
        assert units.same_kind(unit or "", field.si_unit or "")
        typed = values.figure_exact(units.convert(high, field.surface_unit, unit))
        if high == 0.0 or float(typed) == 0.0:
            continue
        # Twelve decimals of a large unit are coarser than the limit's own slack for tiny ones.
        checked = values.check(field, Raw(typed=typed, unit=unit))
        assert checked.error == "", (unit, checked.error)
        more = units.convert(high + 0.02 * (high - low), field.surface_unit, unit)
        assert values.check(field, Raw(typed=values.figure_exact(more), unit=unit)).error


def test_unit_of_something_else_is_refused_by_name() -> None:
    depth = attic.ATTICS.field("layer1_depth")
    assert depth is not None
    checked = values.check(depth, Raw(typed="6", unit="gal"))
    assert checked.error == "Usual depth: give it in in. or ft or cm or mm."


def test_too_deep_attic_names_field_limit_unit_and_what_was_typed() -> None:
    depth = attic.ATTICS.field("layer1_depth")
    assert depth is not None
    checked = values.check(depth, Raw(typed="480", unit="in"))
    assert checked.error == "Usual depth: at most 48 in. You typed 480 in."


@pytest.mark.parametrize(
    ("typed", "unit", "si"),
    [
        ("6", "in", 0.1524),  # exact: 1 in = 25.4 mm
        ("15.24", "cm", 0.1524),
        ("0.5", "ft", 0.1524),
        ("152.4", "mm", 0.1524),
    ],
)
def test_either_unit_system_gives_the_same_si_value(typed: str, unit: str, si: float) -> None:
    depth = attic.ATTICS.field("layer1_depth")
    assert depth is not None
    value = values.check(depth, Raw(typed=typed, unit=unit)).value
    assert value is not None
    assert value.si == pytest.approx(si, rel=1e-12)
    assert (value.typed, value.unit) == (typed, unit)


@pytest.mark.parametrize("typed", ["", "abc", "1,2", "1e400", "NaN", "INF", "--3", "3 4"])
def test_what_is_no_number_is_refused(typed: str) -> None:
    area = attic.ATTICS.field("area")
    assert area is not None
    assert values.check(area, Raw(typed=typed, unit="ft²")).error


def test_choices_of_the_sheet_are_what_the_model_knows() -> None:
    """The translation to the model never meets a word it does not have."""
    of = kinds
    assert set(inputs.MATERIALS) <= set(of.MATERIALS)
    assert set(inputs.SPACES) == set(of.SPACES)
    assert set(inputs.FUELS) <= set(of.FUELS)
    assert set(inputs.HEATING_KINDS) == set(heating_cooling.HEATING_KINDS)
    kind = hot_water.WATER_HEATERS.field("kind")
    assert kind is not None
    assert set(inputs.WATER_HEATER_KINDS) == set(kind.choices)
    attic_kind = attic.ATTICS.field("kind")
    assert attic_kind is not None
    assert set(inputs.ATTIC_KINDS) == set(attic_kind.choices)
    access = attic.ATTIC_ACCESSES.field("kind")
    assert access is not None
    assert set(inputs.ACCESS_KINDS) == set(access.choices)
    assert set(APPLIANCE_CO_LIMITS) <= set(combustion.APPLIANCES)
    assert {"attic", "walls"} <= set(AREAS)


def test_json_schema_is_a_schema_and_takes_the_ranch() -> None:
    found = schema.json_schema()
    jsonschema.Draft202012Validator.check_schema(found)
    validator = jsonschema.Draft202012Validator(found)
    assert list(validator.iter_errors(json.loads(RANCH.read_text()))) == []
    document: dict[str, Any] = ranch_document()
    assert list(validator.iter_errors(document)) == []
    document["items"]["attics"][0]["fields"]["layer1_material"] = {"value": "straw"}
    assert [error.json_path for error in validator.iter_errors(document)]


def test_template_filled_with_nothing_is_refused_and_with_one_value_is_read() -> None:
    filled = schema.template()
    with pytest.raises(json_file.UploadRefused, match="not one value"):
        json_file.read(json.dumps(filled).encode())
    filled["house"]["dwelling"]["bedrooms"] = 3
    reading = json_file.read(json.dumps(filled).encode())
    assert reading.house["dwelling.bedrooms"].value == 3
