"""The rule evaluator: facts in, ruling out.

Pure: no database, clock or settings. A rule set is data (``load_rule_set``), a ruling is a
frozen record with every step that led to it (``evaluate``, ``ruling_to_dict``).
"""

from portal.core.rules.engine import evaluate, version_for
from portal.core.rules.faults import RuleSetFault
from portal.core.rules.rule_set import RuleSet, load_rule_set, merged, read_rule_set
from portal.core.rules.ruling import (
    Finding,
    Need,
    Reduction,
    Ruling,
    RulingLine,
    Step,
    ruling_from_dict,
    ruling_to_dict,
)

__all__ = [
    "Finding",
    "Need",
    "Reduction",
    "RuleSet",
    "RuleSetFault",
    "Ruling",
    "RulingLine",
    "Step",
    "evaluate",
    "load_rule_set",
    "merged",
    "read_rule_set",
    "ruling_from_dict",
    "ruling_to_dict",
    "version_for",
]
