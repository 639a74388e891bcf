"""Steps 10 to 12: whether the budgets hold it, which fuel's money it is, and who is paid."""

from decimal import Decimal
from typing import TYPE_CHECKING, Any

from portal.core.rules.amount_step import number_of
from portal.core.rules.faults import RuleSetFault
from portal.core.rules.ruling import Finding, Need
from portal.core.rules.scene import LineState, Scene
from portal.core.rules.shapes import LINE_CHOICE_KEYS
from portal.core.rules.sources import Source
from portal.core.rules.values import ZERO, plain, spoken, to_cents
from portal.core.rules.words import fill_phrase

if TYPE_CHECKING:
    from portal.core.rules.syntax import Syntax


class Budgets:
    """Step 10: a budget short of the whole amount puts the request on hold; nothing is cut."""

    def __init__(self, raw: Any, path: str, syntax: "Syntax") -> None:
        if not isinstance(raw, dict):
            raise RuleSetFault(path, "needs a table: budget to the field that says what is left")
        self._left = {
            name: syntax.value(field, f"{path}.{name}", kind="number")
            for name, field in raw.items()
        }

    def apply(self, scene: Scene, lines: list[LineState]) -> None:
        """Compare each budget with what the request takes from it; with a claim it is reserved."""
        needed: dict[str, Decimal] = {}
        for line in lines:
            needed[line.budget] = needed.get(line.budget, ZERO) + (line.amount or ZERO)
        for name, source in self._left.items():
            amount = needed.get(name, ZERO)
            if not amount or scene.stage == 2:
                continue
            left = number_of(source, scene)
            words = {
                "budget": spoken(name),
                "had": spoken(left, "usd"),
                "needed": spoken(amount, "usd"),
            }
            is_short = left is not None and left < amount
            phrase = "budget_unseen"
            if left is not None:
                phrase = "budget_short" if is_short else "budget_fits"
            said = fill_phrase(scene.phrases, phrase, words)
            if is_short:
                scene.find(
                    Finding(
                        rule="budget",
                        kind="held",
                        words=said,
                        needs=(
                            Need(source.name, source.label, "at_least", plain(amount),
                                 plain(left), "usd"),
                        ),
                    )
                )  # fmt: skip
            if scene.is_tracing:
                scene.step(
                    10,
                    "budget",
                    "held" if is_short else "later" if left is None else "passed",
                    said,
                    saw={"left_usd": plain(left), "needed_usd": plain(amount)},
                    amount=amount,
                )


class FuelSplit:
    """Step 11: the money by fuel; the last part of every group is the remainder."""

    def __init__(self, raw: Any, path: str, syntax: "Syntax") -> None:
        if not isinstance(raw, list) or not raw:
            raise RuleSetFault(path, "needs a list of groups of lines")
        self._groups: list[tuple[Any, Source, str, str]] = []
        for index, group in enumerate(raw):
            where = f"{path}[{index}]"
            syntax.only(group, where, {"first", "first_share", "rest"} | LINE_CHOICE_KEYS)
            self._groups.append(
                (
                    syntax.line_choice(group, where),
                    syntax.value(group.get("first_share"), f"{where}.first_share", kind="number"),
                    str(group.get("first", "")),
                    str(group.get("rest", "")),
                )
            )

    def apply(self, scene: Scene, lines: list[LineState]) -> dict[str, Decimal]:
        """The parts by fuel; a line is split with the first group that has it."""
        split: dict[str, Decimal] = {}
        left = list(lines)
        for chosen, share_source, first, rest in self._groups:
            mine = [line for line in left if chosen(scene, line)]
            left = [line for line in left if line not in mine]
            total = sum((line.amount or ZERO for line in mine), start=ZERO)
            if not total:
                continue
            share = number_of(share_source, scene)
            if share is None:
                self._lack(scene, share_source)
                return {}
            part = to_cents(total * min(max(share, ZERO), Decimal(1)))
            for fuel, amount in ((first, part), (rest, total - part)):
                if amount:
                    split[fuel] = split.get(fuel, ZERO) + amount
        if scene.is_tracing and split:
            shares = ", ".join(
                f"{spoken(fuel)} {spoken(amount, 'usd')}" for fuel, amount in split.items()
            )
            seen = tuple(field for group in self._groups for field in group[1].fields())
            scene.step(
                11,
                "fuel_split",
                "split",
                fill_phrase(scene.phrases, "split", {"shares": shares}),
                saw=scene.seen(seen),
                amount=scene.total,
            )
        return split

    @staticmethod
    def _lack(scene: Scene, source: Source) -> None:
        fields = source.missing(scene)
        labels = ", ".join(field.label for field in fields)
        words = fill_phrase(scene.phrases, "missing", {"label": labels})
        scene.find(
            Finding(
                rule="fuel_split",
                kind="missing",
                words=words,
                fix=fill_phrase(scene.phrases, "missing_fix", {"label": labels, "in_unit": ""}),
                needs=tuple(
                    Need(field.name, field.label, "known", "", "unknown", field.unit)
                    for field in fields
                ),
            )
        )
        if scene.is_tracing:
            scene.step(11, "fuel_split", "missing", words, saw={}, amount=scene.total)


class Payee:
    """Step 12: who gets the money."""

    def __init__(self, raw: Any, path: str, syntax: "Syntax") -> None:
        self._who = syntax.value(raw, path, kind="text")

    def apply(self, scene: Scene) -> str:
        """The payee's part in the matter: applicant, contractor."""
        read = self._who.read(scene)
        who = read if isinstance(read, str) else "applicant"
        if scene.is_tracing:
            scene.step(
                12,
                "payee",
                "set",
                fill_phrase(scene.phrases, "payee", {"payee": spoken(who)}),
                saw=scene.seen(self._who.fields()),
                amount=scene.total,
            )
        return who
