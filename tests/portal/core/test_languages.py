"""A language is offered only when nothing of it is missing."""

from pathlib import Path

import pytest
from django.conf import settings

from portal.core import languages

HEADING = 'msgid ""\nmsgstr ""\n"Content-Type: text/plain; charset=UTF-8\\n"\n'
WHOLE = """
#: templates/a.html
msgid "Sign in"
msgstr "Iniciar sesión"

msgid "%(count)d home"
msgid_plural "%(count)d homes"
msgstr[0] "%(count)d casa"
msgstr[1] "%(count)d casas"

msgid "A long one"
msgstr ""
"Una frase "
"larga"

#~ msgid "Gone"
#~ msgstr ""
"""
COMPILED = b"\xde\x12\x04\x95"


def keep(folder: Path, text: str, *, is_compiled: bool = True) -> None:
    catalog = folder / "es" / "LC_MESSAGES" / "django.po"
    catalog.parent.mkdir(parents=True)
    catalog.write_text(text, encoding="utf-8")
    if is_compiled:
        catalog.with_suffix(".mo").write_bytes(COMPILED)


def test_a_whole_catalog_is_offered(tmp_path: Path) -> None:
    keep(tmp_path, HEADING + WHOLE)
    assert [code for code, _name in languages.written(tmp_path)] == ["en", "es"]


@pytest.mark.parametrize(
    ("text", "is_compiled"),
    [
        (HEADING + WHOLE, False),
        (HEADING, True),
        ("", True),
        (HEADING + WHOLE + '\nmsgid "New"\nmsgstr ""\n', True),
        (HEADING + WHOLE + '\n#, python-format, fuzzy\nmsgid "New"\nmsgstr "Nuevo"\n', True),
        (HEADING + WHOLE.replace('msgstr[1] "%(count)d casas"', 'msgstr[1] ""'), True),
    ],
)
def test_one_with_a_gap_is_not(tmp_path: Path, text: str, is_compiled: bool) -> None:
    keep(tmp_path, text, is_compiled=is_compiled)
    assert languages.written(tmp_path) == [languages.SOURCE]


def test_without_a_catalog_there_is_english(tmp_path: Path) -> None:
    assert languages.written(tmp_path / "nowhere") == [languages.SOURCE]
    assert languages.written(settings.LOCALE_PATHS[0]) == settings.LANGUAGES


def test_a_letter_comes_in_a_language_that_is_there() -> None:
    assert languages.for_letters("en") == "en"
    assert languages.for_letters("xx") == settings.LANGUAGE_CODE
