"""Typical years for the territory: loaded from a file, found again for a home."""

import hashlib
import math
from functools import lru_cache
from pathlib import Path
from typing import Protocol

from django.conf import settings
from django.db import transaction
from django.utils.translation import gettext as _

from calcs import weather as calcs_weather
from portal.core import clock, trail
from portal.core.actors import Actor
from portal.core.errors import DomainError
from portal.core.models import StoredFile
from portal.modeling import policies
from portal.modeling.models import WeatherStation

SHIPPED_PREFIX, STORED_PREFIX = "pvlib:", "stored:"
EARTH_RADIUS_KM = 6371.0


def resolve(file_path: str) -> Path:
    """The file on this machine.

    ``pvlib:NAME`` names one that ships with pvlib, ``stored:KEY`` one sent to the portal.
    """
    if file_path.startswith(STORED_PREFIX):
        stored = StoredFile.objects.get(key=file_path.removeprefix(STORED_PREFIX))
        return Path(stored.content.path)
    if file_path.startswith(SHIPPED_PREFIX):
        import pvlib

        return Path(pvlib.__file__).parent / "data" / file_path.removeprefix(SHIPPED_PREFIX)
    return Path(file_path)


@lru_cache(maxsize=8)
def _year_of(path: str, sha256: str) -> calcs_weather.WeatherYear:
    return calcs_weather.read_weather(Path(path), cache_dir=cache_directory())


def year_for(station: WeatherStation) -> calcs_weather.WeatherYear:
    """The 8760 hours of a station.

    Raises
    ------
    DomainError
        The file is gone or is no longer the one that was loaded.
    """
    path = resolve(station.file_path)
    try:
        found = hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError as error:
        message = _("The weather file of %(station)s cannot be read.") % {"station": station.name}
        raise DomainError(message, code="weather_missing") from error
    if found != station.sha256:
        message = _("The weather file of %(station)s has changed since it was loaded.") % {
            "station": station.name
        }
        raise DomainError(message, code="weather_changed")
    return _year_of(str(path), station.sha256)


@transaction.atomic
def station_load(*, code: str, file_path: str, source: str, actor: Actor) -> WeatherStation:
    """Read a typical year (TMY3 or EPW) and use it for the territory under a code.

    A code loaded before is loaded anew; runs made with the old file keep its name and hash.
    """
    path = resolve(file_path)
    sha256 = hashlib.sha256(path.read_bytes()).hexdigest()
    year = _year_of(str(path), sha256)
    before = WeatherStation.objects.filter(code=code).values_list("sha256", flat=True).first()
    station, _is_new = WeatherStation.objects.update_or_create(
        code=code,
        defaults={
            "name": year.name,
            "source": source,
            "file_path": file_path,
            "sha256": sha256,
            "latitude_deg": year.latitude_deg,
            "longitude_deg": year.longitude_deg,
            "elevation_m": year.elevation_m,
            "heating_degree_days_k": year.heating_degree_days_k(),
            "cooling_degree_days_k": year.cooling_degree_days_k(),
            "loaded_at": clock.now(),
            "is_in_use": True,
        },
    )
    trail.write(
        station, actor=actor, verb="loaded", source=(before or "")[:60], target=sha256[:60],
        why=source, details={"code": code, "file": file_path, "sha256": sha256},
    )  # fmt: skip
    return station


@transaction.atomic
def station_retire(*, station_id: int, actor: Actor) -> WeatherStation:
    """Take a station out of use: no new run takes it.

    Raises
    ------
    NotAllowed
        Anybody but the program office.
    DomainError
        It is the only one in use.
    """
    policies.require_may_load_weather(actor)
    in_use = list(WeatherStation.objects.select_for_update().filter(is_in_use=True))
    station = next((item for item in in_use if item.pk == station_id), None)
    if station is None:
        raise DomainError(_("This station is not in use."), code="not_in_use")
    if len(in_use) == 1:
        message = _("This is the only weather in use. Use another file first.")
        raise DomainError(message, code="last_weather")
    station.is_in_use = False
    station.save(update_fields=["is_in_use"])
    trail.write(station, actor=actor, verb="retired", source="in use", target="out of use")
    return station


def used_by_run(station: WeatherStation) -> dict[str, str]:
    """What a model run keeps of its weather."""
    return {
        "code": station.code,
        "name": station.name,
        "source": station.source,
        "sha256": station.sha256,
    }


class Placed(Protocol):
    """Something that stands somewhere on earth."""

    latitude_deg: float
    longitude_deg: float


def distance_km(latitude: float, longitude: float, station: Placed) -> float:
    """Great-circle distance from a place to a station. [km]"""
    a, b = math.radians(latitude), math.radians(station.latitude_deg)
    half_chord = (
        math.sin((b - a) / 2) ** 2
        + math.cos(a)
        * math.cos(b)
        * math.sin(math.radians(station.longitude_deg - longitude) / 2) ** 2
    )
    return 2 * EARTH_RADIUS_KM * math.asin(math.sqrt(half_chord))


def station_nearest(*, latitude_deg: float | None, longitude_deg: float | None) -> WeatherStation:
    """The station in use nearest to a home; the first one for a home without a position.

    Raises
    ------
    DomainError
        No typical year has been loaded.
    """
    stations = list(WeatherStation.objects.filter(is_in_use=True))
    if not stations:
        raise DomainError(_("No weather has been loaded for the territory."), code="no_weather")
    if latitude_deg is None or longitude_deg is None:
        return stations[0]
    return min(stations, key=lambda station: distance_km(latitude_deg, longitude_deg, station))


def cache_directory() -> Path:
    """Where sun and weather arrays are kept between runs."""
    return Path(settings.VAR_DIR) / "weather"
