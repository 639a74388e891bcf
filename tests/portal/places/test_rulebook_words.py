"""Rule sets read aloud on their page: every rule has words, none shows the name of a field."""

import re
from pathlib import Path

import pytest

from portal.core.rules import read_rule_set
from portal.places import rulebook_words

RULES = Path(__file__).resolve().parents[3] / "fixtures" / "rules"
FILES = sorted(path.name for path in RULES.glob("qlg-*.json"))


@pytest.mark.parametrize("name", FILES)
def test_every_rule_is_said_without_field_names(name: str) -> None:
    body = read_rule_set(RULES / name).document
    groups = rulebook_words.groups(body)
    said = [rule["words"] for group in groups for rule in group["rules"]]
    assert len(said) >= len(body.get("gates", [])) + len(body.get("line_gates", []))
    assert not [words for words in said if re.search(r"[a-z]+\.[a-z]+_[a-z]+|[{}]", words)]


def test_a_rule_names_its_figures() -> None:
    body = read_rule_set(RULES / "qlg-is-v2.json").document
    groups = {group["title"]: group["rules"] for group in rulebook_words.groups(body)}
    after = next(rule for rule in groups["Attic insulation"] if rule["id"] == "QLG-IS 3.4")
    assert after["words"].endswith("is at least 49 R")
    rate = next(rule for rule in groups["Attic insulation"] if "$0.80" in rule["words"])
    assert "$0.50 above 11, up to 19" in rate["words"]
