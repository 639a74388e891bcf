"""Buildings of several units: caps per unit, and the owner's part for units not eligible.

A line belongs to one unit (``line.unit``) or, as ``shared``, to all of them equally.
"""

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from portal.core.rules.faults import RuleSetFault
from portal.core.rules.scene import LineState, Scene
from portal.core.rules.shapes import LINE_CHOICE_KEYS
from portal.core.rules.totals import TotalStep, lower, share_out
from portal.core.rules.values import ZERO, flag, plain, spoken, to_cents
from portal.core.rules.words import fill_phrase

if TYPE_CHECKING:
    from portal.core.rules.syntax import Syntax

SHARED = "shared"


def _unit_name(raw: object) -> str:
    return raw if isinstance(raw, str) else str(raw) if isinstance(raw, int) else ""


def _units(scene: Scene) -> dict[str, bool | None]:
    """Each unit and whether its household is eligible; one nameless unit where none is listed."""
    raw = scene.facts.get("units")
    units: dict[str, bool | None] = {}
    for entry in raw if isinstance(raw, list | tuple) else ():
        if isinstance(entry, Mapping):
            name = _unit_name(entry.get("unit"))
            if name:
                units[name] = flag(entry.get("household_is_eligible"))
    return units or {"": True}


def _part_in(line: LineState, unit: str, count: int) -> Decimal:
    """The part of a line's amount that stands for a unit."""
    amount = line.amount or ZERO
    own = _unit_name(line.facts.get("unit"))
    if count == 1 or own == unit:
        return amount
    if own in {"", SHARED}:
        return amount / count
    return ZERO


class UnitCap(TotalStep):
    """A cap per unit: the part above it is not paid."""

    keys = frozenset({"usd"} | LINE_CHOICE_KEYS)

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        super().__init__(spec, path, syntax)
        self._usd = syntax.number(spec, "usd", path, above=ZERO)
        self._chosen = syntax.line_choice(spec, path)
        if self.order != 8:
            raise RuleSetFault(f"{path}.order", "a cap per unit is step 8")

    def apply(self, scene: Scene) -> None:
        """Lower what stands for each unit to the cap, then put the lines together again."""
        lines = [line for line in scene.lines if line.is_counted and self._chosen(scene, line)]
        if not lines:
            return
        units = _units(scene)
        before = sum((line.amount or ZERO for line in lines), start=ZERO)
        kept = [ZERO for _ in lines]
        allowed = ZERO
        for parts in self._parts(lines, list(units)):
            held = sum(parts, start=ZERO)
            scale = min(Decimal(1), self._usd / held) if held else Decimal(1)
            allowed += min(held, self._usd)
            kept = [sofar + part * scale for sofar, part in zip(kept, parts, strict=True)]
        # A line for a unit that is not listed stands under a cap of its own.
        for index, line in enumerate(lines):
            if not any(_part_in(line, unit, len(units)) for unit in units):
                kept[index] = min(line.amount or ZERO, self._usd)
                allowed += kept[index]
        limit = to_cents(allowed)
        if limit < before:
            for line, part in zip(lines, share_out(limit, kept), strict=True):
                lower(scene, self, line, min(part, line.amount or ZERO))
        if scene.is_tracing:
            name = "reduced" if limit < before else "within"
            scene.step(
                self.order,
                self.id,
                name,
                fill_phrase(
                    scene.phrases,
                    name,
                    {
                        "name": self.name,
                        "limit": spoken(self._usd, "usd"),
                        "taken": spoken(before - limit, "usd"),
                    },
                ),
                saw={
                    "units": str(len(units)),
                    "amount_usd": plain(before),
                    "cap_usd": plain(self._usd),
                },
                amount=scene.total,
            )

    @staticmethod
    def _parts(lines: list[LineState], units: list[str]) -> Iterator[list[Decimal]]:
        for unit in units:
            yield [_part_in(line, unit, len(units)) for line in lines]


class OwnerPart(TotalStep):
    """The owner's share of the cost that stands for units whose household is not eligible."""

    keys = frozenset({"share"} | LINE_CHOICE_KEYS)

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        super().__init__(spec, path, syntax)
        self._share = syntax.number(spec, "share", path, above=ZERO)
        self._chosen = syntax.line_choice(spec, path)

    def apply(self, scene: Scene) -> None:
        """Take the owner's part off the lines it belongs to."""
        lines = [line for line in scene.lines if line.is_counted and self._chosen(scene, line)]
        units = _units(scene)
        paying = [name for name, is_eligible in units.items() if is_eligible is False]
        if not lines or not paying:
            return
        parts = [
            sum((_part_in(line, unit, len(units)) for unit in paying), start=ZERO) for line in lines
        ]
        owed = to_cents(sum(parts, start=ZERO) * self._share)
        if not owed:
            return
        for line, part in zip(lines, share_out(owed, parts), strict=True):
            line.owner = (line.owner or ZERO) + part
            lower(scene, self, line, (line.amount or ZERO) - part)
        if scene.is_tracing:
            scene.step(
                self.order,
                self.id,
                "owner pays",
                f"{self.name}: {spoken(owed, 'usd')}",
                saw={
                    "units_not_eligible": ", ".join(paying),
                    "allocated_usd": plain(sum(parts, start=ZERO)),
                    "owner_usd": plain(owed),
                },
                amount=scene.total,
            )
