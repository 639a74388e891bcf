"""How a model stands to its bills: the account that a run keeps and a report tells."""

from __future__ import annotations

from dataclasses import dataclass

from calcs.bills.outcome import BillsOutcome


@dataclass(frozen=True, kw_only=True)
class FuelMatch:
    """Bills and model of one fuel in the months of the typical year. [J]

    `billed_j` is None where no bill covers a month. NMBE and CV(RMSE) are over the months billed,
    p = 1. `left_out` says why the fuel did not decide; empty: it did.
    """

    fuel: str
    billed_j: tuple[float | None, ...]
    recorded_j: tuple[float, ...]
    fitted_j: tuple[float, ...]
    nmbe_recorded_pct: float | None = None
    cv_recorded_pct: float | None = None
    nmbe_fitted_pct: float | None = None
    cv_fitted_pct: float | None = None
    within_recorded: tuple[str, ...] = ()
    within_fitted: tuple[str, ...] = ()
    left_out: str = ""


@dataclass(frozen=True, kw_only=True)
class Change:
    """One input moved: from, to, its limits, and the fuel whose bills it explains most."""

    key: str
    unit: str
    path: str
    recorded: float
    fitted: float
    low: float
    high: float
    explains: str
    is_at_limit: bool


@dataclass(frozen=True, kw_only=True)
class Calibration:
    """How the model stands to the bills.

    `state` is one of: no_bills, as_recorded (it fits without a change), fitted (with `changes`),
    not_reconciled (no few changes make it fit; the house is as recorded). `limit` names the
    published limits that are met.
    """

    state: str
    limit: str
    changes: tuple[Change, ...]
    fuels: tuple[FuelMatch, ...]
    bills: tuple[BillsOutcome, ...]
    runs: int
    best_tried: tuple[str, ...] = ()

    @property
    def is_fitted(self) -> bool:
        """Whether the bills have had their say: the model agrees with them."""
        return self.state in ("as_recorded", "fitted")
