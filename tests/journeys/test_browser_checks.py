"""The looking-over of pages finds what is wrong with one that is made badly on purpose."""

from collections.abc import Iterator
from typing import Any

import pytest

from tests.journeys import browser as browsing
from tests.journeys.browser import Visitor, code_in

pytestmark = [
    pytest.mark.browser,
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(bool(browsing.MISSING), reason=browsing.MISSING or "there"),
]

BAD_PAGE = """<html lang="en"><head><title>Bad</title></head><body><main><h1>Bad</h1>
<p style="color: #ddd; background: #fff">Words nobody can read</p>
<div style="width: 900px">Too wide for a telephone</div>
<input type="text"><img src="/static/nothing.png">
<a href="/nowhere/">Nowhere</a> <a href="#nothing">Nothing</a> {{ left.over }}
<script>console.error("broken"); undefinedName();</script></main></body></html>"""


@pytest.fixture
def visitor(live_server: Any, monkeypatch: pytest.MonkeyPatch) -> Iterator[Visitor]:
    monkeypatch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "1")
    with browsing.chromium() as browser:
        yield Visitor(browser, live_server.url)


def test_a_bad_page_is_told_in_every_respect(visitor: Visitor) -> None:
    visitor.page.route(
        "**/bad/", lambda route: route.fulfill(content_type="text/html", body=BAD_PAGE)
    )
    visitor.go("/bad/")
    told = "\n".join(visitor.faults)
    for expected in (
        "console error: broken",
        "script: ",
        "nothing.png: 404",
        "scrolls sideways at 360 px",
        "color-contrast",
        "label: ",
        "image-alt",
        "dead link",
        "nothing is called #nothing",
        "“{{” on the page",
    ):
        assert expected in told, f"{expected}\n---\n{told}"


def test_the_front_page_has_no_fault(visitor: Visitor) -> None:
    visitor.go("/")
    assert visitor.faults == []
    assert len(visitor.followed) > 1


def test_a_code_is_read_from_its_letter() -> None:
    assert code_in("Type this code:\n\n    AB12-CD34\n\nIt works once.") == "AB12-CD34"
    assert code_in("No code here, only WORDS.") is None
