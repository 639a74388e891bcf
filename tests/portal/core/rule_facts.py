"""Facts for the worked applications: every gate met unless a test says otherwise."""

import json
from copy import deepcopy
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

from portal.core.rules import RuleSet, Ruling, Step, read_rule_set

FOLDER = Path(__file__).parents[3] / "fixtures" / "rules"

BASE: dict[str, Any] = {
    "stage": "claim",
    "dates": {
        "applied_on": "2026-03-10",
        "application_complete_on": "2026-03-12",
        "preapproved_on": "2026-03-16",
        "completed_on": "2026-04-20",
        "claimed_on": "2026-04-27",
    },
    "account": {"is_active": True, "rate_code": "R1", "has_gas": True, "has_electric": True},
    "household": {"tenure": "owner"},
    "site": {
        "county": "Ashmere",
        "units": 1,
        "built_on": "1958",
        "audit_on": "2026-03-03",
        "primary_heat_fuel": "natural_gas",
        "has_central_cooling": False,
    },
    "reservation": {"reserved_on": "2026-03-16", "amount_usd": "20000.00"},
    "lines": [],
    "history": [],
    "other_rebates": [],
}


@cache
def rule_set(name: str) -> RuleSet:
    """A rule set of the fixtures, read once."""
    return read_rule_set(FOLDER / f"{name}.json")


def document(name: str) -> Any:
    """A rule set's own JSON, to be changed at will."""
    return json.loads((FOLDER / f"{name}.json").read_text(), parse_float=Decimal)


def facts(lines: list[dict[str, Any]], **changes: Any) -> dict[str, Any]:
    """The base facts with these lines; a section given is laid over the base one."""
    whole = deepcopy(BASE)
    whole["lines"] = [{"install_started_on": "2026-04-01", **line} for line in lines]
    for section, change in changes.items():
        if isinstance(change, dict) and isinstance(whole.get(section), dict):
            whole[section] = {**whole[section], **change}
        else:
            whole[section] = change
    return whole


def air(pre: float, post: float, usd: float, **more: Any) -> dict[str, Any]:
    return {
        "measure": "air_sealing",
        "pre_cfm50": pre,
        "post_cfm50": post,
        "same_test_setup": True,
        "invoice_usd": usd,
        "quote_usd": usd,
        **more,
    }


def attic(area: float, r: float, condition: str, usd: float, **more: Any) -> dict[str, Any]:
    return {
        "measure": "attic",
        "area_ft2": area,
        "pre_r_nominal": r,
        "pre_condition": condition,
        "post_r": 49,
        "invoice_usd": usd,
        "quote_usd": usd,
        **more,
    }


def wall(area: float, usd: float, **more: Any) -> dict[str, Any]:
    return {
        "measure": "wall",
        "net_area_ft2": area,
        "pre_r_nominal": 0,
        "cavity_is_full": True,
        "post_r": 13,
        "invoice_usd": usd,
        "quote_usd": usd,
        **more,
    }


def step(ruling: Ruling, rule: str) -> Step:
    """The one step of that rule."""
    (found,) = [candidate for candidate in ruling.steps if candidate.rule == rule]
    return found
