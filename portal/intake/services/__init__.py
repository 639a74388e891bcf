"""Changing field records."""

from portal.intake.services.entries import (
    Saved,
    SectionRefused,
    ValuesToConfirm,
    rest_mark_unknown,
    section_save,
)
from portal.intake.services.hazards import hazard_clear
from portal.intake.services.items import (
    item_add,
    item_copy,
    item_remove,
    item_rename,
    photo_add,
)
from portal.intake.services.records import (
    RecordIncomplete,
    completion_findings,
    record_complete,
    record_open,
    record_reopen,
)
from portal.intake.services.uploads import record_upload
from portal.intake.services.values import (
    value_adopt,
    value_propose,
    value_refuse,
    value_withdraw,
)

__all__ = [
    "RecordIncomplete",
    "Saved",
    "SectionRefused",
    "ValuesToConfirm",
    "completion_findings",
    "hazard_clear",
    "item_add",
    "item_copy",
    "item_remove",
    "item_rename",
    "photo_add",
    "record_complete",
    "record_open",
    "record_reopen",
    "record_upload",
    "rest_mark_unknown",
    "section_save",
    "value_adopt",
    "value_propose",
    "value_refuse",
    "value_withdraw",
]
