"""Savings as the program claims them: the model's and the manual's side by side.

The program's savings manual says for each kind of measure whether the modeled or the deemed
saving is claimed, by which algorithm and with which parameters. Both are kept with the run.
"""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from calcs import deemed
from calcs.errors import CalcsError
from calcs.inputs import House
from calcs.measures.lives import LIVES
from calcs.results import Analysis, MeasureResult
from portal.core.errors import DomainError
from portal.core.units import UnitRefused, convert
from portal.modeling.models import ModelRun, SavingsManual

MODELED, DEEMED = "modeled", "deemed"


def manual_on(day: date) -> SavingsManual | None:
    """The edition in force on a day, or None where the program has none."""
    return SavingsManual.objects.filter(from_on__lte=day).order_by("-from_on", "-pk").first()


@transaction.atomic
def manual_load(body: Mapping[str, Any]) -> SavingsManual:
    """Publish an edition of the savings manual; the same one again changes nothing.

    Raises
    ------
    DomainError
        A measure, algorithm, parameter or unit is not known, or the edition is published with
        other content.
    """
    _check(body)
    code, edition = str(body["code"]), str(body["edition"])
    found = SavingsManual.objects.filter(code=code, edition=edition).first()
    if found is not None:
        if found.body != dict(body):
            raise DomainError(
                _("%(manual)s is published already; change it by a new edition.")
                % {"manual": found},
                code="manual_published",
            )
        return found
    return SavingsManual.objects.create(
        code=code,
        edition=edition,
        title=str(body["title"]),
        from_on=date.fromisoformat(str(body["from_on"])),
        body=dict(body),
    )


def _check(body: Mapping[str, Any]) -> None:
    if body.get("otherwise") != MODELED:
        raise _fault("otherwise", _("Measures without an algorithm can only be “modeled”."))
    for kind, rule in body["measures"].items():
        if kind not in LIVES:
            raise _fault(kind, _("No measure has this name."))
        if rule.get("claimed") not in (MODELED, DEEMED):
            raise _fault(kind, _("“claimed” is “modeled” or “deemed”."))
        try:
            deemed.check_parameters(rule["algorithm"], _in_si(rule))
        except (CalcsError, UnitRefused, KeyError, TypeError) as error:
            raise _fault(kind, str(error)) from error


def _fault(where: str, why: str) -> DomainError:
    return DomainError(
        _("Savings manual, %(where)s: %(why)s") % {"where": where, "why": why},
        code="manual_fault",
    )


def _in_si(rule: Mapping[str, Any]) -> dict[str, float]:
    """Parameters in the SI units their algorithm names; one it does not know stays as it is."""
    units = deemed.ALGORITHMS[rule["algorithm"]].parameters
    return {
        name: convert(float(entry["value"]), entry["unit"], units.get(name, entry["unit"]))
        for name, entry in rule["parameters"].items()
    }


def claims_of(house: House, found: Analysis, *, day: date) -> dict[str, Any]:
    """Modeled and deemed saving of each measure, and which of the two is claimed, as plain values.

    `house` is the house as recorded, before bills moved any of it.
    Energy is in joules a year by fuel; negative where more is used. The modeled saving is that in
    the package, with its interactions, where the measure is in it; else that of the measure
    alone. Where the manual claims the deemed saving but the record lacks what its algorithm
    needs, the modeled one counts and `is_fallback` says so. Empty without a manual.
    """
    manual = manual_on(day)
    if manual is None:
        return {}
    heating_j = {
        fuel: found.baseline.use_j("heating", fuel) for fuel in sorted(found.baseline.energy_j)
    }
    return {
        "manual": {"code": manual.code, "edition": manual.edition, "title": manual.title,
                   "from_on": manual.from_on.isoformat()},
        "measures": {
            item.id: _claim(item, house, heating_j, manual.body["measures"].get(item.kind))
            for item in found.measures
        },
    }  # fmt: skip


def _claim(
    item: MeasureResult,
    house: House,
    heating_j: Mapping[str, float],
    rule: Mapping[str, Any] | None,
) -> dict[str, Any]:
    saving = item.saving if item.saving is not None else item.saving_alone
    modeled = dict(saving.energy_j)
    claim: dict[str, Any] = {
        "rule": MODELED,
        "claimed": MODELED,
        "is_fallback": False,
        "basis": "alone" if item.saving is None else "package",
        "modeled_j": modeled,
        "deemed_j": None,
        "claimed_j": modeled,
    }
    if rule is None:
        return claim
    job = deemed.Job(
        house=house,
        target_id=item.target_id,
        quantity=item.quantity,
        facts=item.reason_facts,
        heating_j=heating_j,
    )
    result = deemed.deemed_saving(rule["algorithm"], job, _in_si(rule))
    claim["rule"] = rule["claimed"]
    if result is None:
        claim["is_fallback"] = rule["claimed"] == DEEMED
        return claim
    claim["deemed_j"] = dict(result.energy_j)
    claim["algorithm"] = result.algorithm
    claim["formula"] = result.formula
    claim["inputs"] = [
        {"name": entry.name, "value": entry.value, "unit": entry.unit, "how": entry.how}
        for entry in result.inputs
    ]
    if rule["claimed"] == DEEMED:
        claim["claimed"] = DEEMED
        claim["claimed_j"] = claim["deemed_j"]
    return claim


# Unit a fuel's saving is told in.
TOLD_IN = {"electricity": "kWh", "natural_gas": "therms"}
TOLD_IN_ELSE = "MMBtu"
DIGITS = 3


def told(energy_j: Mapping[str, float] | None) -> dict[str, float] | None:
    """Energy by fuel in kWh (electricity), therms (natural gas) or MMBtu (other fuels)."""
    if energy_j is None:
        return None
    return {
        fuel: round(convert(amount, "J", TOLD_IN.get(fuel, TOLD_IN_ELSE)), DIGITS)
        for fuel, amount in sorted(energy_j.items())
        if abs(amount) > 0.0
    }


def claims_told(run: ModelRun, measure_ids: Iterable[str]) -> list[dict[str, Any]]:
    """The claims of some measures in billing units; nothing for a run without a manual."""
    manual = run.claims.get("manual")
    measures: Mapping[str, Any] = run.claims.get("measures", {})
    if manual is None:
        return []
    return [
        {
            "measure": name,
            "manual": manual["code"],
            "edition": manual["edition"],
            "rule": claim["rule"],
            "claimed_by": claim["claimed"],
            "is_fallback": claim["is_fallback"],
            "modeled": told(claim["modeled_j"]),
            "deemed": told(claim["deemed_j"]),
            "claimed": told(claim["claimed_j"]),
        }
        for name in measure_ids
        if (claim := measures.get(name)) is not None
    ]


def energy_words(energy: Mapping[str, float] | None) -> str:
    """Energy by fuel for a table: ``412 kWh, −1.6 therms``; a dash for none."""
    if energy is None:
        return "–"
    parts = []
    for fuel, amount in energy.items():
        unit = TOLD_IN.get(fuel, TOLD_IN_ELSE)
        digits = 0 if abs(amount) >= 20 else 1
        figure = f"{abs(amount):,.{digits}f}"
        if float(figure.replace(",", "")):
            parts.append(f"{'−' if amount < 0 else ''}{figure} {unit}")
    return ", ".join(parts) or _("none")
