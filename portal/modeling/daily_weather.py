"""Actual daily temperatures: loaded for the territory, found again for the days of bills."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from django.db import transaction
from django.utils.translation import gettext as _
from numpy.typing import NDArray

from calcs.daily_weather import DailyWeather
from calcs.errors import CalcsError
from portal.accounts.states import Role
from portal.core import clock
from portal.core.access import require_role
from portal.core.actors import Actor
from portal.core.errors import DomainError
from portal.modeling.models import DailyMean, DailySeries
from portal.modeling.weather import distance_km


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
        No day with a temperature, or one that is none.
    """
    require_role(
        actor, Role.PROGRAM_ADMIN, "system", message=_("Only the program office loads weather.")
    )
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
    return series


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
