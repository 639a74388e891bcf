"""Reading uploaded files; no database is needed.

``read`` takes the bytes of a field-record file (JSON) or of an HPXML file and gives checked
values, or refuses with every reason.
"""

from typing import BinaryIO

from django.utils.translation import gettext as _

from portal.intake.document import Document
from portal.intake.uploads import json_file
from portal.intake.uploads.reading import (
    FILE_LIMIT_BYTES,
    Fault,
    Reading,
    ReadItem,
    UploadRefused,
)

BYTE_ORDER_MARKS = (b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff")


def read_bytes(upload: BinaryIO | None, *, name: str = "") -> bytes:
    """The bytes of an upload, never more than the limit.

    Raises
    ------
    UploadRefused
        No file, an empty one, or one too large.
    """
    # An empty upload is a false value, so absence is asked for by name.
    if upload is None:
        raise UploadRefused([Fault("file", _("Choose a file."))], name=name)
    content = upload.read(FILE_LIMIT_BYTES + 1)
    if not content:
        raise UploadRefused([Fault("file", _("The file is empty."))], name=name)
    if len(content) > FILE_LIMIT_BYTES:
        raise UploadRefused([Fault("file", _("The file is larger than 5 MB."))], name=name)
    return content


def read(content: bytes, *, name: str = "") -> Reading:
    """Read a file of either kind, told apart by what is in it, not by its name.

    Raises
    ------
    UploadRefused
        Neither JSON nor HPXML, or anything in it that cannot be right.
    """
    from portal.intake import hpxml

    start = content[:4]
    if start == b"PK\x03\x04":
        raise UploadRefused(
            [Fault("file", _("This is a ZIP archive. Unpack it and choose the file inside."))],
            name=name,
        )
    body = content.lstrip()
    if start[:2] in BYTE_ORDER_MARKS or start[:3] in BYTE_ORDER_MARKS:
        body = content[3:].lstrip() if start[:3] in BYTE_ORDER_MARKS else content
    if body[:1] in (b"{", b"["):
        return json_file.read(content, name=name)
    if body[:1] == b"<" or start[:2] in BYTE_ORDER_MARKS:
        return hpxml.read(content, name=name)
    if not body:
        raise UploadRefused([Fault("file", _("The file is empty."))], name=name)
    raise UploadRefused(
        [Fault("file", _("This is neither a field record in JSON nor an HPXML file."))], name=name
    )


def document_of(content: bytes, *, name: str = "") -> Document:
    """The record document of a file, without a database.

    Raises
    ------
    UploadRefused
    """
    return read(content, name=name).document()


__all__ = [
    "FILE_LIMIT_BYTES",
    "Fault",
    "ReadItem",
    "Reading",
    "UploadRefused",
    "document_of",
    "read",
    "read_bytes",
]
