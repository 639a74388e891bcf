"""What can be done in enrollment, by noun."""

from portal.enrollment.services.casefiles import (
    AlreadyTakesPart,
    casefile_close,
    casefile_open,
    casefiles_claim,
    household_update,
    income_declare,
)
from portal.enrollment.services.customers import (
    account_enter,
    county_enter,
    zip_area_enter,
)
from portal.enrollment.services.requests import (
    applicant_remember,
    program_phone,
    request_answer,
    request_begin,
    request_link,
    request_reopen,
    request_screen,
    request_withdraw,
)

__all__ = [
    "AlreadyTakesPart",
    "account_enter",
    "applicant_remember",
    "casefile_close",
    "casefile_open",
    "casefiles_claim",
    "county_enter",
    "household_update",
    "income_declare",
    "program_phone",
    "request_answer",
    "request_begin",
    "request_link",
    "request_reopen",
    "request_screen",
    "request_withdraw",
    "zip_area_enter",
]
