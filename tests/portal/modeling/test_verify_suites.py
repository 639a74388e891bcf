"""``verify --suite``: the two public suites as a table."""

from __future__ import annotations

import re
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from calcs.suites import fabric, residential
from tests.calcs.buildings import SHARED_WEATHER, shared_weather


def test_absent_weather_is_said_with_the_file_that_is_missing(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match=r"the suites' weather is absent: .*725650-tmy3"):
        call_command("verify", "--suite", "--weather", str(tmp_path), stdout=StringIO())


def test_both_suites_are_printed_with_their_options_and_every_case() -> None:
    shared_weather(fabric.WEATHER_FILE)
    out = StringIO()
    call_command("verify", "--suite", "--weather", str(SHARED_WEATHER), stdout=out)
    text = out.getvalue()

    for suite in (fabric, residential):
        heading = next(line for line in text.splitlines() if line.startswith(suite.HEADING))
        assert f"one set of options for all cases: {suite.OPTIONS}" in heading
    for case in ("600", "985", "960", "450", "L155AL", "L324XC"):
        assert re.search(rf"^ .* {case} +annual_", text, flags=re.M), case
    # Without a published range a case is printed all the same.
    assert re.search(r"985 +annual_heating_mwh +[\d.]+  no published range", text)
    counts = [tuple(map(int, found)) for found in re.findall(r"(\d+) inside, (\d+) outside", text)]
    assert [sum(count) for count in counts] == [438, 28, 42]
    # The second suite goes by no organization's name on a screen.
    assert not re.search(r"resnet|bestest|hers\b", text, flags=re.I)
