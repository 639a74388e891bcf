"""The two type families, cut down from their packages to the few files the portal serves.

Vollkorn (reading, headings) comes as a variable font and is fixed at 400 and 600; Barlow (figures,
labels, field and desk) comes as static files. Both are subset to Latin text and the signs of the
trade, written as WOFF2 under var/fonts/ and used by the pages and by the PDFs alike.
Both families are under the SIL Open Font License; its text is written beside the files.
"""

from __future__ import annotations

import hashlib
import os
from dataclasses import dataclass
from importlib import resources
from pathlib import Path

from django.conf import settings

# Raise when the recipe below changes: it is part of the stamp that says the work is done.
RECIPE = 1

# Basic Latin, Latin-1 (Spanish included), dashes, quotes, primes, fractions, minus, degree,
# comparison signs, subscripts of CO2, superscripts of ft² and m³, arrow.
UNICODES: tuple[int, ...] = (
    *range(0x20, 0x7F),
    *range(0xA0, 0x100),
    *(0x0131, 0x0152, 0x0153, 0x02C6, 0x02DA, 0x02DC),
    *(0x2009, 0x2010, 0x2011, 0x2012, 0x2013, 0x2014, 0x2018, 0x2019, 0x201A, 0x201C, 0x201D),
    *(0x2020, 0x2022, 0x2026, 0x202F, 0x2030, 0x2032, 0x2033, 0x2044, 0x20AC, 0x2082),
    *(0x2153, 0x2154, 0x215B, 0x215C, 0x215D, 0x215E, 0x2122, 0x2190, 0x2192),
    *(0x2212, 0x2215, 0x2219, 0x221E, 0x2248, 0x2260, 0x2264, 0x2265),
)

# tnum/lnum keep columns straight, smcp/c2sc give true small capitals for the group labels.
FEATURES: tuple[str, ...] = (
    "kern",
    "liga",
    "calt",
    "ccmp",
    "locl",
    "mark",
    "mkmk",
    "tnum",
    "lnum",
    "pnum",
    "smcp",
    "c2sc",
    "frac",
    "numr",
    "dnom",
    "sups",
    "subs",
    "case",
)


@dataclass(frozen=True)
class Face:
    """One font file the portal serves."""

    family: str
    weight: int
    style: str
    package: str
    source: str
    is_variable: bool

    @property
    def file_name(self) -> str:
        slant = "-italic" if self.style == "italic" else ""
        return f"{self.family.lower()}-{self.weight}{slant}.woff2"


FACES: tuple[Face, ...] = (
    Face("Vollkorn", 400, "normal", "fontpkg_vollkorn", "Vollkorn[wght].ttf", True),
    Face("Vollkorn", 600, "normal", "fontpkg_vollkorn", "Vollkorn[wght].ttf", True),
    Face("Vollkorn", 400, "italic", "fontpkg_vollkorn", "Vollkorn-Italic[wght].ttf", True),
    Face("Barlow", 400, "normal", "fontpkg_barlow", "Barlow-Regular.ttf", False),
    Face("Barlow", 600, "normal", "fontpkg_barlow", "Barlow-SemiBold.ttf", False),
)

STAMP = "made.txt"


def fonts_dir() -> Path:
    """Folder of the finished font files, a staticfiles folder with the prefix ``fonts``."""
    return Path(settings.FONTS_DIR)


def recipe_stamp() -> str:
    """Short digest of everything that decides what the files look like."""
    text = repr((RECIPE, UNICODES, FEATURES, FACES))
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def fonts_made(folder: Path) -> bool:
    """Whether every file is there and was made by this recipe. Opens no font."""
    return not _faces_to_make(folder)


def _faces_to_make(folder: Path) -> list[Face]:
    """The faces that are missing; all of them where another recipe was followed."""
    stamp = folder / STAMP
    if not stamp.is_file() or stamp.read_text().strip() != recipe_stamp():
        return list(FACES)
    return [face for face in FACES if not (folder / face.file_name).is_file()]


def fonts_make(folder: Path | None = None) -> list[Path]:
    """Make what is missing and return the files written; an empty list when all were there."""
    target = fonts_dir() if folder is None else folder
    faces = _faces_to_make(target)
    if not faces:
        return []
    target.mkdir(parents=True, exist_ok=True)
    written = [_face_make(face, target) for face in faces]
    for package in sorted({face.package for face in FACES}):
        license_text = resources.files(package).joinpath("LICENSE").read_text(encoding="utf-8")
        (target / f"{package.removeprefix('fontpkg_')}-license.txt").write_text(
            license_text, encoding="utf-8"
        )
    # The stamp comes last: a run that was cut short starts again.
    (target / STAMP).write_text(recipe_stamp() + "\n")
    return written


def _face_make(face: Face, folder: Path) -> Path:
    """Fix the weight, subset, and write one file; a reader never sees half a file."""
    # fontTools takes a third of a second to import, and the usual start has nothing to make.
    from fontTools.subset import Options, Subsetter
    from fontTools.ttLib import TTFont
    from fontTools.varLib.instancer import instantiateVariableFont

    source = resources.files(face.package).joinpath("files", face.source)
    with resources.as_file(source) as path:
        font = TTFont(path, recalcTimestamp=False)
        if face.is_variable:
            font = instantiateVariableFont(font, {"wght": face.weight}, updateFontNames=False)
        options = Options()
        options.layout_features = list(FEATURES)
        options.flavor = "woff2"
        options.hinting = False
        options.notdef_outline = True
        options.name_IDs = [0, 1, 2, 13, 14]
        subsetter = Subsetter(options)
        subsetter.populate(unicodes=UNICODES)
        subsetter.subset(font)
        font.flavor = "woff2"
        target = folder / face.file_name
        part = target.with_suffix(f".{os.getpid()}.part")
        font.save(part)
        part.replace(target)
    return target


def print_faces_css(folder: Path | None = None) -> str:
    """The ``@font-face`` rules with file addresses, for WeasyPrint, which has no server."""
    base = fonts_dir() if folder is None else folder
    return "\n".join(
        f'@font-face{{font-family:"{face.family}";font-weight:{face.weight};'
        f"font-style:{face.style};"
        f'src:url("{(base / face.file_name).resolve().as_uri()}") format("woff2")}}'
        for face in FACES
    )
