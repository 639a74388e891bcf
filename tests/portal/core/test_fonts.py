"""The font files: made once, with the letters, figures and small capitals the pages need."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from portal.core import fonts


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of what this run has made, or found made by the same recipe."""
    copied = tmp_path_factory.mktemp("fonts") / "fonts"
    shutil.copytree(fonts.fonts_dir(), copied)
    return copied


def test_every_face_is_made_and_small(folder: Path) -> None:
    sizes = {face.file_name: (folder / face.file_name).stat().st_size for face in fonts.FACES}
    assert len(sizes) == 5
    assert all(4_000 < size < 45_000 for size in sizes.values()), sizes


def test_a_second_run_makes_nothing(folder: Path) -> None:
    before = {path.name: path.stat().st_mtime_ns for path in folder.iterdir()}
    assert fonts.fonts_make(folder) == []
    assert {path.name: path.stat().st_mtime_ns for path in folder.iterdir()} == before


def test_a_missing_file_alone_is_made_again_and_comes_out_the_same(folder: Path) -> None:
    path = folder / fonts.FACES[-1].file_name
    glyphs = TTFont(path).getGlyphOrder()
    path.unlink()
    assert not fonts.fonts_made(folder)
    assert fonts.fonts_make(folder) == [path]
    assert fonts.fonts_made(folder)
    assert TTFont(path).getGlyphOrder() == glyphs


def test_another_recipe_has_all_made_anew(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    made = []
    monkeypatch.setattr(fonts, "RECIPE", -1)
    monkeypatch.setattr(fonts, "_face_make", lambda face, _folder: made.append(face))
    assert not fonts.fonts_made(folder)
    fonts.fonts_make(folder)
    assert made == list(fonts.FACES)
    assert fonts.fonts_made(folder)
    monkeypatch.undo()
    assert not fonts.fonts_made(folder)
    (folder / fonts.STAMP).write_text(fonts.recipe_stamp())


@pytest.mark.parametrize("face", fonts.FACES, ids=lambda face: face.file_name)
def test_faces_hold_the_signs_and_features_of_the_trade(folder: Path, face: fonts.Face) -> None:
    font = TTFont(folder / face.file_name)
    characters = font.getBestCmap()
    for sign in "AZaz09$½¼¾²³°×−–’“”ñáéíóúü¿¡≤≥≈·":
        assert ord(sign) in characters, sign
    features = {record.FeatureTag for record in font["GSUB"].table.FeatureList.FeatureRecord}
    assert "tnum" in features
    # The family has no small capitals in italic; the pages use none.
    assert "smcp" in features or face.style == "italic"
    assert "fvar" not in font


def test_weights_differ(folder: Path) -> None:
    light, heavy = (TTFont(folder / f"vollkorn-{weight}.woff2") for weight in (400, 600))
    assert light["hmtx"]["n"][0] < heavy["hmtx"]["n"][0]


def test_print_faces_name_files_that_are_there(folder: Path) -> None:
    css = fonts.print_faces_css(folder)
    assert css.count("@font-face") == len(fonts.FACES)
    for face in fonts.FACES:
        assert (folder / face.file_name).as_uri() in css
