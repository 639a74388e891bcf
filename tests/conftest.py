"""What all tests share."""

from collections.abc import Iterator
from datetime import date, datetime

import pytest
from django.core.cache import cache

from portal.core import clock, fonts


@pytest.fixture(scope="session", autouse=True)
def _fonts() -> None:
    """The fonts pages and printed sheets are set in; made once, kept between runs."""
    fonts.fonts_make()


@pytest.fixture(autouse=True)
def _empty_cache() -> Iterator[None]:
    """Counters of one test must not hold up the next."""
    cache.clear()
    yield
    cache.clear()


@pytest.fixture
def march_2(db: None) -> Iterator[datetime]:
    """Monday, March 2, 2026, 9 a.m.; the rules of 2026 are in force."""
    moment = clock.local(date(2026, 3, 2), 9)
    with clock.at(moment):
        yield moment
