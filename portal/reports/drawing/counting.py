"""Shares turned into whole strokes: one hundred of them, by largest remainder."""

from __future__ import annotations

import math
from collections.abc import Sequence

from portal.reports.drawing.records import Part, PartCount, PartKey, Place

STROKES = 100


def apportion(
    shares: Sequence[float], seats: int, limits: Sequence[int] | None = None
) -> list[int]:
    """Whole numbers in proportion to the shares that sum to ``seats``, by largest remainder.

    Ties go to the earlier share. With ``limits`` no entry passes its limit, and the sum is the
    smaller of ``seats`` and the sum of the limits.

    Raises
    ------
    ValueError
        A share is negative or not finite, or all are zero while there are seats to give.
    """
    if any(share < 0 or not math.isfinite(share) for share in shares):
        raise ValueError("A share of the heat is negative or not a number.")
    given = [0] * len(shares)
    caps = [seats] * len(shares) if limits is None else list(limits)
    left = min(seats, sum(caps))
    while left > 0:
        open_places = [i for i in range(len(shares)) if given[i] < caps[i]]
        weight = sum(shares[i] for i in open_places)
        if weight <= 0:
            if limits is None:
                raise ValueError("No part of the house loses heat.")
            weights = [1.0 if i in open_places else 0.0 for i in range(len(shares))]
            weight = float(len(open_places))
        else:
            weights = list(shares)
        quotas = {i: left * weights[i] / weight for i in open_places}
        floors = {i: min(int(quotas[i]), caps[i] - given[i]) for i in open_places}
        for i, count in floors.items():
            given[i] += count
        left -= sum(floors.values())
        if sum(floors.values()) == 0 or left < len(open_places):
            order = sorted(open_places, key=lambda i: (-(quotas[i] - int(quotas[i])), i))
            for i in order:
                if left and given[i] < caps[i]:
                    given[i] += 1
                    left -= 1
            if limits is None:
                break
    return given


def _order(part: Part, ducts: Place) -> float:
    """Place of a part from the top of the house down; ducts are where they were found."""
    if part.key is PartKey.DUCTS and ducts is Place.ATTIC:
        return list(PartKey).index(PartKey.CHIMNEY_GAP) + 0.5
    return list(PartKey).index(part.key)


def parts_count(parts: Sequence[Part], ducts: Place = Place.NONE) -> tuple[PartCount, ...]:
    """The parts from the top of the house down, with whole strokes, whole dollars and letters.

    Strokes sum to one hundred; dollars are rounded together, so that they add up to their total.
    A part of less than half a stroke has no letter.

    Raises
    ------
    ValueError
        A share is negative, the same part comes twice, or nothing loses heat.
    """
    if len({part.key for part in parts}) != len(parts):
        raise ValueError("A part of the house is given twice.")
    ordered = sorted(parts, key=lambda part: _order(part, ducts))
    shares = [share for part in ordered for share in (part.share_material, part.share_air)]
    whole = sum(shares)
    strokes = apportion(shares, STROKES)
    kept_shares = [share for part in ordered for share in (part.kept_material, part.kept_air)]
    kept_total = round(STROKES * sum(kept_shares) / whole) if whole > 0 else 0
    kept = (
        apportion(kept_shares, kept_total, strokes)
        if sum(kept_shares) > 0
        else [0] * len(kept_shares)
    )
    # Keeping cannot spill over into a part the plan does not touch.
    kept = [count if share > 0 else 0 for count, share in zip(kept, kept_shares, strict=True)]
    dollars = dollars_count([part.dollars for part in ordered])
    letters = iter("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    taken = {part.letter for part in ordered if part.letter}
    counts = []
    for place, part in enumerate(ordered):
        material, air = strokes[2 * place], strokes[2 * place + 1]
        letter = ""
        if material + air:
            letter = part.letter or next(mark for mark in letters if mark not in taken)
        counts.append(
            PartCount(
                part=part,
                letter=letter,
                material=material,
                air=air,
                kept_material=kept[2 * place],
                kept_air=kept[2 * place + 1],
                dollars=dollars[place],
            )
        )
    return tuple(counts)


def dollars_count(amounts: Sequence[float]) -> list[int]:
    """Amounts in steps of $10 ($1 when all are under $300 together) that add up to their total."""
    total = sum(amounts)
    step = 10 if total >= 300 else 1
    if total <= 0:
        return [0] * len(amounts)
    return [count * step for count in apportion(amounts, round(total / step))]
