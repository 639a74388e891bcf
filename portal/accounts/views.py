"""Signing in as one of the demo's people."""

from django.conf import settings
from django.contrib.auth import login
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.decorators import method_decorator
from django.views import View
from django.views.decorators.cache import never_cache
from django.views.generic import RedirectView

from portal.accounts import selectors
from portal.accounts.context import demo_people


@method_decorator(never_cache, name="dispatch")
class DemoSignInView(View):
    """One press signs in as a person of the demo; outside demo mode there is no such page."""

    http_method_names = ["post"]

    def post(self, request: HttpRequest) -> HttpResponse:
        """Sign in as a listed person."""
        if not getattr(settings, "DEMO_MODE", False):
            raise Http404
        email = request.POST.get("email", "").strip().lower()
        if email not in {person["email"] for person in demo_people()}:
            raise Http404
        person = selectors.person_by_email(email)
        if person is None:
            raise Http404
        login(request, person, backend="django.contrib.auth.backends.ModelBackend")
        return redirect(settings.LOGIN_REDIRECT_URL)


class ToSignInView(RedirectView):
    """Where the library sends somebody whose address could not be confirmed: to sign in anew."""

    http_method_names = ["get", "head"]
    pattern_name = "account_login"
