"""What a browser is told it may load."""

import pytest
from django.http import HttpRequest, HttpResponse

from portal.core.middleware import ContentPolicyMiddleware


@pytest.mark.parametrize("media_type", ["image/png", "image/jpeg"])
def test_picture_alone_may_be_laid_out_but_runs_nothing(media_type: str) -> None:
    policy = policy_of(HttpResponse(b"", content_type=media_type))
    assert "default-src 'none'" in policy
    assert "style-src 'unsafe-inline'" in policy
    assert "script-src" not in policy


@pytest.mark.parametrize(
    "media_type", ["text/html; charset=utf-8", "application/pdf", "text/plain"]
)
def test_pages_keep_to_this_server_and_write_no_style(media_type: str) -> None:
    policy = policy_of(HttpResponse(b"", content_type=media_type))
    assert "default-src 'self'" in policy
    assert "unsafe-inline" not in policy


def policy_of(answer: HttpResponse) -> str:
    return ContentPolicyMiddleware(lambda request: answer)(HttpRequest()).headers[
        "Content-Security-Policy"
    ]
