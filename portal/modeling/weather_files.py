"""Weather files sent by an administrator: received, checked by a worker, used for the territory."""

import re
from typing import Any, BinaryIO

from django.db import transaction
from django.utils.translation import gettext as _

from calcs.weather_files import LARGEST_BYTES, Finding, WeatherCheck, check_weather
from portal.core import clock, jobs, trail
from portal.core.actors import Actor, SystemActor
from portal.core.errors import DomainError, ValuesRefused
from portal.core.files import store_bytes
from portal.core.states import move
from portal.enrollment import selectors as enrollment
from portal.modeling import policies, weather
from portal.modeling.models import WeatherFile
from portal.modeling.states import WEATHER_FILE_MOVES, WeatherFileState

CHECK_JOB = "modeling.weather_check"
CHECKER = SystemActor("weather check")
CODE_SHAPE = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{1,19}")
# From here a station is told to be far; beyond the second it is another climate (practice).
FAR_KM, TOO_FAR_KM = 100.0, 320.0


@transaction.atomic
def file_receive(
    *, upload: BinaryIO | None, name: str | None, code: str, source: str, actor: Actor
) -> WeatherFile:
    """Take a weather file in and have it checked.

    Raises
    ------
    ValuesRefused
        No file, an empty or too large one, a code or a source that cannot be used.
    NotAllowed
        Anybody but a program administrator.
    """
    policies.require_may_load_weather(actor)
    faults: dict[str, str] = {}
    code, source = code.strip(), source.strip()
    if not CODE_SHAPE.fullmatch(code):
        faults["code"] = _("Enter the station's code: 2 to 20 letters, digits, dots or dashes.")
    if not source:
        faults["source"] = _("Say who published the file and which years it stands for.")
    elif len(source) > 200:
        faults["source"] = _("At most 200 characters.")
    content = b"" if upload is None else upload.read(LARGEST_BYTES + 1)
    if upload is None:
        faults["file"] = _("Choose the file.")
    elif not content.strip():
        faults["file"] = _("The file is empty. Choose the file again.")
    elif len(content) > LARGEST_BYTES:
        faults["file"] = _("The file is larger than %(limit)d MB; a year has about 2 MB.") % {
            "limit": LARGEST_BYTES // 1_000_000
        }
    if faults:
        raise ValuesRefused(next(iter(faults.values())), fields=faults)
    stored = store_bytes(
        content, name=name or code, media_type="application/octet-stream", actor=actor
    )
    found = WeatherFile.objects.create(
        code=code,
        source=source,
        file=stored,
        sent_by=actor.actor_label,
        sent_at=clock.now(),
    )
    trail.write(
        found, actor=actor, verb="sent", target=str(WeatherFileState.CHECKING), why=source,
        details={"code": code, "sha256": stored.sha256, "name": stored.original_name},
    )  # fmt: skip
    jobs.enqueue(CHECK_JOB, key=f"{CHECK_JOB}:{found.pk}", file_id=found.pk)
    return found


def file_check(*, file_id: int, ticket: jobs.Ticket) -> None:
    """Read and check a file that was sent, once, under the claim."""
    found = WeatherFile.objects.select_related("file").get(pk=file_id)
    with found.file.content.open("rb") as stream:
        raw = stream.read()
    checked = check_weather(raw)
    report = report_of(checked)
    with ticket.finishing():
        row = WeatherFile.objects.select_for_update().get(pk=file_id)
        if row.state != WeatherFileState.CHECKING:
            return
        row.report = report
        row.checked_at = clock.now()
        is_usable = not any(item["stops"] for item in report["findings"])
        move(
            row,
            WeatherFileState.USABLE if is_usable else WeatherFileState.REFUSED,
            moves=WEATHER_FILE_MOVES,
            actor=CHECKER,
            also_save=("report", "checked_at"),
        )


