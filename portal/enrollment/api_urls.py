"""Operations of enrollment."""

from django.urls import path, register_converter
from django.urls.resolvers import URLPattern

from portal.enrollment import api
from portal.enrollment.answers import QUESTIONS


class QuestionConverter:
    """One of the six questions; any other word leads nowhere."""

    regex = "|".join(QUESTIONS)

    def to_python(self, value: str) -> str:
        """As it stands."""
        return value

    def to_url(self, value: str) -> str:
        """As it stands."""
        return value


register_converter(QuestionConverter, "question")

urlpatterns: list[URLPattern] = [
    path("audit-requests/", api.RequestBegin.as_view(), name="api_audit_request_begin"),
    path("audit-requests/<uuid:key>/", api.RequestRead.as_view(), name="api_audit_request_read"),
    path(
        "audit-requests/<uuid:key>/answers/<question:question>/",
        api.RequestAnswer.as_view(),
        name="api_audit_request_answer",
    ),
    path(
        "audit-requests/<uuid:key>/screening/",
        api.RequestScreen.as_view(),
        name="api_audit_request_screen",
    ),
    path(
        "audit-requests/<uuid:key>/withdrawal/",
        api.RequestWithdraw.as_view(),
        name="api_audit_request_withdraw",
    ),
    path(
        "audit-requests/<uuid:key>/casefile/",
        api.CasefileClaim.as_view(),
        name="api_casefile_open",
    ),
    path("casefiles/", api.CasefileList.as_view(), name="api_casefile_list"),
    path("casefiles/<str:number>/", api.CasefileRead.as_view(), name="api_casefile_read"),
]
