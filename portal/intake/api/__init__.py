"""Operations of intake: the same selectors and services as the pages."""

from portal.intake.api.entries import ItemAdd, ItemSave, SectionSave
from portal.intake.api.files import PhotoAdd, RecordUploadFile
from portal.intake.api.records import (
    HazardClear,
    RecordComplete,
    RecordOpen,
    RecordRead,
    RecordReopen,
)
from portal.intake.api.sheet import SheetSchema, SheetTemplate

__all__ = [
    "HazardClear",
    "ItemAdd",
    "ItemSave",
    "PhotoAdd",
    "RecordComplete",
    "RecordOpen",
    "RecordRead",
    "RecordReopen",
    "RecordUploadFile",
    "SectionSave",
    "SheetSchema",
    "SheetTemplate",
]
