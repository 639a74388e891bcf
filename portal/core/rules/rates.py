"""Steps that set an amount: flat, per unit, per unit by band, a share of cost, another value."""

from decimal import ROUND_DOWN, Decimal
from typing import TYPE_CHECKING, Any

from portal.core.rules.amount_step import AmountStep, earlier, number_of, percent, seen
from portal.core.rules.faults import RuleSetFault
from portal.core.rules.ruling import Finding, Need
from portal.core.rules.scene import LineState, Scene
from portal.core.rules.sources import Source
from portal.core.rules.values import (
    DIGITS,
    FINEST,
    ZERO,
    plain,
    rounded,
    spoken,
    spoken_unit,
    to_cents,
)
from portal.core.rules.words import fill_phrase

if TYPE_CHECKING:
    from portal.core.rules.syntax import Syntax


def _counted(units: Decimal, rate: Decimal, unit: str) -> str:
    """Units as they are read, with more decimals only where the product printed needs them."""
    for digits in range(DIGITS.get(unit, FINEST), FINEST):
        near = rounded(units, digits, ROUND_DOWN)
        if to_cents(near * rate) == to_cents(units * rate):
            return spoken(near, unit, digits=digits)
    return spoken(units, unit, digits=FINEST)


class Flat(AmountStep):
    """A fixed amount, once per measure and request."""

    keys = frozenset({"usd"})

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        super().__init__(spec, path, syntax)
        self._usd = syntax.value(spec.get("usd"), f"{path}.usd", kind="number")

    def apply(self, scene: Scene, line: LineState) -> None:
        """The amount, or 0 where an earlier line of the measure has it."""
        amount = number_of(self._usd, scene)
        if amount is None:
            self.lack(scene, line, self._usd)
            return
        line.amount = ZERO if earlier(scene, line) else amount
        if not scene.is_tracing:
            return
        self.tell(scene, line, "set", spoken(line.amount, "usd"), {"usd": plain(amount)})


class PerUnit(AmountStep):
    """An amount per unit; with ``most_units`` for no more than so many, over all lines."""

    keys = frozenset({"usd", "quantity", "unit", "most_units"})

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        super().__init__(spec, path, syntax)
        self._usd = self.rate(spec, path, syntax)
        self._quantity = syntax.value(spec.get("quantity"), f"{path}.quantity", kind="number")
        if spec.get("unit") != self._quantity.unit:
            raise RuleSetFault(
                f"{path}.unit", f"the quantity is in {self._quantity.unit or 'no unit'}"
            )
        self._unit = self._quantity.unit
        self._most = syntax.number(spec, "most_units", path) if "most_units" in spec else None

    def rate(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> Source:
        """The amount per unit."""
        return syntax.value(spec.get("usd"), f"{path}.usd", kind="number")

    def apply(self, scene: Scene, line: LineState) -> None:
        """Units times rate."""
        rate, units = number_of(self._usd, scene), number_of(self._quantity, scene)
        if rate is None or units is None:
            if not self.refuse(scene, line):
                self.lack(scene, line, self._quantity, self._usd)
            return
        counted = units
        if self._most is not None:
            used = sum((self._units_of(scene, other) for other in earlier(scene, line)), start=ZERO)
            counted = min(units, max(self._most - used, ZERO))
        line.amount = counted * rate
        unit = spoken_unit(self._unit)
        if not scene.is_tracing:
            return
        self.tell(
            scene,
            line,
            "set",
            f"{_counted(counted, rate, self._unit)}{unit} × {spoken(rate, 'usd')} = "
            f"{spoken(line.amount, 'usd')}",
            {**seen(scene, self._quantity), "rate_usd": plain(rate)},
        )

    def _units_of(self, scene: Scene, other: LineState) -> Decimal:
        outer, scene.line = scene.line, other
        units = number_of(self._quantity, scene)
        scene.line = outer
        return units or ZERO

    def refuse(self, scene: Scene, line: LineState) -> bool:
        """Whether the amount is known to be none."""
        return False


class PerUnitByBand(PerUnit):
    """An amount per unit that depends on the band another value falls in."""

    keys = frozenset({"by", "bands", "quantity", "unit", "most_units"})

    def rate(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> Source:
        """The amount per unit of the band."""
        self._by = syntax.value(spec.get("by"), f"{path}.by", kind="number")
        return syntax.value(
            {"shape": "bands", "by": spec.get("by"), "bands": spec.get("bands")}, path
        )

    def refuse(self, scene: Scene, line: LineState) -> bool:
        """A value known to lie in no band is a no, not a missing fact."""
        had = number_of(self._by, scene)
        if had is None:
            return False
        words = {"label": self._by.label, "had": spoken(had, self._by.unit)}
        line.amount = None
        scene.find(
            Finding(
                rule=self.id,
                kind="failed",
                words=fill_phrase(scene.phrases, "no_band", words),
                line=line.name,
                reference=self.reference,
                needs=(
                    Need(self._by.name, self._by.label, "in_band", "", plain(had), self._by.unit),
                ),
            )
        )
        if not scene.is_tracing:
            return True
        self.tell(
            scene,
            line,
            "failed",
            fill_phrase(scene.phrases, "no_band", words),
            seen(scene, self._by),
        )
        return True


class ShareOfCost(AmountStep):
    """A share of a cost."""

    keys = frozenset({"share", "of"})

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        super().__init__(spec, path, syntax)
        self._share = syntax.value(spec.get("share"), f"{path}.share", kind="number")
        self._of = syntax.value(spec.get("of"), f"{path}.of", kind="number")

    def apply(self, scene: Scene, line: LineState) -> None:
        """Share times cost."""
        share, cost = number_of(self._share, scene), number_of(self._of, scene)
        if share is None or cost is None:
            self.lack(scene, line, self._of, self._share)
            return
        line.amount = share * cost
        if not scene.is_tracing:
            return
        self.tell(
            scene,
            line,
            "set",
            f"{percent(share)} × {spoken(cost, 'usd')} = {spoken(line.amount, 'usd')}",
            {**seen(scene, self._of, self._share)},
        )


class Start(AmountStep):
    """The amount is another value: the allowed cost, for work the program pays in full."""

    keys = frozenset({"of"})

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        super().__init__(spec, path, syntax)
        self._of = syntax.value(spec.get("of"), f"{path}.of", kind="number")

    def apply(self, scene: Scene, line: LineState) -> None:
        """Take the value over."""
        line.amount = number_of(self._of, scene)
        if line.amount is None:
            self.lack(scene, line, self._of)
            return
        if not scene.is_tracing:
            return
        self.tell(scene, line, "set", spoken(line.amount, "usd"), seen(scene, self._of))


SETTERS: dict[str, type[AmountStep]] = {
    "flat": Flat,
    "per_unit": PerUnit,
    "per_unit_by_band": PerUnitByBand,
    "share_of_cost": ShareOfCost,
    "value": Start,
}
