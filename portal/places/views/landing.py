"""The front door: strangers read what the program is, people go to their place."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views import View

from portal.accounts.states import Role
from portal.places import selectors

FIRST_PAGE = {
    Role.PROGRAM_ADMIN: "places:desk",
    Role.AUDITOR: "places:today",
    Role.CONTRACTOR: "places:scopes",
    Role.HOMEOWNER: "places:home",
}


class LandingView(View):
    """``/``: open to everybody."""

    def get(self, request: HttpRequest) -> HttpResponse:
        """Show the program, or send a signed-in person to their first page."""
        user = request.user
        if user.is_authenticated:
            for role in selectors.places_of(user):
                return redirect(FIRST_PAGE[Role(role)])
            return render(request, "places/no_role.html")
        return render(request, "places/landing.html")
