"""Frozen reports: the stored bytes, what is in the PDF, and how the page agrees with them."""

import hashlib
import io
import re
from collections.abc import Iterator

import pikepdf
import pypdf
import pytest
from pytest_django import DjangoDbBlocker
from weasyprint.urls import FatalURLFetchingError

from portal.core import jobs
from portal.core.models import Letter
from portal.core.money import whole_usd
from portal.modeling import selectors as modeling
from portal.reports import printing, services
from portal.reports.models import Report
from portal.reports.states import ReportKind, ReportState
from tests.factories import intake
from tests.journeys import homes

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def home(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[homes.Walked]:
    """A home with its report, and a scope on paper."""
    with homes.kept_for_a_module(django_db_blocker, prints=True):
        with django_db_blocker.unblock():
            made = homes.reserved(homes.sent(homes.planned(homes.audited())))
        yield made


def bytes_of(report: Report) -> bytes:
    assert report.file is not None
    with report.file.content.open("rb") as paper:
        content: bytes = paper.read()
    return content


@pytest.fixture(params=[ReportKind.OWNER, ReportKind.SCOPE])
def paper(request: pytest.FixtureRequest, home: homes.Walked) -> Report:
    return Report.objects.get(casefile=home.casefile, kind=request.param)


def test_a_paper_is_a_tagged_pdf_with_title_and_language(paper: Report) -> None:
    """What PDF/UA-1 (ISO 14289-1) asks of the catalogue; the rest is a checker's business."""
    with pikepdf.open(io.BytesIO(bytes_of(paper))) as pdf:
        assert pdf.Root.MarkInfo.Marked
        assert "/StructTreeRoot" in pdf.Root
        assert str(pdf.Root.Lang).startswith("en")
        assert pdf.Root.ViewerPreferences.DisplayDocTitle
        with pdf.open_metadata() as metadata:
            assert str(metadata["pdfuaid:part"]) == "1"
            assert metadata["dc:title"]
        assert len(pdf.pages) >= 1


def test_every_font_of_a_paper_is_in_it(paper: Report) -> None:
    with pikepdf.open(io.BytesIO(bytes_of(paper))) as pdf:
        fonts = [
            one
            for one in pdf.objects
            if isinstance(one, pikepdf.Dictionary) and one.get("/Type") == "/FontDescriptor"
        ]
        names = {str(font.FontName) for font in fonts}
        assert len(fonts) >= 2
        for font in fonts:
            assert any(key in font for key in ("/FontFile", "/FontFile2", "/FontFile3")), font
    assert any("Barlow" in name for name in names), names
    assert any("Vollkorn" in name for name in names), names


def test_a_paper_can_be_found_through_by_bookmarks(paper: Report) -> None:
    reader = pypdf.PdfReader(io.BytesIO(bytes_of(paper)))
    flat = [entry for entry in reader.outline if not isinstance(entry, list)]
    assert flat, "no bookmarks"
    text = "".join(page.extract_text() for page in reader.pages)
    assert "14 Larch" in text
    assert not re.search(r"\{\{|\{%|\bnan\b|\binf\b", text)


def test_the_stored_fingerprint_is_that_of_the_bytes(paper: Report) -> None:
    assert paper.file is not None
    assert paper.file.sha256 == hashlib.sha256(bytes_of(paper)).hexdigest()
    assert paper.template_version == services.template_version()
    assert paper.state == ReportState.READY


def test_a_later_correction_changes_no_frozen_paper(home: homes.Walked) -> None:
    before = {
        report.pk: (bytes_of(report), report.content) for report in Report.objects.select_related()
    }
    attic = home.record.items.get(group="attics", removed_at__isnull=True)
    intake.save(
        home.record,
        "attic",
        {"vermiculite": "yes"},
        item_key=str(attic.key),
        why_changed="Seen under the batts on the second look.",
    )
    jobs.drain()
    for pk, (content, words) in before.items():
        report = Report.objects.get(pk=pk)
        assert bytes_of(report) == content
        assert report.content == words


def test_printing_a_ready_report_again_changes_nothing(home: homes.Walked) -> None:
    report = Report.objects.get(casefile=home.casefile, kind=ReportKind.OWNER)
    assert report.run is not None
    again = services.owner_report_queue(run=report.run)
    assert again == report
    assert jobs.drain() == 0
    assert Report.objects.filter(kind=ReportKind.OWNER).count() == 1


def test_the_household_is_written_to_once(home: homes.Walked) -> None:
    report = Report.objects.get(casefile=home.casefile, kind=ReportKind.OWNER)
    services.report_announce(report_id=report.pk)
    letter = Letter.objects.get(template="report_ready")
    assert letter.to == home.owner.email
    assert home.casefile.number in letter.body


def test_the_report_says_what_the_run_found(home: homes.Walked) -> None:
    report = Report.objects.get(casefile=home.casefile, kind=ReportKind.OWNER)
    assert report.run is not None
    analysis = modeling.analysis_of(report.run)
    by_id = {item.id: item for item in analysis.measures}
    steps = [by_id[name].saving for name in analysis.package.measure_ids]
    total = sum(step.cost_usd for step in steps if step)
    assert whole_usd(total) in report.content["total_words"]
    acts = [*report.content["first"], *report.content["soon"]]
    assert len(acts) > 2
    assert report.content["leave"], "every report says what to leave alone"


def test_a_report_that_cannot_be_made_says_so(
    home: homes.Walked, monkeypatch: pytest.MonkeyPatch
) -> None:
    run = home.casefile.model_runs.filter(purpose="audit").first()
    Report.objects.filter(kind=ReportKind.OWNER).delete()
    report = services.owner_report_queue(run=run)
    assert report is not None
    services.report_fail(report_id=report.pk, error="LayoutError")
    report.refresh_from_db()
    assert report.state == ReportState.FAILED
    services.report_fail(report_id=report.pk, error="again")


@pytest.mark.parametrize("address", ["http://192.0.2.1/a.png", "file:///etc/passwd"])
def test_a_printed_page_fetches_nothing(address: str) -> None:
    with pytest.raises(FatalURLFetchingError):
        printing.pdf_of(f'<html lang="en"><title>A</title><img alt="" src="{address}"></html>')
