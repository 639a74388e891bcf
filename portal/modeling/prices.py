"""Dated prices: what energy costs the household, what the program takes a measure to cost."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from calcs.constants import FUELS, grid_co2_kg_per_j
from calcs.errors import CalcsError
from calcs.inputs import EnergyPrices
from calcs.rates import Block, Rate, Season, Window
from portal.core import units
from portal.core.errors import DomainError
from portal.core.money import to_cents
from portal.modeling.models import EnergyPrice, PriceListLine, RateSchedule

# The model's fuel -> the fuel whose published carbon factor holds for it.
CARBON_FUEL = {"natural_gas": "natural_gas", "propane": "propane", "fuel_oil": "fuel_oil_2"}
# The grid subregion around the demo's weather station.
GRID_SUBREGION = "SRVC"


def carbon_kg_per_j(fuel: str) -> float:
    """Carbon dioxide per joule of a fuel or of electricity from the territory's grid."""
    if fuel == "electricity":
        return grid_co2_kg_per_j(GRID_SUBREGION)
    return FUELS[CARBON_FUEL[fuel]].co2_kg_per_j


def energy_prices_on(day: date) -> list[EnergyPrice]:
    """The price of each fuel in force on a day."""
    latest: dict[str, EnergyPrice] = {}
    for price in EnergyPrice.objects.filter(from_on__lte=day).order_by("from_on"):
        latest[price.fuel] = price
    return list(latest.values())


def prices_for_model(day: date, *, rate_code: str = "") -> EnergyPrices:
    """What energy costs a household, per joule and by its rates, and the carbon of each fuel.

    A fuel that the utility charges by the month under the household's rate code is billed by that
    schedule; any other at its one price.

    Raises
    ------
    DomainError
        No price has been loaded.
    """
    found = energy_prices_on(day)
    if not found:
        raise DomainError(_("No energy prices have been loaded."), code="no_prices")
    return EnergyPrices(
        usd_per_j={
            price.fuel: float(price.usd_per_unit) / price.joules_per_unit for price in found
        },
        co2_kg_per_j={price.fuel: carbon_kg_per_j(price.fuel) for price in found},
        as_of=day.isoformat(),
        rates={fuel: rate_of(item) for fuel, item in schedules_on(day, rate_code).items()},
    )


def schedules_on(day: date, rate_code: str) -> dict[str, RateSchedule]:
    """The schedules of a rate code in force on a day, by fuel."""
    latest: dict[str, RateSchedule] = {}
    if rate_code:
        known = RateSchedule.objects.filter(rate_code=rate_code, from_on__lte=day)
        for schedule in known.order_by("from_on"):
            latest[schedule.fuel] = schedule
    return latest


def rate_of(schedule: RateSchedule) -> Rate:
    """A schedule in joules, as the model bills by it."""
    return read_rate(
        schedule.body,
        fuel=schedule.fuel,
        code=schedule.rate_code,
        as_of=schedule.from_on.isoformat(),
        source=schedule.source,
    )


def read_rate(
    body: Mapping[str, Any], *, fuel: str, code: str = "", as_of: str = "", source: str = ""
) -> Rate:
    """A rate out of its published form: dollars and billing units.

    Raises
    ------
    DomainError
        Something is missing, or the rate cannot be, with what is wrong.
    """
    try:
        per_unit = joules_per_unit(fuel, body["unit"])
        return Rate(
            fuel=fuel,
            code=code,
            name=body["name"],
            source=source,
            as_of=as_of,
            customer_usd=float(body.get("customer_usd", 0)),
            minimum_usd=float(body.get("minimum_usd", 0)),
            seasons=tuple(
                Season(
                    months=tuple(season["months"]),
                    blocks=tuple(
                        Block(
                            up_to_j=None if block.get("up_to") is None
                            else float(block["up_to"]) * per_unit,
                            usd_per_j=float(block["usd_per_unit"]) / per_unit,
                        )
                        for block in season["blocks"]
                    ),
                    windows=tuple(
                        Window(
                            name=window["name"],
                            hours=tuple(window["hours"]),
                            usd_per_j=float(window["usd_per_unit"]) / per_unit,
                            is_weekdays_only=window.get("is_weekdays_only", True),
                        )
                        for window in season.get("windows", ())
                    ),
                )
                for season in body["seasons"]
            ),
        )  # fmt: skip
    except KeyError as error:
        message = _("The rate does not say its %(name)s.") % {"name": error.args[0]}
        raise DomainError(message, code="rate_refused") from error
    except (CalcsError, TypeError, ValueError) as error:
        raise DomainError(str(error), code="rate_refused") from error


@transaction.atomic
def rates_load(book: Mapping[str, Any]) -> int:
    """Load a rate book, one schedule a rate code and fuel; the same again changes nothing.

    Raises
    ------
    DomainError
        A rate that cannot be: nothing of the book is loaded.
    """
    count = 0
    for entry in book["rates"]:
        body = {name: value for name, value in entry.items() if name not in ("fuel", "rate_codes")}
        read_rate(body, fuel=entry["fuel"])
        for code in entry["rate_codes"]:
            RateSchedule.objects.update_or_create(
                fuel=entry["fuel"],
                rate_code=code,
                from_on=date.fromisoformat(book["from_on"]),
                defaults={"name": entry["name"], "body": body, "source": book["source"]},
            )
            count += 1
    return count


