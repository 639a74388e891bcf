"""What all tests share."""

from collections import Counter
from collections.abc import Iterator
from datetime import date, datetime

import pytest
from django.core.cache import cache

from portal.core import clock, fonts

# A test marked so counts as many plain ones when files are lined up; a rough guess serves.
WEIGHTS = {"browser": 2000, "slow": 50}


def weight(item: pytest.Item) -> int:
    """How long a test takes, beside others."""
    return max([1, *(heavy for name, heavy in WEIGHTS.items() if item.get_closest_marker(name))])


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """With several processes the long files first: none is left working on one at the end."""
    if not hasattr(config, "workerinput"):
        return
    weights: Counter[object] = Counter()
    for item in items:
        weights[item.path] += weight(item)
    items.sort(key=lambda item: (-weights[item.path], item.path))


def pytest_sessionstart(session: pytest.Session) -> None:
    """Make the fonts of pages and printed sheets once, before processes start that need them."""
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
