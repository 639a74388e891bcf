"""Pages of the field record."""

from portal.intake.views.files import TemplateView, UploadView
from portal.intake.views.hazards import HazardsView
from portal.intake.views.record import (
    CompleteView,
    OpenView,
    RecordView,
    ReopenView,
    RestUnknownView,
)
from portal.intake.views.section import (
    ItemAddView,
    ItemChangeView,
    ItemView,
    PhotoAddView,
    PhotoView,
    SectionView,
)

__all__ = [
    "CompleteView",
    "HazardsView",
    "ItemAddView",
    "ItemChangeView",
    "ItemView",
    "OpenView",
    "PhotoAddView",
    "PhotoView",
    "RecordView",
    "ReopenView",
    "RestUnknownView",
    "SectionView",
    "TemplateView",
    "UploadView",
]
