"""How signing in by e-mailed code meets our people and our letters."""

import uuid
from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from django.conf import settings
from django.forms import BaseForm
from django.http import HttpRequest
from django.shortcuts import resolve_url
from django.template.loader import render_to_string
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import get_language, gettext_lazy

from portal.accounts.models import User
from portal.core import letters

# Where a page outside the sign-in pages wants a person to go on once they are in.
AFTER_SIGN_IN = "after_sign_in"


class AccountAdapter(DefaultAccountAdapter):
    """Sign-in by code. Anybody may have an account; without a role it opens nothing.

    Closing sign-up to strangers would tell them who has asked for an audit, so it stays open:
    a person without roles sees a page saying how to ask for one.
    """

    error_messages = {
        **DefaultAccountAdapter.error_messages,
        "incorrect_code": gettext_lazy(
            "That is not the code in our latest e-mail. Look again, or have a new one sent."
        ),
        "too_many_login_attempts": gettext_lazy(
            "That was tried too often. Wait a few minutes, then try again."
        ),
        "rate_limited": gettext_lazy("That was tried too often. Wait a minute, then try again."),
    }

    def send_mail(self, template_prefix: str, email: str, context: dict[str, Any]) -> None:
        """Post the letter through the letter book; a code in it is forgotten once sent."""
        words = {"email": email, "site_url": settings.SITE_URL, **context}
        letters.post(
            to=email,
            subject=render_to_string(f"{template_prefix}_subject.txt", words),
            body=render_to_string(f"{template_prefix}_message.txt", words).strip() + "\n",
            # Each code is a letter of its own, so there is nothing to be sent only once.
            key=f"sign-in:{uuid.uuid4()}",
            template=template_prefix,
            language=get_language() or "en",
            is_secret=True,
        )

    def send_account_already_exists_mail(self, email: str) -> None:
        """Tell the owner of an address that somebody tried to sign up with it."""
        self.send_mail("account/email/account_already_exists", email, {})

    def clean_email(self, email: str) -> str:
        """Addresses are kept in lower case."""
        return email.strip().lower()

    def save_user(
        self, request: HttpRequest, user: User, form: BaseForm, commit: bool = True
    ) -> User:
        """Keep the language the person signs up in."""
        user.language = get_language() or "en"
        return super().save_user(request, user, form, commit)

    def get_login_redirect_url(self, request: HttpRequest) -> str:
        """Back to where the person was going, else to the first page."""
        wanted = request.session.pop(AFTER_SIGN_IN, "")
        if wanted and url_has_allowed_host_and_scheme(wanted, allowed_hosts=None):
            return wanted
        return resolve_url(settings.LOGIN_REDIRECT_URL)

    def get_signup_redirect_url(self, request: HttpRequest) -> str:
        """The same place as after signing in."""
        return self.get_login_redirect_url(request)
