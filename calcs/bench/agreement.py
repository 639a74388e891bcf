"""The fast engine beside the full one, over houses at random."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from calcs.bench.random_houses import random_house
from calcs.hourly import simulate
from calcs.network import Options
from calcs.thermal import network_for
from calcs.weather import WeatherYear

# What the fast engine promises: the larger of a share and an amount.
LOAD_SHARE, LOAD_KWH = 0.005, 0.1e9 / 3.6e6
PEAK_SHARE, PEAK_W = 0.01, 50.0


@dataclass(frozen=True, kw_only=True)
class Agreement:
    """One house by both engines; errors are fast less full."""

    seed: int
    heating_kwh: float
    cooling_kwh: float
    heating_error_kwh: float
    cooling_error_kwh: float
    peak_heating_w: float
    peak_cooling_w: float
    peak_heating_error_w: float
    peak_cooling_error_w: float

    @property
    def used(self) -> float:
        """Largest error as a share of what is allowed; above 1 the promise is broken."""
        pairs = (
            (self.heating_error_kwh, max(LOAD_SHARE * self.heating_kwh, LOAD_KWH)),
            (self.cooling_error_kwh, max(LOAD_SHARE * self.cooling_kwh, LOAD_KWH)),
            (self.peak_heating_error_w, max(PEAK_SHARE * self.peak_heating_w, PEAK_W)),
            (self.peak_cooling_error_w, max(PEAK_SHARE * self.peak_cooling_w, PEAK_W)),
        )
        return max(abs(error) / allowed for error, allowed in pairs)


def compare_engines(
    seeds: Iterable[int], weather: WeatherYear, options: Options | None = None
) -> list[Agreement]:
    """Run random houses by both engines.

    Parameters
    ----------
    seeds : iterable of int
    weather : WeatherYear
    options : Options or None
        All but the engine; None for the defaults.
    """
    options = options or Options()
    found = []
    for seed in seeds:
        network = network_for(random_house(seed), weather)
        full = simulate(network, weather, replace(options, engine="full"))
        fast = simulate(network, weather, replace(options, engine="fast"))
        found.append(
            Agreement(
                seed=seed,
                heating_kwh=full.heating_kwh,
                cooling_kwh=full.cooling_kwh,
                heating_error_kwh=fast.heating_kwh - full.heating_kwh,
                cooling_error_kwh=fast.cooling_kwh - full.cooling_kwh,
                peak_heating_w=float(full.heating_w.max()),
                peak_cooling_w=float(full.cooling_w.max()),
                peak_heating_error_w=float(fast.heating_w.max() - full.heating_w.max()),
                peak_cooling_error_w=float(fast.cooling_w.max() - full.cooling_w.max()),
            )
        )
    return found
