"""Taking files in: checked by content and size, stored under a random name with their hash."""

import hashlib
import io
from typing import BinaryIO

from django.core.files.base import ContentFile
from django.utils.translation import gettext as _

from portal.core import clock
from portal.core.actors import Actor
from portal.core.errors import ValuesRefused
from portal.core.models import StoredFile

PHOTO_TYPES = {"JPEG": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp"}
PHOTO_LIMIT_BYTES = 15 * 1024 * 1024
DOCUMENT_LIMIT_BYTES = 10 * 1024 * 1024
NAME_LIMIT = 200


def _read_within(upload: BinaryIO, *, limit_bytes: int, field: str) -> bytes:
    content = upload.read(limit_bytes + 1)
    if not content:
        message = _("The file is empty. Choose the file again.")
        raise ValuesRefused(message, code="file_empty", fields={field: message})
    if len(content) > limit_bytes:
        message = _("The file is larger than %(limit)d MB.") % {
            "limit": limit_bytes // (1024 * 1024)
        }
        raise ValuesRefused(message, code="file_too_large", fields={field: message})
    return content


def clean_name(name: str | None) -> str:
    """The sender's file name as a label only: no path, no control characters."""
    last = (name or "").replace("\\", "/").rsplit("/", 1)[-1]
    kept = "".join(character for character in last if character.isprintable()).strip()
    return kept[-NAME_LIMIT:] or "file"


def store_bytes(
    content: bytes, *, name: str, media_type: str, actor: Actor, casefile_number: str = ""
) -> StoredFile:
    """Keep bytes the portal has made or has already checked."""
    stored = StoredFile(
        original_name=clean_name(name),
        media_type=media_type,
        size_bytes=len(content),
        sha256=hashlib.sha256(content).hexdigest(),
        casefile_number=casefile_number,
        stored_at=clock.now(),
        stored_by=actor.actor_label,
    )
    stored.content.save(stored.original_name, ContentFile(content), save=False)
    stored.save()
    return stored


def store_photo(
    upload: BinaryIO, *, name: str | None, actor: Actor, casefile_number: str, field: str = "photo"
) -> StoredFile:
    """Keep a photograph after looking at what is in it.

    Raises
    ------
    ValuesRefused
        Empty, over 15 MB, or not a JPEG, PNG or WebP picture.
    """
    from PIL import Image, UnidentifiedImageError

    content = _read_within(upload, limit_bytes=PHOTO_LIMIT_BYTES, field=field)
    try:
        with Image.open(io.BytesIO(content)) as picture:
            picture.verify()
            kind = picture.format or ""
    except (UnidentifiedImageError, OSError, SyntaxError, Image.DecompressionBombError):
        kind = ""
    if kind not in PHOTO_TYPES:
        message = _("This is not a photo the portal can read. Use JPEG, PNG or WebP.")
        raise ValuesRefused(message, code="file_not_a_photo", fields={field: message})
    return store_bytes(
        content,
        name=clean_name(name),
        media_type=PHOTO_TYPES[kind],
        actor=actor,
        casefile_number=casefile_number,
    )


def store_document(
    upload: BinaryIO,
    *,
    name: str | None,
    actor: Actor,
    casefile_number: str,
    field: str = "document",
) -> StoredFile:
    """Keep a PDF or a photograph of a paper (a quote, an invoice, a letter).

    Raises
    ------
    ValuesRefused
        Empty, too large, or neither a PDF nor a photograph.
    """
    content = _read_within(upload, limit_bytes=DOCUMENT_LIMIT_BYTES, field=field)
    if content.startswith(b"%PDF-"):
        return store_bytes(
            content,
            name=clean_name(name),
            media_type="application/pdf",
            actor=actor,
            casefile_number=casefile_number,
        )
    return store_photo(
        io.BytesIO(content),
        name=name,
        actor=actor,
        casefile_number=casefile_number,
        field=field,
    )
