"""Taking values out of a record document and remembering where each came from."""

from collections.abc import Mapping, Sequence
from typing import Any

from calcs.inputs import Origin

# How a value was recorded -> how the model names it. Estimates and papers are records; only an
# instrument measures.
ORIGIN_OF_HOW = {
    "measured": "measured",
    "nameplate": "nameplate",
    "document": "recorded",
    "estimated": "recorded",
    "reported": "reported",
    "default": "default",
}


class Reader:
    """One section or item of the document, at a place in the house.

    Every value taken under a field name of the house leaves its origin in ``origins`` under
    ``<place>.<field>``; a value that is not there leaves the default and no origin.
    """

    def __init__(
        self, entries: Mapping[str, Any], *, origins: dict[str, Origin], place: str = ""
    ) -> None:
        self.entries = entries
        self.origins = origins
        self.place = place

    def __contains__(self, key: str) -> bool:
        return self._found(key) is not None

    def at(self, place: str) -> "Reader":
        """The same entries, feeding another place of the house."""
        return Reader(self.entries, origins=self.origins, place=place)

    def si(self, key: str, target: str = "", *, default: Any = None) -> Any:
        """The SI number of a field, or the default."""
        entry = self._found(key)
        if entry is None or entry.get("si") is None:
            return default
        self._note(entry, target)
        return float(entry["si"])

    def value(self, key: str, target: str = "", *, default: Any = None) -> Any:
        """The choice, flag, list or words of a field, or the default."""
        entry = self._found(key)
        if entry is None or entry.get("value") is None:
            return default
        self._note(entry, target)
        return entry["value"]

    def number(self, key: str, target: str = "", *, default: Any = None) -> Any:
        """A count or a year, or the default."""
        entry = self._found(key)
        if entry is None:
            return default
        found = entry.get("si") if entry.get("si") is not None else entry.get("value")
        if found is None:
            return default
        self._note(entry, target)
        return float(found)

    def whole(self, key: str, target: str = "", *, default: Any = None) -> Any:
        """A count or a year as a whole number, or the default."""
        found = self.number(key, target)
        return default if found is None else round(found)

    def mark(self, target: str, how: str, source: str = "") -> None:
        """Note the origin of a value worked out from several entries."""
        self.origins[self._path(target)] = Origin(how=how, source=source)

    def _found(self, key: str) -> Mapping[str, Any] | None:
        entry = self.entries.get(key)
        if not isinstance(entry, Mapping) or entry.get("absence"):
            return None
        return entry

    def _note(self, entry: Mapping[str, Any], target: str) -> None:
        if target:
            how = ORIGIN_OF_HOW.get(entry.get("how", ""), "recorded")
            self.origins[self._path(target)] = Origin(how=how, source="field record")

    def _path(self, target: str) -> str:
        return f"{self.place}.{target}" if self.place else target


class Document:
    """A record document: sections of the house and items of groups, as readers."""

    def __init__(self, content: Mapping[str, Any]) -> None:
        self.content = content
        self.origins: dict[str, Origin] = {}

    def section(self, key: str, place: str = "") -> Reader:
        """A section of the house; an absent one reads as empty."""
        return Reader(self.content.get("house", {}).get(key, {}), origins=self.origins, place=place)

    def items(self, group: str, place: str = "") -> list[tuple[str, str, Reader]]:
        """The items of a group: id, name and reader, placed at ``<place>.<id>``."""
        found: Sequence[Mapping[str, Any]] = self.content.get("items", {}).get(group, [])
        return [
            (
                str(item["key"]),
                str(item.get("name", "")),
                Reader(
                    item.get("fields", item),
                    origins=self.origins,
                    place=f"{place}.{item['key']}" if place else "",
                ),
            )
            for item in found
        ]
