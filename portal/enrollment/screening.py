"""From the answers of a request to the facts the rules see, and to what the rules say."""

from datetime import date
from functools import lru_cache
from typing import Any

from django.conf import settings

from portal.core import clock, rules
from portal.enrollment import selectors
from portal.enrollment.models import AuditRequest, UtilityAccount


def matched_account(answers: dict[str, Any]) -> UtilityAccount | None:
    """The account in the customer file that stands at the address given, if it does."""
    address = answers["address"]
    return selectors.account_at(
        number=answers["account"]["number"],
        street=address["street"],
        unit=address["unit"],
        zip_code=address["zip"],
    )


def facts_for(request: AuditRequest, account: UtilityAccount | None) -> dict[str, Any]:
    """The facts of a request as the rules read them.

    What the program knows of the dwelling and the account comes in only once the account
    number fits the address, so that nobody learns about a neighbor by trying numbers.
    """
    answers = request.answers
    area = selectors.zip_area(answers["address"]["zip"])
    today = clock.today()
    facts: dict[str, Any] = {
        "request": {"date": today.isoformat()},
        "site": {
            "zip": answers["address"]["zip"],
            "county": area.county.name if area else "",
            "in_territory": area is not None,
        },
        "account": {"matches_address": account is not None},
        "building": {
            "kind": answers["home"]["kind"],
            "units": answers["home"]["units"],
            "year_built": answers["home"]["year_built"],
        },
        "household": {"tenure": answers["tenure"]["tenure"]},
        "dwelling": {},
    }
    if account is not None:
        facts["account"].update(
            is_open=_is_open(account, today),
            rate_code=account.rate_code,
            has_electricity=account.has_electricity,
            has_gas=account.has_gas,
        )
        last = selectors.last_participation_end(account.dwelling)
        facts["dwelling"].update(
            takes_part=selectors.live_participation_at(account.dwelling) is not None,
            took_part_before=last is not None,
            last_ended_on=last.isoformat() if last else None,
        )
    return facts


def _is_open(account: UtilityAccount, day: date) -> bool:
    has_begun = account.opened_on is None or account.opened_on <= day
    return has_begun and (account.closed_on is None or account.closed_on > day)


@lru_cache(maxsize=1)
def versions() -> tuple[rules.RuleSet, ...]:
    """Every version of the rules for an audit, oldest first; read once."""
    folder = settings.ROOT / "fixtures" / "rules"
    sets = [rules.read_rule_set(path) for path in sorted(folder.glob("qlg-audit*.json"))]
    if not sets:
        raise FileNotFoundError(f"no rules for the audit in {folder}")
    return tuple(sorted(sets, key=lambda rule_set: rule_set.version))


def rule(facts: dict[str, Any], *, language: str = "en") -> rules.Ruling:
    """What the version in force says about these facts."""
    found = rules.version_for(versions(), facts)
    # Outside every period the newest one answers, and its ruling says that it is not in force.
    return rules.evaluate(found or versions()[-1], facts, language=language)


def text(request: AuditRequest, key: str, *, language: str = "en") -> str:
    """A text of the rule set by which a request was screened."""
    version = request.ruling.get("version")
    rule_set = next((known for known in versions() if known.version == version), versions()[-1])
    said = rule_set.texts[key]
    return str(said.get(language) or said["en"]) if isinstance(said, dict) else str(said)
