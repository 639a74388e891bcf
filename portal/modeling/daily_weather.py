"""Actual daily temperatures: loaded for the territory, found again for the days of bills."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import BinaryIO

import numpy as np
from django.db import transaction
from django.db.models import Count, Max, Min, QuerySet
from django.utils.translation import gettext as _
from numpy.typing import NDArray

from calcs.daily_weather import DailyWeather, read_daily
from calcs.errors import CalcsError
from portal.core import clock, trail
from portal.core.actors import Actor
from portal.core.errors import DomainError, ValuesRefused
from portal.modeling import policies
from portal.modeling.models import DailyMean, DailySeries
from portal.modeling.weather import distance_km
from portal.modeling.weather_files import CODE_SHAPE

LARGEST_BYTES = 5_000_000


@dataclass(frozen=True)
class NoWeather:
    """Where no series has been loaded, no day has a temperature."""

    is_synthetic: bool = False

    def between(self, starts_on: date, ends_on: date) -> NDArray[np.float64]:
        """Missing days."""
        return np.full(max((ends_on - starts_on).days, 0), np.nan)


@transaction.atomic
def series_load(
    *,
    code: str,
    name: str,
    source: str,
    first_on: date,
    mean_c: Sequence[float],
    is_synthetic: bool = False,
    latitude_deg: float,
    longitude_deg: float,
    actor: Actor,
) -> DailySeries:
    """Keep daily means under a station's code; days known already are brought up to date.

    ``mean_c`` are the days from ``first_on`` on, NaN where one is missing.

    Raises
    ------
    NotAllowed
        Anybody but the program office.
    DomainError
        No day with a temperature, one that is none, or made-up days under the code of measured
        ones or the other way: a fit could not say which it stands on.
    """
    policies.require_may_load_weather(actor)
    try:
        weather = DailyWeather(
            name=name,
            source=source,
            first_on=first_on,
            mean_c=np.asarray(mean_c, dtype=np.float64),
            is_synthetic=is_synthetic,
        )
    except CalcsError as error:
        raise DomainError(str(error), code="weather_refused") from error
    known = DailySeries.objects.select_for_update().filter(code=code).first()
    if known is not None and known.is_synthetic != is_synthetic:
        raise DomainError(
            _("Made-up and measured days cannot be kept under one code. Use another code."),
            code="weather_mixed",
        )
    series, _is_new = DailySeries.objects.update_or_create(
        code=code,
        defaults={
            "name": weather.name,
            "source": weather.source,
            "is_synthetic": weather.is_synthetic,
            "latitude_deg": latitude_deg,
            "longitude_deg": longitude_deg,
            "loaded_at": clock.now(),
        },
    )
    series.days.filter(on__range=(weather.first_on, weather.last_on)).delete()
    DailyMean.objects.bulk_create(
        (
            DailyMean(
                series=series, on=weather.first_on + timedelta(days=index), mean_c=float(mean)
            )
            for index, mean in enumerate(weather.mean_c)
            if np.isfinite(mean)
        ),
        batch_size=1000,
    )
    trail.write(
        series, actor=actor, verb="loaded", target=f"{weather.first_on} to {weather.last_on}",
        why=source, details={"missing_days": weather.missing_days, "is_synthetic": is_synthetic},
    )  # fmt: skip
    return series


@dataclass(frozen=True)
class SentFile:
    """What was sent of a station's days, with where the station is and who measured them."""

    code: str
    name: str
    source: str
    latitude_deg: float
    longitude_deg: float
    unit: str = ""
    is_synthetic: bool = False


def file_load(*, upload: BinaryIO | None, sent: SentFile, actor: Actor) -> DailySeries:
    """Keep the days of a file: CSV with a date, and a mean or a maximum and a minimum.

    Raises
    ------
    NotAllowed
        Anybody but a program administrator.
    ValuesRefused
        No file, an empty or too large one, a code that cannot be, or what is wrong in which line.
    """
    policies.require_may_load_weather(actor)
    faults: dict[str, str] = {}
    if not CODE_SHAPE.fullmatch(sent.code):
        faults["code"] = _("Enter the station's code: 2 to 20 letters, digits, dots or dashes.")
    if not -90.0 <= sent.latitude_deg <= 90.0:
        faults["latitude"] = _("Enter the latitude from -90 to 90 degrees.")
    if not -180.0 <= sent.longitude_deg <= 180.0:
        faults["longitude"] = _("Enter the longitude from -180 to 180 degrees.")
    content = b"" if upload is None else upload.read(LARGEST_BYTES + 1)
    if upload is None:
        faults["file"] = _("Choose the file.")
    elif len(content) > LARGEST_BYTES:
        faults["file"] = _("The file is larger than %(limit)d MB.") % {
            "limit": LARGEST_BYTES // 1_000_000
        }
    try:
        read = read_daily(
            content.decode("utf-8-sig"),
            name=sent.name,
            source=sent.source,
            unit=sent.unit or None,
            is_synthetic=sent.is_synthetic,
        )
    except UnicodeDecodeError:
        faults.setdefault("file", _("The file is not a text table in UTF-8."))
    except CalcsError as error:
        faults.setdefault("file", str(error))
    if faults:
        raise ValuesRefused(next(iter(faults.values())), fields=faults)
    return series_load(
        code=sent.code,
        name=read.name,
        source=read.source,
        first_on=read.first_on,
        mean_c=[float(value) for value in read.mean_c],
        is_synthetic=read.is_synthetic,
        latitude_deg=sent.latitude_deg,
        longitude_deg=sent.longitude_deg,
        actor=actor,
    )


def series_list() -> QuerySet[DailySeries]:
    """Every series, with its first and last day and how many days it has."""
    return DailySeries.objects.annotate(
        first_on=Min("days__on"), last_on=Max("days__on"), count=Count("days")
    )


def series_nearest(
    *, latitude_deg: float | None, longitude_deg: float | None
) -> DailySeries | None:
    """The series nearest to a home, or the first for a home without a position; measured first.

    A made-up series is used only where nothing was measured.
    """
    found = list(DailySeries.objects.all())
    found = [series for series in found if not series.is_synthetic] or found
    if not found:
        return None
    if latitude_deg is None or longitude_deg is None:
        return found[0]
    return min(
        found,
        key=lambda item: distance_km(latitude_deg, longitude_deg, item),
    )


def between(series: DailySeries | None, first: date, last: date) -> DailyWeather | NoWeather:
    """The days of a series from one up to, not including, another."""
    if series is None:
        return NoWeather()
    known = dict(series.days.filter(on__gte=first, on__lt=last).values_list("on", "mean_c"))
    if not known:
        return NoWeather(is_synthetic=series.is_synthetic)
    start = min(known)
    means = np.full((max(known) - start).days + 1, np.nan)
    for day, mean in known.items():
        means[(day - start).days] = mean
    return DailyWeather(
        name=series.name,
        source=series.source,
        first_on=start,
        mean_c=means,
        is_synthetic=series.is_synthetic,
    )
