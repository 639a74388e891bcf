"""Opening a page or an operation by role; the policy in the service decides on the record."""

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from django.contrib.auth.mixins import LoginRequiredMixin
from django.http import Http404, HttpRequest
from django.http.response import HttpResponseBase
from rest_framework.permissions import BasePermission
from rest_framework.request import Request

from portal.core.actors import Actor
from portal.core.errors import NotAllowed

if TYPE_CHECKING:
    # The views module loads this one, by name from the settings, while it is being loaded.
    from rest_framework.views import APIView


class SignedInRequest(HttpRequest):
    """For types only: the request of a page behind ``RoleRequiredMixin``, whose user is known."""

    user: Any


class SignedInCall(Request):
    """For types only: the request of an operation behind ``HasRole``."""

    user: Any


class RoleRequiredMixin(LoginRequiredMixin):
    """A page for people who hold one of ``roles``; to anybody else signed in it is not there.

    A page for everybody signed in says ``roles = ANYONE``.
    """

    roles: Iterable[str] = ()

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        """Send strangers to sign-in and answer 404 to people without the role."""
        user = request.user
        if not user.is_authenticated:
            return self.handle_no_permission()
        if self.roles is not ANYONE and not user.roles.intersection(map(str, self.roles)):
            raise Http404
        return super().dispatch(request, *args, **kwargs)


ANYONE: tuple[str, ...] = ("*",)


class HasRole(BasePermission):
    """An operation for people who hold one of the view's ``roles``."""

    def has_permission(self, request: Request, view: "APIView") -> bool:
        """Whether the person is signed in and holds a role the view names."""
        user = request.user
        roles = getattr(view, "roles", ())
        if not user.is_authenticated:
            return False
        return roles is ANYONE or bool(user.roles.intersection(map(str, roles)))


def require_role(actor: Actor, *roles: str, message: str) -> None:
    """Refuse an actor who holds none of the roles.

    Raises
    ------
    NotAllowed
        With the message given.
    """
    if not any(actor.has_role(str(role)) for role in roles):
        raise NotAllowed(message)
