"""Moving air and distribution losses of the network."""

from __future__ import annotations

from dataclasses import dataclass

from calcs.errors import InputError
from calcs.network.schedules import Schedule, put, schedule
from calcs.validation import require_within


@dataclass(frozen=True, eq=False, kw_only=True)
class AirChange:
    """Infiltration given as air changes of the zone's own volume.

    Parameters
    ----------
    air_changes_per_hour : float or ndarray, shape (8760,) or (35040,)
        Volume flow of outdoor air over zone volume, counted at the zone's temperature and the
        station's pressure. [1/h]
    """

    air_changes_per_hour: Schedule

    def __post_init__(self) -> None:
        values = schedule("air changes per hour", self.air_changes_per_hour, low=0.0)
        put(self, air_changes_per_hour=values)


@dataclass(frozen=True, eq=False, kw_only=True)
class EnvelopeLeakage:
    """Infiltration that follows the hour's wind and temperature difference.

    Stack flow is ``stack * |dT|**exponent``, wind flow ``wind * U**(2 * exponent)`` with the
    station's wind U, and the two add in quadrature. ``calcs.house`` makes one from a
    blower-door result; both forms of the handbook model fit (the basic one has exponent 0.5).

    Parameters
    ----------
    stack_m3_per_s : float
        Flow at a temperature difference of 1 K and no wind. [m³/s]
    wind_m3_per_s : float
        Flow at a station wind of 1 m/s and no temperature difference. [m³/s]
    exponent : float
        Flow exponent, 0.5 to 1. [-]
    """

    stack_m3_per_s: float
    wind_m3_per_s: float
    exponent: float = 0.65

    def __post_init__(self) -> None:
        require_within(self.stack_m3_per_s, 0.0, 100.0, "stack flow", "m³/s")
        require_within(self.wind_m3_per_s, 0.0, 100.0, "wind flow", "m³/s")
        require_within(self.exponent, 0.5, 1.0, "flow exponent", "(a fraction)")


@dataclass(frozen=True, eq=False, kw_only=True)
class AirPath:
    """Air that moves from one zone into another.

    Give either a flow or a share of a zone's infiltration. With ``share_of_infiltration`` the
    flow is that share of the infiltration of ``infiltration_zone``, hour by hour: with the target
    as that zone, the share enters from the source instead of from outdoors (crawlspace air drawn
    into the house); with the source as that zone, the share leaves through the target (house air
    escaping into the attic), on top of what the target takes from outdoors.

    Parameters
    ----------
    source_zone, target_zone : str
        Zones the air leaves and enters.
    flow_m3_per_s : float or ndarray
        Flow. [m³/s]
    share_of_infiltration : float
        0 to 1. [-]
    infiltration_zone : str or None
        Source or target; needed with a share.
    component : str
        Key for reports.
    """

    source_zone: str
    target_zone: str
    flow_m3_per_s: Schedule = 0.0
    share_of_infiltration: float = 0.0
    infiltration_zone: str | None = None
    component: str = "infiltration"

    def __post_init__(self) -> None:
        put(self, flow_m3_per_s=schedule("air path flow", self.flow_m3_per_s, low=0.0))
        require_within(
            self.share_of_infiltration, 0.0, 1.0, "share of infiltration", "(a fraction)"
        )
        if self.source_zone == self.target_zone:
            raise InputError(f"air path from zone {self.source_zone} leads back to it")
        needs_zone = self.share_of_infiltration > 0.0
        if needs_zone and self.infiltration_zone not in (self.source_zone, self.target_zone):
            raise InputError("an air path with a share must name its source or target zone")


@dataclass(frozen=True, eq=False, kw_only=True)
class Ventilation:
    """Fans between a zone and outdoors.

    The smaller of supply and exhaust is balanced flow; the rest is unbalanced and adds to the
    infiltration in quadrature.

    Parameters
    ----------
    zone : str
        Zone served.
    supply_m3_per_s, exhaust_m3_per_s : float or ndarray
        Fan flows. [m³/s]
    sensible_recovery : float
        Share of the temperature difference recovered from the balanced flow, 0 to 1. [-]
    """

    zone: str
    supply_m3_per_s: Schedule = 0.0
    exhaust_m3_per_s: Schedule = 0.0
    sensible_recovery: float = 0.0

    def __post_init__(self) -> None:
        require_within(self.sensible_recovery, 0.0, 1.0, "sensible recovery", "(a fraction)")
        put(
            self,
            supply_m3_per_s=schedule("supply flow", self.supply_m3_per_s, low=0.0),
            exhaust_m3_per_s=schedule("exhaust flow", self.exhaust_m3_per_s, low=0.0),
        )


@dataclass(frozen=True, eq=False, kw_only=True)
class DistributionLoss:
    """Heat that ducts or pipes of a conditioned zone give to another zone.

    In every hour the receiving zone gains ``factor`` times the load of the served zone (loses,
    while cooling). With delivery efficiency E and the share s of the losses that lands in the
    zone, the factor is ``s * (1 - E) / E``. It is solved together with the temperatures.

    Parameters
    ----------
    zone, to_zone : str
        Conditioned zone served, and zone the ducts run through.
    heating_factor, cooling_factor : float or ndarray
        Loss per unit of load, not negative. [-]
    """

    zone: str
    to_zone: str
    heating_factor: Schedule = 0.0
    cooling_factor: Schedule = 0.0

    def __post_init__(self) -> None:
        if self.zone == self.to_zone:
            raise InputError(f"distribution loss of zone {self.zone} leads back to it")
        put(
            self,
            heating_factor=schedule("heating distribution factor", self.heating_factor, low=0.0),
            cooling_factor=schedule("cooling distribution factor", self.cooling_factor, low=0.0),
        )
