"""`model FILE`: one record, everything the model finds, and no database.

None of these tests may touch a database: pytest-django refuses it without the mark.
"""

import json
from functools import cache
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command

ROOT = Path(settings.ROOT)
RANCH = ROOT / "fixtures" / "records" / "ranch-1958.json"
HPXML = ROOT / "fixtures" / "hpxml" / "two-story-1988.xml"


def said(*arguments: str) -> str:
    out = StringIO()
    call_command("model", *arguments, stdout=out)
    return out.getvalue()


@cache
def of_ranch() -> tuple[str, dict[str, Any]]:
    """Tables and JSON of the same record; the second run finds the first one's hours."""
    return said(str(RANCH)), json.loads(said(str(RANCH), "--json"))


def test_tables_and_json_say_the_same() -> None:
    printed, data = of_ranch()
    base, package = data["results"]["baseline"], data["results"]["package"]
    saving = package["saving"]
    assert f"${base['cost_usd']:,.0f}" in printed
    assert f"{base['energy_j']['natural_gas'] / 105505585.262:,.0f}" in printed
    assert f"Saves ${saving['cost_usd']:,.0f} (${saving['cost_low_usd']:,.0f} to" in printed
    assert printed.count("do it") == sum(
        item["verdict"] == "do" for item in data["results"]["measures"]
    )
    # The house as the model saw it is there, with where its values came from.
    assert data["house"]["geometry"]["floor_area_m2"] > 50.0
    assert data["house"]["origins"]


def test_every_part_of_the_result_has_its_table() -> None:
    printed, data = of_ranch()
    for title in (
        "Hazards, gravest first",
        "Energy of a year as the house is",
        "Where a hundred parts of its heat go",
        "Measures, alone and in the order of work",
        "What to do first",
        "Together, in the order of work",
        "Equipment: now, or when it fails",
        "Looked at and left alone",
    ):
        assert f"\n{title}" in printed, title
    first = printed.split("What to do first", 1)[1]
    assert first.count(". ") >= len(data["results"]["priorities"])


def test_columns_stand_under_each_other() -> None:
    printed, _ = of_ranch()
    table = printed.split("Where a hundred parts of its heat go\n", 1)[1].split("\n\n", 1)[0]
    lines = table.splitlines()
    ends = [len(line) for line in lines[2:] if line.strip()]
    assert len(set(ends)) == 1
    # A hundred strokes, neither more nor fewer.
    figures = [line.rsplit(None, 3)[1:3] for line in lines[2:] if line.strip()]
    assert sum(int(value) for pair in figures for value in pair) == 100


def test_an_hpxml_file_is_worked_out_too() -> None:
    printed = said(str(HPXML))
    assert printed.startswith("two-story-1988, worked out for")
    assert "Together, in the order of work" in printed


def test_what_cannot_be_read_is_said_without_a_traceback(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="No such file"):
        said(str(tmp_path / "nowhere.json"))
    bad = tmp_path / "bad.json"
    bad.write_text("{", encoding="utf-8")
    with pytest.raises(CommandError):
        said(str(bad))
    with pytest.raises(CommandError, match="No such file"):
        said(str(RANCH), "--weather", str(tmp_path / "none.epw"))


def test_a_value_out_of_range_names_field_limit_and_unit(tmp_path: Path) -> None:
    text = RANCH.read_text(encoding="utf-8")
    spoiled = tmp_path / "spoiled.json"
    sound = '"floor_area": {"typed": "1,360"'
    assert sound in text
    spoiled.write_text(text.replace(sound, sound.replace("1,360", "-5")), encoding="utf-8")
    with pytest.raises(CommandError) as refused:
        said(str(spoiled))
    assert "floor" in str(refused.value).lower()
    assert "ft²" in str(refused.value)
