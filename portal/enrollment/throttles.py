"""How often one address on the network may do what needs no account."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.views import View
from rest_framework.throttling import SimpleRateThrottle


class PublicThrottle(SimpleRateThrottle):
    """Counts by network address, signed in or not; pages and operations count together."""

    def get_cache_key(self, request: Any, view: Any) -> str | None:
        """One counter per scope and address."""
        return self.cache_format % {"scope": self.scope, "ident": self.get_ident(request)}


class BeginThrottle(PublicThrottle):
    """Beginning requests. A library or a housing office begins several from one address."""

    scope = "audit_begin"
    rate = "30/hour"


class AnswerThrottle(PublicThrottle):
    """Answering questions and looking at requests."""

    scope = "audit_answer"
    rate = "600/hour"


class ScreenThrottle(PublicThrottle):
    """Asking the rules: few, because each try tells whether a number fits an address."""

    scope = "audit_screen"
    rate = "20/hour"


class ThrottledPost(View):
    """A page whose POST is counted; too many get a page that says so."""

    throttle_class: type[PublicThrottle] = AnswerThrottle

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        """Count a POST before anything is done with it."""
        if request.method == "POST" and not self.throttle_class().allow_request(request, self):  # type: ignore[arg-type]  # reads META only
            return self.too_many(request)
        return super().dispatch(request, *args, **kwargs)

    def too_many(self, request: HttpRequest) -> HttpResponse:
        """What is there is kept; come back later or call."""
        return render(request, "enrollment/slow_down.html", status=429)
