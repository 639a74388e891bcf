"""README and DEVELOPERS say what is so: commands, paths, pictures, figures."""

import json
import re
import shlex
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.core.management import get_commands, load_command_class

from calcs import checks
from portal.bootstrap import USAGE
from portal.core.rules import evaluate, read_rule_set
from portal.modeling import served
from portal.places.management.commands import screenshots
from tests.calcs.test_suite_140 import OUTSIDE as FABRIC_OUTSIDE
from tests.calcs.test_suite_residential import OUTSIDE as RESIDENTIAL_OUTSIDE

ROOT = Path(__file__).resolve().parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
DOCUMENTS = {"README.md": README, "DEVELOPERS.md": DEVELOPERS}

# Commands of the bootstrap itself, which Django never sees.
OF_THE_DOOR = {"setup", "test"}
TOP = (".ci", "calcs", "fixtures", "portal", "templates", "tests")
SHARE = re.compile(r"\b(read|computed|memory) \|[^|]*\| (\d+) \| (\d+) \|")

# Single letters in brackets, so that this file does not hold the words itself.
FORBIDDEN = {
    "an absolute path of a machine": r"(?<![\w.:/])/(?:h[o]me|r[o]ot|u[s]r|o[p]t|t[m]p|w[o]rk)/",
    "a package registry": r"py[p]i\.org|pythonh[o]sted|npm[j]s|crates\.[i]o|proxy\.g[o]lang",
    "a tool of the workplace": r"\b(?:ass[i]stant|chat[b]ot|h[e]lper|language m[o]del)s?\b",
    "a numbered issue": r"\bi[s]sue #?\d|#\d",
}
CAUGHT = ("see /ro{}ot/x", "from py{}pi.org", "said the assi{}stant", "is{}sue 4")


def texts() -> Iterator[tuple[str, str]]:
    """Every text of the repository, without what a run writes."""
    files = [path for path in ROOT.iterdir() if path.is_file()]
    for folder in TOP:
        files += [path for path in (ROOT / folder).rglob("*") if path.is_file()]
    for path in files:
        if path.suffix in {".png", ".jpg", ".woff2"} or path.name in {".env", ".venv.lock"}:
            continue
        if "__pycache__" in path.parts:
            continue
        yield str(path.relative_to(ROOT)), path.read_text(encoding="utf-8")


def commands(text: str) -> list[list[str]]:
    """The words of every command line of manage.py in a document, after ``manage.py``."""
    found = re.findall(r"manage\.py ([^`\n]+)", text)
    return [shlex.split(line) for line in found]


def code_words(text: str) -> list[str]:
    return re.findall(r"`([^`\n]+)`", text)


# -- Commands ----------------------------------------------------------------------------------


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_command_named_exists_with_its_options(name: str) -> None:
    known = get_commands()
    lines = commands(DOCUMENTS[name])
    assert len(lines) >= 5
    for words in lines:
        command, options = words[0], [word for word in words[1:] if word.startswith("--")]
        if command in OF_THE_DOOR:
            continue
        assert command in known, f"{name}: manage.py {command} is not there"
        app = known[command]
        loaded = load_command_class(app, command) if isinstance(app, str) else app
        parser = loaded.create_parser("manage.py", command)
        accepted = {option for action in parser._actions for option in action.option_strings}
        for option in options:
            assert option.split("=")[0] in accepted, f"{name}: {command} takes no {option}"


def test_the_commands_of_the_portal_are_all_described() -> None:
    ours = {name for name, app in get_commands().items() if str(app).startswith("portal.")}
    described = {words[0] for words in commands(README)} | set(code_words(README))
    assert ours <= described | {"fonts"}


def test_the_door_offers_nothing_that_is_not_there() -> None:
    offered = re.findall(r"^  (\w+) {2,}", USAGE, flags=re.M)
    assert "demo" in offered
    assert set(offered) <= set(get_commands()) | OF_THE_DOOR | {"help"}


def test_the_options_of_the_demo_are_its_own() -> None:
    paragraph = next(part for part in README.split("\n\n") if "Further options" in part)
    parser = load_command_class("portal.places", "demo").create_parser("manage.py", "demo")
    accepted = {option for action in parser._actions for option in action.option_strings}
    named = set(re.findall(r"--[a-z-]+", paragraph))
    assert "--once" in named
    assert named <= accepted


# -- Paths -------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", DOCUMENTS)
def test_every_path_named_exists(name: str) -> None:
    found = set()
    for word in code_words(DOCUMENTS[name]):
        for part in word.split():
            if re.fullmatch(rf"(?:{'|'.join(map(re.escape, TOP))})/[\w./*-]*", part):
                found.add(part)
    assert len(found) >= 5
    for path in found:
        if "*" in path:
            assert list(ROOT.glob(path)), f"{name}: nothing is called {path}"
        else:
            assert (ROOT / path).exists(), f"{name}: {path} is not there"


