"""Asking a rule set: the order of evaluation, steps 1 to 12."""

from collections.abc import Sequence
from decimal import Decimal, localcontext
from typing import Any

from portal.core.rules.measures import ask_late, line_states, work_out
from portal.core.rules.rule_set import RuleSet
from portal.core.rules.ruling import OUTCOMES, Finding, Ruling, RulingLine
from portal.core.rules.scene import STAGES, LineState, Scene, mapping
from portal.core.rules.values import EXACT, ZERO, Days, plain, spoken, to_cents
from portal.core.rules.words import fill_phrase

_PAYABLE = OUTCOMES.index("payable")
_SHORTFALL = OUTCOMES.index("shortfall")


def evaluate(
    rule_set: RuleSet, facts: Any, *, is_tracing: bool = True, language: str = "en"
) -> Ruling:
    """What a rule set says about a document of facts. Pure, and never raises for odd facts.

    Without tracing the same ruling comes without its steps, for trials on many requests.
    """
    with localcontext(EXACT):
        scene = open_scene(rule_set, facts, is_tracing=is_tracing, language=language)
        return _rule(rule_set, scene)


def version_for(versions: Sequence[RuleSet], facts: Any) -> RuleSet | None:
    """The version whose period holds the date that counts, by each version's own account of it."""
    with localcontext(EXACT):
        for rule_set in versions:
            scene = open_scene(rule_set, facts, is_tracing=False, language="en")
            day = _key_date(rule_set, scene)
            if day is not None and rule_set.covers(day):
                return rule_set
    return None


def open_scene(
    rule_set: RuleSet, facts: Any, *, is_tracing: bool = False, language: str = "en"
) -> Scene:
    """An evaluation about to start: the facts, with nothing asked yet."""
    document = mapping(facts)
    scene = Scene(
        document,
        zone=rule_set.zone,
        phrases=rule_set.phrases,
        language=language,
        is_tracing=is_tracing,
    )
    stage = document.get("stage")
    # Without a stage everything is due: nothing is promised on facts that are not there.
    scene.stage = STAGES.index(stage) if stage in STAGES else len(STAGES) - 1
    return scene


def _key_date(rule_set: RuleSet, scene: Scene) -> Days | None:
    if rule_set.reservation is not None:
        lapsed = rule_set.reservation.lapsed_on(scene)
        if lapsed is not None:
            return lapsed
    value = rule_set.key_date.read(scene)
    return value if isinstance(value, tuple) else None


def _rule(rule_set: RuleSet, scene: Scene) -> Ruling:
    _pick_version(rule_set, scene)
    if rule_set.is_about_money:
        scene.lines = line_states(scene, rule_set.by_measure)
    for gate in rule_set.gates:
        gate.ask(scene, 2)
    split: dict[str, Decimal] = {}
    payee = ""
    if rule_set.is_about_money:
        _work_lines(rule_set, scene)
        for step in rule_set.totals:
            step.apply(scene)
        payable = _payable(scene)
        if rule_set.budgets is not None:
            rule_set.budgets.apply(scene, payable)
        if rule_set.fuel_split is not None:
            split = rule_set.fuel_split.apply(scene, _payable(scene))
        if rule_set.payee is not None and _payable(scene):
            payee = rule_set.payee.apply(scene)
    return _ruling(rule_set, scene, split, payee)


def _pick_version(rule_set: RuleSet, scene: Scene) -> None:
    scene.key_date = day = _key_date(rule_set, scene)
    words = {
        "rule_set": rule_set.id,
        "version": str(rule_set.version),
        "first": spoken((rule_set.first_day, rule_set.first_day)),
        "last": spoken((rule_set.last_day, rule_set.last_day)),
        "had": spoken(day),
    }
    if day is None:
        phrase, kind = "no_key_date", "missing"
    elif not rule_set.covers(day):
        phrase, kind = "no_version", "failed"
    else:
        phrase, kind = "version", "passed"
    said = fill_phrase(scene.phrases, phrase, words)
    if kind != "passed":
        scene.find(Finding(rule="version", kind=kind, words=said, reference=rule_set.id))
    saw = {"key_date": plain(day)}
    expiry = rule_set.reservation.expiry(scene) if rule_set.reservation is not None else None
    if rule_set.reservation is not None and expiry is not None:
        is_lapsed = rule_set.reservation.lapsed_on(scene) is not None
        note = fill_phrase(
            scene.phrases,
            "lapsed" if is_lapsed else "reserved",
            {"expiry": spoken((expiry, expiry)), "had": spoken(day)},
        )
        scene.notes.append(note)
        said = f"{said}. {note}"
        saw |= {"expires_on": expiry.isoformat(), "lapsed": plain(is_lapsed)}
    if scene.is_tracing:
        scene.step(1, "version", kind, said, saw=saw)