def price_list_on(day: date) -> dict[str, PriceListLine]:
    """The program's price list in force on a day, by kind of measure."""
    latest: dict[str, PriceListLine] = {}
    for line in PriceListLine.objects.filter(from_on__lte=day).order_by("from_on"):
        latest[line.measure] = line
    return latest


def list_quantity(line: PriceListLine, *, quantity: float, unit: str) -> float:
    """A quantity in the unit of the price list.

    ``unit`` is the model's SI unit. A ``job`` is one whatever its size; ``each`` counts pieces.

    Raises
    ------
    UnitRefused
        The list prices this measure in a unit of something else.
    """
    if line.unit == "job":
        return 1.0
    if line.unit == "each" and unit == "each":
        return quantity
    return units.convert(quantity, unit, line.unit)


def list_price(line: PriceListLine, *, quantity: float, unit: str) -> Decimal:
    """What the price list asks for a quantity, in whole cents."""
    amount = Decimal(repr(list_quantity(line, quantity=quantity, unit=unit)))
    return to_cents(line.fixed_usd + line.usd_per_unit * amount)


@dataclass(frozen=True)
class PriceRange:
    """What the price list asks for a quantity: low, middle and high, in dollars of a year."""

    low_usd: Decimal
    mid_usd: Decimal
    high_usd: Decimal
    dollars_year: int | None


def list_price_range(line: PriceListLine, *, quantity: float, unit: str) -> PriceRange:
    """Low, middle and high price of a quantity, in whole cents.

    The fixed part is the same in all three. A line without a spread gives three equal prices.
    """
    amount = Decimal(repr(list_quantity(line, quantity=quantity, unit=unit)))

    def price(per_unit: Decimal | None) -> Decimal:
        each = line.usd_per_unit if per_unit is None else per_unit
        return to_cents(line.fixed_usd + each * amount)

    return PriceRange(
        low_usd=price(line.usd_per_unit_low),
        mid_usd=price(None),
        high_usd=price(line.usd_per_unit_high),
        dollars_year=line.dollars_year,
    )


def cost_ranges_on(
    day: date,
) -> Callable[[str, str, float, str], tuple[float, float, float] | None]:
    """Low, middle and high cost by measure id, kind, quantity and SI unit, as of a day. [$]

    The function answers None for a kind the list does not price.
    """
    price_list = price_list_on(day)

    def cost_range_of(
        measure_id: str, kind: str, quantity: float, unit: str
    ) -> tuple[float, float, float] | None:
        line = price_list.get(kind)
        if line is None:
            return None
        found = list_price_range(line, quantity=quantity, unit=unit)
        return float(found.low_usd), float(found.mid_usd), float(found.high_usd)

    return cost_range_of


def joules_per_unit(fuel: str, unit: str) -> float:
    """Energy in one unit a fuel is billed in. [J]

    Raises
    ------
    DomainError
        The unit is not one this fuel is billed in.
    """
    if unit in ("therms", "kWh"):
        return units.convert(1.0, unit, "J")
    if unit == "gal" and fuel in ("propane", "fuel_oil"):
        return FUELS[CARBON_FUEL[fuel]].hhv_j_per_m3 * units.convert(1.0, "gal", "m3")
    raise DomainError(
        _("%(fuel)s is not billed by the %(unit)s.") % {"fuel": fuel, "unit": unit},
        code="unit_refused",
    )


@transaction.atomic
def prices_load(*, energy: Mapping[str, Any], price_list: Mapping[str, Any]) -> None:
    """Load dated energy prices and a price list; loading the same again changes nothing.

    Raises
    ------
    DomainError
        A line whose low price is above its middle one, or its high price below.
    """
    for price in energy["prices"]:
        EnergyPrice.objects.update_or_create(
            fuel=price["fuel"],
            from_on=date.fromisoformat(energy["from_on"]),
            defaults={
                "unit": price["unit"],
                "usd_per_unit": Decimal(price["usd_per_unit"]),
                "joules_per_unit": joules_per_unit(price["fuel"], price["unit"]),
                "source": energy["source"],
            },
        )
    for line in price_list["lines"]:
        low, middle, high = (
            Decimal(line.get(key, line["usd_per_unit"]))
            for key in ("usd_per_unit_low", "usd_per_unit", "usd_per_unit_high")
        )
        if not low <= middle <= high:
            raise DomainError(
                _("Price of %(measure)s: low, middle and high must rise; they are %(prices)s.")
                % {"measure": line["measure"], "prices": f"{low}, {middle}, {high}"},
                code="price_range",
            )
        PriceListLine.objects.update_or_create(
            measure=line["measure"],
            from_on=date.fromisoformat(price_list["from_on"]),
            defaults={
                "unit": line["unit"],
                "fixed_usd": Decimal(line["fixed_usd"]),
                "usd_per_unit": middle,
                "usd_per_unit_low": low,
                "usd_per_unit_high": high,
                "dollars_year": price_list.get("dollars_year"),
            },
        )
