"""Mail of the demo and of development: letters as files a mail program can open."""

import re
import uuid
from collections.abc import Sequence
from pathlib import Path

from django.conf import settings
from django.core.mail import EmailMessage
from django.core.mail.backends.base import BaseEmailBackend

from portal.core import clock


class FolderBackend(BaseEmailBackend):
    """Writes each letter into ``settings.EMAIL_FOLDER``, named by day and subject."""

    def send_messages(self, email_messages: Sequence[EmailMessage]) -> int:
        """Write the letters; how many were written."""
        folder = Path(settings.EMAIL_FOLDER)
        folder.mkdir(parents=True, exist_ok=True)
        for message in email_messages:
            (folder / letter_file_name(message)).write_bytes(message.message().as_bytes())
        return len(email_messages)


def letter_file_name(message: EmailMessage) -> str:
    """A file name that sorts by time and tells the subject."""
    words = re.sub(r"[^a-z0-9]+", "-", str(message.subject).lower()).strip("-")[:50]
    at = clock.now().astimezone(clock.PROGRAM_TIME_ZONE)
    return f"{at:%Y-%m-%d-%H%M%S}-{words or 'letter'}-{uuid.uuid4().hex[:6]}.eml"