def file_check_failed(*, file_id: int) -> None:
    """Refuse a file whose check could not be carried out; in the transaction that ends its job."""
    row = WeatherFile.objects.select_for_update().get(pk=file_id)
    if row.state != WeatherFileState.CHECKING:
        return
    row.checked_at = clock.now()
    row.report = {
        "findings": [
            {"code": "unread", "stops": True, "facts": {},
             "text": "The check of this file broke off. Send it again, or ask for help."}
        ]
    }  # fmt: skip
    move(
        row, WeatherFileState.REFUSED, moves=WEATHER_FILE_MOVES, actor=CHECKER,
        also_save=("report", "checked_at"),
    )  # fmt: skip


def report_of(checked: WeatherCheck) -> dict[str, Any]:
    """What is kept of a check: place, years, units, climate, distance and findings."""
    findings = [_plain(item) for item in checked.findings]
    report: dict[str, Any] = {
        "kind": checked.kind,
        "name": checked.name,
        "rows": checked.rows,
        "first_year": checked.first_year,
        "last_year": checked.last_year,
        "units": checked.units,
        "latitude_deg": checked.latitude_deg,
        "longitude_deg": checked.longitude_deg,
        "elevation_m": checked.elevation_m,
        "utc_offset_h": checked.utc_offset_h,
        "findings": findings,
    }
    if checked.latitude_deg is not None and checked.longitude_deg is not None:
        report |= _distance(checked.latitude_deg, checked.longitude_deg, findings)
    if checked.weather is not None:
        year = checked.weather
        report |= {
            "heating_degree_days_k": year.heating_degree_days_k(),
            "cooling_degree_days_k": year.cooling_degree_days_k(),
            "mean_c": year.annual_mean_c,
            "lowest_c": float(year.dry_bulb_c.min()),
            "highest_c": float(year.dry_bulb_c.max()),
            "global_kwh_per_m2": float(year.ghi_w_per_m2.sum()) / 1000.0,
        }
    return report


def _plain(item: Finding) -> dict[str, Any]:
    return {"code": item.code, "stops": item.stops, "facts": item.facts, "text": item.text}


def _distance(
    latitude: float, longitude: float, findings: list[dict[str, Any]]
) -> dict[str, float]:
    """Distance to the nearest and farthest ZIP code of the territory, and what to say of it."""
    away = [
        weather.distance_km(latitude, longitude, place) for place in enrollment.territory_places()
    ]
    if not away:
        return {}
    nearest = min(away)
    miles = nearest / 1.609344
    if nearest > TOO_FAR_KM:
        text = (
            f"The station is {miles:,.0f} miles from the nearest ZIP code of the territory: "
            "another climate."
        )
        findings.append({"code": "too_far", "stops": True, "facts": {"miles": miles}, "text": text})
    elif nearest > FAR_KM:
        text = f"The station is {miles:,.0f} miles from the nearest ZIP code of the territory."
        findings.append({"code": "far", "stops": False, "facts": {"miles": miles}, "text": text})
    return {"nearest_km": nearest, "farthest_km": max(away)}


@transaction.atomic
def file_use(*, file_id: int, actor: Actor) -> WeatherFile:
    """Use a checked file for the territory, under its code.

    Raises
    ------
    NotAllowed
        Anybody but a program administrator.
    DomainError
        The file is not usable, or used already.
    """
    policies.require_may_load_weather(actor)
    row = WeatherFile.objects.select_for_update().select_related("file").get(pk=file_id)
    if row.state != WeatherFileState.USABLE:
        message = _("Only a file that was checked and found usable can be used.")
        raise DomainError(message, code="file_not_usable")
    row.station = weather.station_load(
        code=row.code,
        file_path=f"{weather.STORED_PREFIX}{row.file.key}",
        source=row.source,
        actor=actor,
    )
    move(row, WeatherFileState.USED, moves=WEATHER_FILE_MOVES, actor=actor, also_save=("station",))
    return row
