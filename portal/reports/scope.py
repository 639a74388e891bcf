"""The work scope on paper: a sheet to read and a sheet to fill in."""

from typing import Any

from django.utils.translation import gettext as _

from portal.core.templatetags.words import day
from portal.intake import selectors as intake
from portal.intake.document import Reader
from portal.modeling import selectors as modeling
from portal.reports.drawing import ScopeMark, draw_section
from portal.reports.section_input import part_key, section_input
from portal.works import scope_page
from portal.works.models import WorkScope

# Place of a measure -> part of the drawing that carries its number.
PLACES = {
    "attic_floor", "attic_access", "walls", "rim_joist", "foundation", "ducts", "windows_doors",
    "chimney",
}  # fmt: skip


def build(work_scope: WorkScope) -> dict[str, Any]:
    """Everything the paper shows, as plain JSON."""
    request = work_scope.award.request
    run = request.run
    lines = list(work_scope.lines.prefetch_related("proofs").order_by("order"))
    drawing = ""
    if run is not None:
        analysis = modeling.analysis_of(run)
        reader = Reader(intake.record_document(run.record))
        home = section_input(reader, analysis, address=work_scope.header["home"]["address"])
        places = {item.id: item.place for item in analysis.measures}
        marks = tuple(
            ScopeMark(key=part_key(places[line.measure], home.foundation), number=line.number)
            for line in lines
            if places.get(line.measure) in PLACES
        )
        drawing = str(
            draw_section(
                section_input(
                    reader,
                    analysis,
                    address=work_scope.header["home"]["address"],
                    scope_marks=marks,
                )
            ).scope
        )
    title = _("Work scope %(number)s") % {"number": work_scope.number}
    return {
        "title": title,
        "foot": f"{title} · {work_scope.header['home']['address']}",
        "number": work_scope.number,
        "address": work_scope.header["home"]["address"],
        "block": scope_page.block(work_scope),
        "cautions": scope_page.cautions(work_scope),
        "lines": [scope_page.line_entry(line) for line in lines],
        "money": scope_page.money(work_scope),
        "days": scope_page.days_that_count(work_scope),
        "access": work_scope.header.get("access", []),
        "people": work_scope.header["people"],
        "test_rows": scope_page.test_rows(work_scope),
        "test_sources": scope_page.test_sources(work_scope),
        "drawing": drawing,
        "issued": day(work_scope.issued_at),
    }
