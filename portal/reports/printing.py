"""From a page to a tagged PDF (PDF/UA-1), with nothing fetched from anywhere."""

from typing import Any

from django.conf import settings

VARIANT = "pdf/ua-1"


class FetchRefused(ValueError):
    """A printed page asked for something outside itself."""


def _fetch(url: str, *args: Any, **kwargs: Any) -> Any:
    """Only what is inlined and the fonts beside us may be read."""
    from weasyprint.urls import default_url_fetcher

    if url.startswith("data:") or url.startswith(settings.VAR_DIR.as_uri()):
        return default_url_fetcher(url, *args, **kwargs)
    raise FetchRefused(f"A printed page may not fetch {url.partition(':')[0]}: addresses.")


def pdf_of(html: str) -> bytes:
    """The page as a tagged PDF with title, language and bookmarks.

    Fonts must lie ready: the ``fonts`` command makes them.
    """
    from weasyprint import HTML

    pdf: bytes = HTML(string=html, url_fetcher=_fetch).write_pdf(pdf_variant=VARIANT)
    return pdf
