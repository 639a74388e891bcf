"""What comes next, in one sentence, and the stages of the journey by name."""

from datetime import datetime
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy
from django.utils.translation import ngettext

from portal.accounts.states import Role
from portal.core.templatetags.words import moment

Words = str | Promise

STAGE_NAMES: dict[str, Words] = {
    "booking": _lazy("Book the visit"),
    "visit": _lazy("Visit"),
    "record": _lazy("Field record"),
    "model_run": _lazy("Model run"),
    "report": _lazy("Report"),
    "plan": _lazy("Your plan"),
    "request": _lazy("Subsidy request"),
    "decision": _lazy("Decision"),
    "shortfall": _lazy("Something is missing"),
    "scope": _lazy("Work scope"),
    "work": _lazy("Work"),
    "claim": _lazy("Claim"),
    "payment": _lazy("Payment"),
    "closed": _lazy("Finished"),
}

ACTIONS: dict[str, Words] = {
    "pick_time": _lazy("Pick a time for the visit."),
    "pick_time_again": _lazy("Pick a new time for the visit."),
    "visit_home": _lazy("The auditor visits the home."),
    "open_record": _lazy("The auditor fills in the field sheet."),
    "complete_record": _lazy("The auditor finishes the field sheet."),
    "start_run": _lazy("The house is handed to the model."),
    "work_out": _lazy("The house is being worked out, hour by hour."),
    "correct_record": _lazy(
        "The field sheet needs a correction before the house can be worked out."
    ),
    "build_report": _lazy("The report is being put together."),
    "make_plan": _lazy("Read the report and choose what to do."),
    "send_request": _lazy("Attach a quote and ask for the subsidy."),
    "decide_request": _lazy("The program decides on the subsidy request."),
    "second_look": _lazy("A second person in the program looks at the request."),
    "complete_request": _lazy("Send what is missing for a yes."),
    "clear_deferral": _lazy("Have the hazard fixed, then send the request again."),
    "change_plan": _lazy(
        "The rules do not pay for this. Choose something else, or go ahead without."
    ),
    "issue_scope": _lazy("The work is being put in writing for the contractor."),
    "clear_hazard": _lazy("A hazard has to be fixed before this work may begin."),
    "answer_scope": _lazy("The contractor says whether they take the job."),
    "find_firm": _lazy("The program finds another contractor."),
    "do_work": _lazy("The contractor does the work."),
    "send_claim": _lazy("The work is done. The contractor sends the claim."),
    "complete_claim": _lazy("The contractor sends what is missing from the claim."),
    "check_claim": _lazy("The program checks the claim."),
    "pay_claim": _lazy("The program pays the claim."),
    "nothing": _lazy("Nothing is left to do."),
}


def action_words(next_action: str, facts: dict[str, Any]) -> str:
    """The next action as a sentence, with its numbers where it has any."""
    if next_action == "visit_home" and facts.get("starts_at"):
        when = datetime.fromisoformat(facts["starts_at"])
        return _("The auditor visits on %(when)s.") % {"when": moment(when)}
    if next_action == "do_work" and facts.get("lines"):
        return ngettext(
            "The contractor does the work: %(done)d of %(lines)d line is done.",
            "The contractor does the work: %(done)d of %(lines)d lines are done.",
            facts["lines"],
        ) % {"done": facts.get("done", 0), "lines": facts["lines"]}
    return str(ACTIONS.get(next_action, next_action))


def holder_words(holder_role: str, holder_name: str, roles: frozenset[str], is_own: bool) -> str:
    """Whose turn it is, as the reader sees it: "You" when it is theirs."""
    if is_own and holder_role in roles:
        return _("You")
    if holder_role == Role.PROGRAM_ADMIN and holder_role in roles:
        return _("You, at the Desk")
    return holder_name
