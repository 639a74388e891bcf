"""Which languages pages and letters come in, and which people may ask to be spoken to in."""

import re
from pathlib import Path

from django.conf import settings
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

Language = tuple[str, str | Promise]

SOURCE: Language = ("en", _("English"))
# What somebody may prefer for calls and the visit. Interpreters come for these.
SPOKEN: tuple[Language, ...] = (SOURCE, ("es", _("Spanish")))


def written(folder: Path) -> list[Language]:
    """The languages of pages and letters: English, and each whose catalog is complete.

    A catalog half done would mix two languages on one page.

    Parameters
    ----------
    folder : Path
        Where catalogs lie, ``<folder>/es/LC_MESSAGES/django.po`` and the compiled ``django.mo``.
    """
    return [one for one in SPOKEN if one == SOURCE or is_complete(folder, one[0])]


def is_complete(folder: Path, code: str) -> bool:
    """Whether a catalog is there and compiled, with every entry translated and none in doubt."""
    catalog = folder / code / "LC_MESSAGES" / "django.po"
    if not (catalog.is_file() and catalog.with_suffix(".mo").is_file()):
        return False
    _heading, *entries = _entries(catalog.read_text(encoding="utf-8"))
    return bool(entries) and not any(_is_open(entry) for entry in entries)


def _entries(text: str) -> list[str]:
    """The parts of a catalog; what was taken out of use stays in it as a comment."""
    parts = re.split(r"\n\s*\n", text.strip())
    return [part for part in parts if re.search(r"^msgid ", part, re.MULTILINE)] or [""]


def _is_open(entry: str) -> bool:
    is_in_doubt = re.search(r"^#,.*\bfuzzy\b", entry, re.MULTILINE)
    is_empty = re.search(r'^msgstr(\[\d\])? ""\n(?!")', f"{entry}\n", re.MULTILINE)
    return bool(is_in_doubt or is_empty)


def for_letters(wished: str) -> str:
    """The language a letter to somebody comes in."""
    return wished if wished in dict(settings.LANGUAGES) else settings.LANGUAGE_CODE
