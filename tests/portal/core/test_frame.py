"""The frame and the error pages: no database, no framework's own face."""

from __future__ import annotations

import pytest
from django.template.loader import render_to_string
from django.test import RequestFactory
from pytest_django import Settings

from portal.core import languages


@pytest.mark.parametrize("name", ["400.html", "403.html", "403_csrf.html", "404.html", "500.html"])
def test_error_pages_are_finished_without_request_or_database(name: str) -> None:
    # Without the database mark any query fails the test.
    page = render_to_string(name)
    assert page.count("<h1") == 1
    assert "If you smell gas or an alarm sounds: leave, then call 911." in page
    assert "555-0142" in page
    assert 'href="/"' in page


def test_the_frame_offers_other_languages_and_the_way_past_the_masthead(
    settings: Settings,
) -> None:
    settings.LANGUAGES = languages.SPOKEN
    page = render_to_string("404.html", request=RequestFactory().get("/nowhere?x=1"))
    assert '<html lang="en">' in page
    assert 'href="#main"' in page
    assert "Español" in page
    assert 'name="next" value="/nowhere?x=1"' in page
    settings.LANGUAGES = [languages.SOURCE]
    page = render_to_string("404.html", request=RequestFactory().get("/nowhere?x=1"))
    assert 'href="#main"' in page
    assert "Español" not in page
    assert 'name="language"' not in page


def test_no_template_carries_style_that_the_content_policy_refuses() -> None:
    page = render_to_string("404.html", request=RequestFactory().get("/"))
    assert " style=" not in page
    assert "<script>" not in page
