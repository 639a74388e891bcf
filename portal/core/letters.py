"""Letters by e-mail: worded inside the transaction, sent by a job.

A letter's template is ``templates/letters/<template>.txt``; its first line reads
``Subject: ...`` and the rest is the body.
"""

from collections.abc import Mapping
from email.utils import parseaddr
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage
from django.db import transaction
from django.template import Context
from django.template.loader import get_template
from django.utils import translation

from portal.core import clock, jobs, languages
from portal.core.models import Letter

SEND = "letters.send"
SUBJECT_MARK = "Subject:"


def send(
    *,
    template: str,
    to: str,
    context: Mapping[str, Any],
    key: str,
    language: str = "en",
) -> Letter:
    """Word a letter from a template and have it sent; once per key.

    The context gains ``site_url``, the address links begin with. It comes in English while there
    is no complete catalog of the language asked for.
    """
    language = languages.for_letters(language)
    known = Letter.objects.filter(key=key).first()
    if known is not None:
        return known
    with translation.override(language):
        page = get_template(f"letters/{template}.txt")
        # A letter is plain text: an apostrophe in a name is not to arrive as an entity.
        text = page.template.render(  # type: ignore[attr-defined]  # Django's own engine
            Context({"site_url": settings.SITE_URL, **context}, autoescape=False)
        )
    subject, body = split_subject(text)
    return post(to=to, subject=subject, body=body, key=key, template=template, language=language)


def post(
    *,
    to: str,
    subject: str,
    body: str,
    key: str,
    template: str = "",
    language: str = "en",
    is_secret: bool = False,
) -> Letter:
    """Have a letter sent that is already worded; once per key.

    The words of a secret letter are forgotten once it is sent.
    """
    with transaction.atomic():
        letter, is_new = Letter.objects.get_or_create(
            key=key,
            defaults={
                "to": to,
                "subject": " ".join(subject.split())[:200],
                "body": body,
                "template": template,
                "language": language,
                "is_secret": is_secret,
            },
        )
        if is_new:
            jobs.enqueue(SEND, key=f"letter:{letter.pk}", letter_id=letter.pk)
    return letter


def split_subject(text: str) -> tuple[str, str]:
    """The subject line and the body of a rendered letter."""
    first, _, body = text.lstrip().partition("\n")
    if not first.startswith(SUBJECT_MARK) or not first[len(SUBJECT_MARK) :].strip():
        raise ValueError(f"a letter's first line must read “{SUBJECT_MARK} ...”")
    return first[len(SUBJECT_MARK) :].strip(), body.strip() + "\n"


@jobs.kind(SEND)
def deliver(args: dict[str, Any], ticket: jobs.Ticket) -> None:
    """Mail one letter.

    Mailing and marking cannot be one step: a worker killed between the two mails again, and
    the steady Message-ID lets the reader's program show one letter.
    """
    letter = Letter.objects.get(pk=args["letter_id"])
    domain = parseaddr(settings.DEFAULT_FROM_EMAIL)[1].rpartition("@")[2] or "localhost"
    EmailMessage(
        subject=letter.subject,
        body=letter.body,
        to=[letter.to],
        headers={"Message-ID": f"<letter-{letter.pk}-{letter.created_at:%Y%m%d%H%M%S}@{domain}>"},
    ).send()
    with ticket.finishing():
        letter.sent_at = clock.now()
        if letter.is_secret:
            letter.body = ""
        letter.save(update_fields=["sent_at", "body"])
