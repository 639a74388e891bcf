"""Ranges of savings on trial: against full draws, and against hidden true houses."""

from argparse import ArgumentParser
from types import MappingProxyType
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from calcs import weather
from calcs.inputs import EnergyPrices
from calcs.uncertainty import trial
from calcs.unit_factors import J_PER_KWH, J_PER_THERM
from calcs.worth import Scene, Terms
from portal.modeling import weather as stations

DEFAULT_WEATHER = "pvlib:723170TYA.CSV"
WITHIN = 0.05
# Round invented prices, the same for every trial.
USD_PER_J = MappingProxyType(
    {
        "natural_gas": 1.40 / J_PER_THERM,
        "propane": 3.20 / J_PER_THERM,
        "fuel_oil": 2.80 / J_PER_THERM,
        "electricity": 0.14 / J_PER_KWH,
    }
)


class Command(BaseCommand):
    """``manage.py ranges``: the long form of what the tests try in short."""

    help = "Try the ranges of savings on invented houses; no database."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take how many houses and draws."""
        parser.add_argument("--houses", type=int, default=20)
        parser.add_argument("--draws", type=int, default=200)
        parser.add_argument("--first", type=int, default=1, help="seed of the first house")
        parser.add_argument("--coverage", action="store_true", help="hidden true houses instead")
        parser.add_argument("--weather", default=DEFAULT_WEATHER, help="typical year, TMY3 or EPW")

    def handle(self, *args: Any, **options: Any) -> None:
        """Run and print; exit 1 where the ranges do not hold."""
        scene = Scene(
            weather=weather.read_weather(stations.resolve(options["weather"])),
            terms=Terms(
                prices=EnergyPrices(usd_per_j=USD_PER_J, co2_kg_per_j=dict.fromkeys(USD_PER_J, 0)),
                costs={},
                subsidies={},
            ),
            year=2026,
        )
        seeds = range(options["first"], options["first"] + options["houses"])
        if options["coverage"]:
            self._coverage(seeds, scene)
        else:
            self._agreement(seeds, scene, options["draws"])

    def _agreement(self, seeds: range, scene: Scene, draws: int) -> None:
        found: list[trial.Agreement] = []
        for seed in seeds:
            for item in trial.agreement(seed, scene, draws=draws):
                found.append(item)
                self.stdout.write(
                    f"{item.house:4d} {item.saving:44s} {item.expected:9.2f} "
                    f"{item.full_low:9.2f} {item.full_high:9.2f} "
                    f"{item.low_error:+7.1%} {item.high_error:+7.1%}"
                )
        errors = [max(abs(item.low_error), abs(item.high_error)) for item in found]
        outside = sum(error > WITHIN for error in errors)
        self.stdout.write(
            f"{len(found)} savings of {len(seeds)} houses, {draws} draws: {outside} with low or "
            f"high off by more than {WITHIN:.0%} of the saving; largest {max(errors):.1%}"
        )
        if outside:
            raise CommandError("some ranges differ from full draws", returncode=1)

    def _coverage(self, seeds: range, scene: Scene) -> None:
        found = [item for seed in seeds for item in trial.coverage(seed, scene)]
        packages = [item for item in found if item.saving == "package"]
        self.stdout.write(
            f"{len(found)} savings of {len(seeds)} houses: the truth was inside "
            f"{trial.share_inside(found):.1%} of the ranges, of {len(packages)} packages in "
            f"{trial.share_inside(packages):.1%}; 80 % is meant"
        )
