"""The hazards of a casefile and their clearance."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views import View

from portal.accounts.states import Role
from portal.core.access import RoleRequiredMixin
from portal.core.errors import ValuesRefused
from portal.intake import selectors, services
from portal.intake.policies import actor_of
from portal.intake.views.base import (
    casefile_of_visit,
    sent_file,
)


class HazardsView(RoleRequiredMixin, View):
    """The hazards of a casefile: open ones, and what was cleared on what evidence."""

    roles = (Role.PROGRAM_ADMIN,)

    def get(self, request: HttpRequest, number: str) -> HttpResponse:
        """Show them."""
        return self._show(request, number)

    def post(self, request: HttpRequest, number: str) -> HttpResponse:
        """Clear one, with evidence."""
        casefile = casefile_of_visit(request, number)
        upload, sender_name = sent_file(request, "file")
        try:
            services.hazard_clear(
                casefile_id=casefile.pk,
                hazard=request.POST.get("hazard", ""),
                evidence=request.POST.get("evidence", ""),
                actor=actor_of(request.user),
                upload=upload,
                name=sender_name,
            )
        except ValuesRefused as refusal:
            return self._show(request, number, refusal=refusal)
        messages.success(request, _("The hazard is recorded as cleared."))
        return redirect("intake:hazards", number=number)

    def _show(
        self, request: HttpRequest, number: str, refusal: ValuesRefused | None = None
    ) -> HttpResponse:
        casefile = casefile_of_visit(request, number)
        return render(
            request,
            "intake/hazards.html",
            {
                "casefile": casefile,
                "open_hazards": selectors.open_hazards_of(casefile),
                "clearances": selectors.clearances_of(casefile),
                "typed": request.POST,
                "formset_errors": [
                    {"id": f"id_{name}", "text": text}
                    for name, text in (refusal.fields if refusal else {}).items()
                ],
            },
        )