def _work_lines(rule_set: RuleSet, scene: Scene) -> None:
    states = scene.lines
    if not states:
        scene.find(Finding(rule="lines", kind="missing", words=scene.phrases["no_lines"]))
    # In the order of the rules, so that a rule may look at the measures before it.
    for rule in rule_set.measures:
        for line in states:
            if line.rule is rule:
                work_out(scene, line)
    for line in states:
        if line.rule is None:
            work_out(scene, line)
    for line in list(states):
        ask_late(scene, line)


def _rank(scene: Scene, line: LineState) -> int:
    return max(line.rank, scene.request_rank)


def _payable(scene: Scene) -> list[LineState]:
    return [
        line for line in scene.lines if _rank(scene, line) == _PAYABLE and line.amount is not None
    ]


def _ruling(rule_set: RuleSet, scene: Scene, split: dict[str, Decimal], payee: str) -> Ruling:
    lines = tuple(_ruling_line(scene, line) for line in scene.lines)
    if rule_set.is_about_money:
        paying = [line.outcome for line in lines if line.kind != "cost"]
        best = min((OUTCOMES.index(outcome) for outcome in paying), default=_SHORTFALL)
        outcome = OUTCOMES[max(best, scene.request_rank)]
    else:
        outcome = "eligible" if scene.request_rank == _PAYABLE else OUTCOMES[scene.request_rank]
    budgets: dict[str, Decimal] = {}
    for line in lines:
        if line.amount_usd:
            budgets[line.budget] = budgets.get(line.budget, ZERO) + line.amount_usd
    total = sum((line.amount_usd for line in lines), start=ZERO)
    if scene.is_tracing:
        scene.step(
            12 if rule_set.is_about_money else 2,
            "ruling",
            outcome,
            _say_outcome(scene, outcome, lines),
            saw={},
            amount=to_cents(total) if rule_set.is_about_money else None,
        )
    return Ruling(
        rule_set=rule_set.id,
        version=rule_set.version,
        stage=STAGES[scene.stage],
        key_date=plain(scene.key_date),
        outcome=outcome,
        total_usd=to_cents(total),
        calculated_usd=to_cents(sum((line.calculated_usd for line in lines), start=ZERO)),
        owner_usd=to_cents(sum((line.owner_usd or ZERO for line in lines), start=ZERO)),
        lines=lines,
        fuel_split=split if total else {},
        budgets=budgets,
        payee=payee if total else "",
        findings=tuple(scene.findings),
        notes=tuple(scene.notes),
        values={source.name: plain(source.read(scene)) for source in rule_set.shows},
        steps=tuple(scene.steps),
        fingerprint=rule_set.fingerprint,
    )


def _say_outcome(scene: Scene, outcome: str, lines: tuple[RulingLine, ...]) -> str:
    name = f"{STAGES[scene.stage]}_payable" if outcome == "payable" else outcome
    sums = {
        "total": spoken(sum((line.amount_usd for line in lines), start=ZERO), "usd"),
        "calculated": spoken(sum((line.calculated_usd for line in lines), start=ZERO), "usd"),
    }
    return fill_phrase(scene.phrases, name, sums)


def _ruling_line(scene: Scene, line: LineState) -> RulingLine:
    rank = _rank(scene, line)
    amount = line.amount if line.amount is not None else ZERO
    return RulingLine(
        line=line.name,
        measure=line.measure,
        kind=line.kind,
        outcome=OUTCOMES[rank],
        amount_usd=to_cents(amount if rank == _PAYABLE else ZERO),
        calculated_usd=to_cents(amount if rank <= _SHORTFALL else ZERO),
        eligible_usd=line.eligible,
        owner_usd=None if line.is_denied else line.owner,
        budget=line.budget,
        reductions=tuple(line.reductions),
    )
