"""Finding work scopes and claims, within what a person may see."""

from django.db.models import Prefetch, QuerySet

from portal.accounts.models import User
from portal.accounts.states import Role
from portal.works.models import Claim, ScopeLine, WorkScope
from portal.works.states import ScopeState

# A held scope has not gone out: the firm does not see it yet.
SHOWN_TO_FIRM = [state for state in ScopeState if state != ScopeState.HELD]


def scopes_for(user: User) -> QuerySet[WorkScope]:
    """A firm's own scopes; all of them for the program; nobody else has any."""
    scopes = WorkScope.objects.select_related(
        "award__firm",
        "award__request",
        "casefile__participation__dwelling__building__county",
        "casefile__participation__household",
    ).order_by("finish_by_on", "number", "-version")
    if user.has_role(Role.PROGRAM_ADMIN):
        return scopes
    firm = user.firm if user.has_role(Role.CONTRACTOR) else None
    if firm is None:
        return scopes.none()
    return scopes.filter(award__firm=firm, state__in=SHOWN_TO_FIRM)


def scope_with_lines(scopes: QuerySet[WorkScope]) -> QuerySet[WorkScope]:
    """The same scopes with lines and proofs read along."""
    lines = ScopeLine.objects.prefetch_related("proofs__file").order_by("order")
    return scopes.prefetch_related(Prefetch("lines", queryset=lines), "claims")


def claims_for(user: User) -> QuerySet[Claim]:
    """The claims of the scopes a person may see."""
    return Claim.objects.filter(scope__in=scopes_for(user)).select_related(
        "scope__award__firm",
        "scope__casefile__participation__dwelling__building",
        "invoice_file",
    )
