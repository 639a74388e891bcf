"""Bills out of a table: one line a bill, as people keep them or a utility exports them."""

import csv
import io
from collections.abc import Sequence
from datetime import date, timedelta

from django.utils.translation import gettext as _

from calcs.bills import Read
from calcs.errors import CalcsError
from portal.core.errors import ValuesRefused

# What bills of a fuel are counted in.
UNITS = {"natural_gas": "therms", "electricity": "kWh"}
COLUMNS = ("starts_on", "ends_on", "days", "quantity", "kind", "revision", "produced", "note")


def read_bills(text: str) -> list[Read]:
    """Bills from CSV.

    Columns: ``ends_on``; ``starts_on`` or ``days`` (else the last line's end); ``quantity``; and
    if known ``kind`` (actual, estimated), ``revision``, ``produced``, ``note``.

    Raises
    ------
    ValuesRefused
        Names each line that is wrong and what is wrong with it.
    """
    rows = csv.DictReader(io.StringIO(text.lstrip("\ufeff")))
    heading = [name.strip() for name in rows.fieldnames or ()]
    missing = [name for name in ("ends_on", "quantity") if name not in heading]
    if missing:
        message = _("The heading names no column %(names)s.") % {"names": ", ".join(missing)}
        raise ValuesRefused(message, fields={"heading": message})
    faults: dict[str, str] = {}
    found: list[Read] = []
    for number, row in enumerate(rows, start=2):
        values = {(name or "").strip(): (value or "").strip() for name, value in row.items()}
        if not any(values.values()):
            continue
        try:
            found.append(_read(values, found))
        except (ValueError, CalcsError) as error:
            faults[f"line {number}"] = str(error)
    if faults:
        raise ValuesRefused(_("Some lines of the file cannot be read."), fields=faults)
    return found


def _read(values: dict[str, str], before: Sequence[Read]) -> Read:
    ends_on = date.fromisoformat(values["ends_on"])
    days = int(values["days"]) if values.get("days") else None
    if values.get("starts_on"):
        starts_on = date.fromisoformat(values["starts_on"])
    elif days is not None:
        starts_on = ends_on - timedelta(days=days)
    elif before:
        starts_on = before[-1].ends_on
    else:
        raise ValueError(_("The first bill needs starts_on or days."))
    return Read(
        starts_on=starts_on,
        ends_on=ends_on,
        quantity=float(values["quantity"]),
        kind=values.get("kind") or "actual",
        revision=int(values.get("revision") or 0),
        produced=float(values["produced"]) if values.get("produced") else None,
        billed_days=days,
        note=values.get("note", ""),
    )
