"""The person behind a request that only signed-in people can make."""

from typing import Any, Protocol

from portal.accounts.models import User
from portal.core.errors import NotAllowed


class HasUser(Protocol):
    """A page's or an operation's request."""

    @property
    def user(self) -> Any: ...


def person(request: HasUser) -> User:
    """The person signed in.

    Raises
    ------
    NotAllowed
        Nobody is, which a page or operation open to strangers has to rule out first.
    """
    if not isinstance(request.user, User):
        raise NotAllowed("Sign in first.", code="not_signed_in")
    return request.user
