"""The tests a finished job must pass, beside what the audit read."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from portal.core.units import convert
from portal.intake import derived, verdicts
from portal.intake.document import Reader
from portal.modeling.results import Analysis, MeasureResult

TIGHTENING_STAGES = ("air_sealing", "insulation", "ducts", "ventilation")


def tests_at_end(
    reader: Reader, analysis: Analysis, chosen: Sequence[MeasureResult]
) -> list[Mapping[str, Any]]:
    """Each test: its name, how it is set up, what the audit read, what is to be reached."""
    tests: list[Mapping[str, Any]] = []
    stages = {item.stage for item in chosen}
    removed = sum(float(item.reason_facts.get("flow50_removed_m3_per_s", 0.0)) for item in chosen)
    leakage = derived.blower_door(reader)
    if leakage is not None and stages.intersection(TIGHTENING_STAGES):
        before = convert(leakage.flow50_m3_per_s, "m3/s", "cfm")
        target = before - convert(removed, "m3/s", "cfm")
        tests.append(
            {
                "test": _("Leakage at 50 Pa"),
                "setup": _("Same set-up as at the audit"),
                "audit": _("%(flow)s CFM50") % {"flow": f"{before:,.0f}"},
                "reach": _("%(flow)s or less") % {"flow": f"{round(target, -1):,.0f}"},
            }
        )
    for item in chosen:
        if item.kind == "duct_sealing":
            facts = item.reason_facts
            tests.append(
                {
                    "test": _("Duct leakage to outside at 25 Pa"),
                    "setup": _("Duct fan with the house at the same pressure"),
                    "audit": _cfm25(facts.get("leak25_before_m3_per_s")),
                    "reach": _("%(flow)s or less")
                    % {"flow": _cfm25(facts.get("leak25_after_m3_per_s"))},
                }
            )
    if reader.items("combustion_appliances"):
        tests += _combustion(reader)
    if any(item.kind == "exhaust_fan" for item in chosen):
        tests.append(
            {
                "test": _("Ventilation flow"),
                "setup": _("At the grille, fan on its continuous setting"),
                "audit": _("not tested"),
                "reach": _("%(flow).0f cfm or more")
                % {"flow": convert(analysis.package.ventilation_needed_m3_per_s, "m3/s", "cfm")},
            }
        )
    return tests


def _cfm25(flow_m3_per_s: Any) -> str:
    if flow_m3_per_s is None:
        return _("not tested")
    return _("%(flow).0f CFM25") % {"flow": convert(float(flow_m3_per_s), "m3/s", "cfm")}


SETUP = {
    "worst_case": _lazy("Worst case after the work: fans running, doors as they pull most"),
    "spillage_worst": _lazy("Worst case; vent warm or cold as at the audit"),
    "draft": _lazy("At steady state, outdoor temperature written down"),
    "co_measured": _lazy("Undiluted, 5 minutes after start, the worst port"),
}


def _combustion(reader: Reader) -> list[Mapping[str, Any]]:
    """Pressure, spillage, draft and CO of every burner left, each by the stricter limit."""
    return [
        {
            "test": verdicts.name_words(judged),
            "setup": str(SETUP[judged.field]),
            "audit": judged.reading_words,
            "reach": judged.limit_words,
            "source": judged.source_words,
        }
        for judged in verdicts.judge(reader)
        if judged.field in SETUP and judged.item
    ]
