"""When somebody signs in, the requests they made with that address become casefiles."""

import logging
from typing import Any

from django.contrib.auth.signals import user_logged_in
from django.db import DatabaseError
from django.dispatch import receiver

from portal.accounts.models import User
from portal.core.errors import DomainError
from portal.enrollment import services

logger = logging.getLogger(__name__)


@receiver(user_logged_in, dispatch_uid="enrollment.claim_requests")
def claim_requests(sender: Any, user: User, **_: Any) -> None:
    """Open what can be opened; a refusal must not keep the person from signing in."""
    try:
        services.casefiles_claim(user=user)
    except (DomainError, DatabaseError):
        # The eligible page tries again and says what is wrong.
        logger.exception("person %s: claiming requests failed", user.pk)