def test_links_and_pictures_lead_somewhere() -> None:
    pictures = set()
    for text in DOCUMENTS.values():
        for target in re.findall(r"\]\(([^)#]+)\)", text):
            assert (ROOT / target).is_file(), target
            if target.endswith(".png"):
                pictures.add(Path(target))
    assert {path.stem for path in pictures} == {shot.name for shot in screenshots.SHOTS}
    assert {path.parent for path in pictures} == {screenshots.FOLDER}


def test_pictures_are_small() -> None:
    files = list((ROOT / screenshots.FOLDER).glob("*.png"))
    assert {path.stem for path in files} == {shot.name for shot in screenshots.SHOTS}
    for path in files:
        content = path.read_bytes()
        assert content.startswith(b"\x89PNG\r\n\x1a\n")
        assert len(content) < screenshots.LARGEST_BYTES, path.name


def test_the_ranch_leads_the_pictures() -> None:
    first = re.search(r"screens/(\w+)\.png", README)
    assert first is not None
    lead = next(shot for shot in screenshots.SHOTS if shot.name == first[1])
    homes = json.loads((ROOT / "fixtures/demo/homes.json").read_text())["homes"]
    assert homes[0]["house"] == "ranch-1958"
    assert lead.person == homes[0]["person"]["email"]


# -- Figures -----------------------------------------------------------------------------------


def test_the_shares_by_provenance_are_what_verify_finds() -> None:
    said = {kind: (int(rows), int(good)) for kind, rows, good in SHARE.findall(README)}
    accounted = checks.account(checks.run_checks(), unreached=served.unreached_by)
    found = {
        provenance: (sum(of.values()), of[checks.Verdict.PASSED])
        for provenance, of in checks.tally(accounted).items()
    }
    assert said == found
    assert f"{sum(rows for rows, _ in found.values())} values" in README


def test_the_rows_outside_the_public_suites_are_the_known_ones() -> None:
    section = DEVELOPERS.split("## Results outside", 1)[1].split("\n## ", 1)[0]
    listed = re.findall(r"^\| (L?\d{3}\S*(?: [A-Z][a-z]+)?) [a-z]", section, flags=re.M)
    outside = sorted(case for case, _ in FABRIC_OUTSIDE | RESIDENTIAL_OUTSIDE)
    assert sorted(case.replace("−", "-") for case in listed) == outside
    for words, known in (("first", FABRIC_OUTSIDE), ("second", RESIDENTIAL_OUTSIDE)):
        said = re.search(rf"(\d+) of (\d+) results of the {words} lie inside", README)
        assert said is not None
        assert int(said[2]) - int(said[1]) == len(known)


def test_the_facts_of_the_example_get_an_amount() -> None:
    example = re.search(r"```json\n(.+?)```", README, flags=re.S)
    assert example is not None
    facts: Any = json.loads(example[1], parse_float=Decimal)
    ruling = evaluate(read_rule_set(ROOT / "fixtures/rules/qlg-is-v2.json"), facts)
    assert (ruling.outcome, ruling.total_usd) == ("payable", Decimal("816.00"))


# -- Words -------------------------------------------------------------------------------------


def test_the_patterns_catch_what_they_are_for() -> None:
    for line, pattern in zip(CAUGHT, FORBIDDEN.values(), strict=True):
        assert re.search(pattern, line.format(""), flags=re.I), line


@pytest.mark.parametrize("what", FORBIDDEN)
def test_the_documents_speak_of_the_project_alone(what: str) -> None:
    for name, text in DOCUMENTS.items():
        found = re.search(FORBIDDEN[what], text, flags=re.I)
        assert found is None, f"{name} holds {what}: {found[0]!r}"


def test_no_file_holds_a_registry() -> None:
    for name, text in texts():
        found = re.search(FORBIDDEN["a package registry"], text)
        assert found is None, f"{name}: {found[0]!r}"


def test_documents_are_calm_and_american() -> None:
    for name, text in DOCUMENTS.items():
        prose = re.sub(r"```.*?```|`[^`]*`|!\[", "", text, flags=re.S)
        assert "!" not in prose, name
        british = (
            r"\b(?:colour|storeys?|metres?|licence|catalogue|behaviour|organis\w+|programme)\b"
        )
        found = re.search(british, prose, flags=re.I)
        assert found is None, f"{name}: {found[0]!r}"
