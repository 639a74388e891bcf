"""Which derivation stands behind which figure of the owner's report: one table, by path.

A path is the way through the report's content: ``first.0.saves``. A figure without a line here
has no derivation, and a test fails on it.
"""

import re
from collections.abc import Iterator, Mapping
from typing import Any

ACT = r"(?P<act>(first|soon|at_replacement)\.\d+)\."

# Path -> keys of derivations. `{id}` is the id of the job the figure belongs to.
FIGURES: tuple[tuple[str, tuple[str, ...]], ...] = (
    (r"title", ("heat_loss",)),
    (r"story\.\d+", ("annual_cost", "heat_loss", "package_saving", "air_changes")),
    (ACT + r"you_pay", ("cost:{id}", "subsidy:{id}")),
    (ACT + r"of", ("cost:{id}", "subsidy:{id}")),
    (ACT + r"price", ("cost:{id}",)),
    (ACT + r"saves", ("{saving}:{id}",)),
    (ACT + r"pays_back", ("payback:{id}", "subsidy:{id}")),
    (ACT + r"rangeline", ("{saving}:{id}",)),
    (ACT + r"quantity", ("quantity:{id}",)),
    (ACT + r"lasts", ("life:{id}",)),
    (ACT + r"carbon", ("{saving}:{id}",)),
    (r"total_words", ("package_cost", "package_subsidy", "package_saving", "package_worth")),
    (r"leave\.\d+\.\w+", ("{made_of}",)),
    (r"drawing\..+", ("heat_loss",)),
    (r"charts\.\d+\.\w+", ("{fuels}",)),
    (r"energy_rows\..+", ("{fuels}",)),
    (r"ranges\.rows\.\d+\.\w+", ("{row}",)),
    (r"ranges\.chance", ("package_worth",)),
    (r"method\.\d+", ("annual_cost", "package_saving")),
)

# What has digits and is no figure of the model, and why.
EXEMPT: tuple[tuple[str, str], ...] = (
    (r"before|casefile|address|foot|built_on|rules", "names, numbers of files, and dates"),
    (r"run|engine_version|weather", "which run of which engine in which weather"),
    (r"safety\.\d+\.\w+|blocked\.\d+\.\w+", "readings and limits, each with its own source"),
    (r"tests\.\d+\.\w+", "readings and limits, each with its own source in its row"),
    (r"not_seen\.\d+", "names of fields"),
    (ACT + r"(id|why|what|also|who|first_needs|title|group|made_of)", "standing words"),
    (r"derivations\..+", "the derivations themselves"),
    (r"photos\..+", "names of files"),
)

_COMPILED = [(re.compile(pattern), keys) for pattern, keys in FIGURES]
_EXEMPT = [re.compile(pattern) for pattern, _why in EXEMPT]
_DIGIT = re.compile(r"\d")


def figures_of(content: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Every text or number of the content that shows a digit, with its path."""
    yield from _walk("", content)


def _walk(path: str, value: Any) -> Iterator[tuple[str, str]]:
    if isinstance(value, bool) or value is None:
        return
    if isinstance(value, Mapping):
        for key, item in value.items():
            yield from _walk(f"{path}.{key}" if path else str(key), item)
    elif isinstance(value, (list, tuple)):
        for index, item in enumerate(value):
            yield from _walk(f"{path}.{index}", item)
    elif _DIGIT.search(str(value)):
        yield path, str(value)


def is_exempt(path: str) -> bool:
    """Whether what stands at a path is no figure of the model."""
    return any(pattern.fullmatch(path) for pattern in _EXEMPT)


def keys_of(path: str, content: Mapping[str, Any]) -> list[str] | None:
    """Keys of the derivations behind the figure at a path; None where nothing says so."""
    for pattern, keys in _COMPILED:
        found = pattern.fullmatch(path)
        if found is not None:
            names = _names(path, found, content)
            return [
                one
                for key in keys
                for one in (names[key[1:-1]] if key in LISTS else [key.format(**names)])
            ]
    return None


LISTS = ("{made_of}", "{fuels}", "{row}")


def _names(path: str, found: re.Match[str], content: Mapping[str, Any]) -> dict[str, Any]:
    """What a key's template may name: the job, the kind of its saving, the thing left alone."""
    known = {item["key"] for item in content["derivations"]}
    act = found.groupdict().get("act")
    if act is not None:
        group, index = act.split(".")
        name = content[group][int(index)]["id"]
        saving = "saving" if f"saving:{name}" in known else "saving_alone"
        return {"id": name, "saving": saving}
    parts = path.split(".")
    if parts[0] == "leave":
        return {"made_of": [content["leave"][int(parts[1])]["made_of"]]}
    if parts[0] == "ranges" and parts[1] == "rows":
        return {"row": [content["ranges"]["rows"][int(parts[2])]["key"]]}
    return {"fuels": sorted(key for key in known if key.startswith("energy_use:"))}
