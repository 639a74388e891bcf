"""Every figure of a report has its derivation, and the derivation has its number."""

import re
from collections.abc import Iterator
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoDbBlocker

from portal.core.money import whole_usd
from portal.modeling import selectors as modeling
from portal.reports import figures
from portal.reports.models import Report
from portal.reports.states import ReportKind
from tests.journeys import homes

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def home(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[homes.Walked]:
    with homes.kept_for_a_module(django_db_blocker, prints=False):
        with django_db_blocker.unblock():
            made = homes.audited()
        yield made


@pytest.fixture
def report(home: homes.Walked) -> Report:
    return Report.objects.get(casefile=home.casefile, kind=ReportKind.OWNER)


def test_every_figure_of_the_report_has_a_derivation(report: Report) -> None:
    """Walks all that shows a digit; a new figure without a line in the table fails here."""
    known = {item["key"] for item in report.content["derivations"]}
    shown = [
        (path, text)
        for path, text in figures.figures_of(report.content)
        if not figures.is_exempt(path)
    ]
    assert len(shown) > 40
    for path, text in shown:
        keys = figures.keys_of(path, report.content)
        assert keys, f"{path} shows {text!r} and nothing says how it was made"
        assert set(keys) <= known, (path, sorted(set(keys) - known))


def test_a_figure_nobody_knows_fails(report: Report) -> None:
    content = {**report.content, "acorns": "37 acorns"}
    path = next(path for path, text in figures.figures_of(content) if "acorns" in text)
    assert not figures.is_exempt(path)
    assert figures.keys_of(path, content) is None


def test_a_derivation_lost_is_noticed(report: Report) -> None:
    life = f"life:{report.content['first'][0]['id']}"
    made = [d for d in report.content["derivations"] if d["key"] != life]
    content = {**report.content, "derivations": made}
    keys = figures.keys_of("first.0.lasts", content)
    assert keys is not None
    assert not set(keys) <= {d["key"] for d in made}


def test_figures_are_those_of_the_run(report: Report) -> None:
    assert report.run is not None
    analysis = modeling.analysis_of(report.run)
    saving = analysis.package.saving
    assert whole_usd(saving.cost_usd) in report.content["total_words"]
    shown = 0
    for act in [*report.content["first"], *report.content["soon"]]:
        item = analysis.measure(act["id"])
        assert item.saving is not None
        likely = int(re.findall(r"\$([\d,]+)", act["saves"])[-1].replace(",", ""))
        signed = likely if item.saving.cost_usd >= 0 else -likely
        assert abs(signed - item.saving.cost_usd) <= 1.0, act["id"]
        shown += signed
        if item.saving.cost_usd > 1:
            assert whole_usd(item.saving.cost_low_usd) in act["saves"], act["id"]
    # To the last digit shown: the lines add up to what stands below them.
    assert whole_usd(shown) == whole_usd(saving.cost_usd)


def test_the_appendix_names_what_is_not_sure(report: Report) -> None:
    rows = report.content["ranges"]["rows"]
    assert len(rows) > 10
    assert all(row["source"] and row["how"] and row["spread"] for row in rows)
    assert any(row["how"] == "measured" for row in rows)
    assert any(row["how"] == "assumed" for row in rows)
    parts = [int(m.group()) for row in rows if (m := re.match(r"\d+", row["part"]))]
    assert parts == sorted(parts, reverse=True)
    assert 90 <= sum(parts) <= 110


def test_the_page_leads_to_how_it_knows(client: Client, home: homes.Walked, report: Report) -> None:
    client.force_login(home.owner)
    page = client.get(reverse("reports:owner", args=[home.casefile.number])).content.decode()
    assert "What is not sure" in page
    for act in report.content["first"]:
        address = reverse("reports:derivation", args=[home.casefile.number, act["made_of"]])
        assert address in page
        made = client.get(address)
        assert made.status_code == 200
    body: dict[str, Any] = {d["key"]: d for d in report.content["derivations"]}
    cost = body["annual_cost"]["value"]
    assert cost.startswith("$")
    assert f"{cost}" in page
