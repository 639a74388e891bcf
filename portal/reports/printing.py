"""From a page to a tagged PDF (PDF/UA-1), with nothing fetched from anywhere."""

from typing import Any

from django.conf import settings
from weasyprint import HTML
from weasyprint.urls import URLFetcher

VARIANT = "pdf/ua-1"


class FetchRefused(ValueError):
    """A printed page asked for something outside itself."""


class OwnFilesOnly(URLFetcher):
    """Reads what is inlined and the fonts made beside the portal; nothing else."""

    def fetch(self, url: str, headers: Any = None) -> Any:
        """Fetch one address, or refuse it."""
        if url.startswith(("data:", settings.FONTS_DIR.as_uri())):
            return super().fetch(url, headers)
        raise FetchRefused(f"A printed page may not fetch {url.partition(':')[0]}: addresses.")


def pdf_of(html: str) -> bytes:
    """The page as a tagged PDF with title, language and bookmarks.

    Fonts must lie ready: the ``fonts`` command makes them. A picture or a font that cannot be
    read stops the printing, so that no sheet is frozen without it.
    """
    fetcher = OwnFilesOnly(fail_on_errors=True)
    pdf: bytes = HTML(string=html, url_fetcher=fetcher).write_pdf(pdf_variant=VARIANT)
    return pdf
