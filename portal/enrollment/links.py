"""Where a request stands, as a page."""

from django.urls import reverse

from portal.enrollment import answers
from portal.enrollment.models import AuditRequest
from portal.enrollment.states import RequestState


def current_page(request: AuditRequest) -> str:
    """The page on which a person goes on with a request."""
    if request.state == RequestState.OPEN:
        question = answers.next_question(request.answers)
        if question is not None:
            return question_page(request, question)
        return reverse("enrollment:check", args=[request.key])
    if request.state == RequestState.NOT_ELIGIBLE:
        return reverse("enrollment:not_eligible", args=[request.key])
    if request.state == RequestState.ELIGIBLE:
        return reverse("enrollment:eligible", args=[request.key])
    return reverse("enrollment:withdrawn", args=[request.key])


def question_page(request: AuditRequest, question: str) -> str:
    """The page of one question."""
    return reverse("enrollment:question", args=[request.key, question])


def page_before(request: AuditRequest, question: str) -> str:
    """Where Back leads from a question."""
    if answers.next_question(request.answers) is None:
        return reverse("enrollment:check", args=[request.key])
    place = answers.QUESTIONS.index(question)
    if place == 0:
        return reverse("enrollment:start")
    return question_page(request, answers.QUESTIONS[place - 1])
