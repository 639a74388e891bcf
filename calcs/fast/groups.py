"""From the arrays of an assembly to lanes: alike elements together, chains cut, faces known."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import log2
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calcs._assembly import Assembly
from calcs._kernel_data import GROUND_FACE, OUTDOOR_FACE, SIGMA, Row
from calcs.fast import layout as at
from calcs.fast.chains import TIGHT_W_PER_M2K, ReducedChain, UnfitError, reduce_chain
from calcs.fast.layout import FILL, ROWS, WIDTH, Lanes, Series
from calcs.fast.outside import Air, OuterFace, OuterSeries, outer_series
from calcs.network import Options

FloatArray = NDArray[np.float64]

START_C = 20.0
SUN_ROWS = (
    (at.BEAM_A, at.DIFFUSE_A, at.MORE_SUN_A),
    (at.BEAM_B, at.DIFFUSE_B, at.MORE_SUN_B),
)
Light = tuple[Row, float]  # a row of sun and the share of it, W/m²
LEAST_BACKING_W_PER_M2K = 0.05
INSIDE_FILM_W_PER_M2K = 8.0
STATE_ROWS = (
    (at.DECAY_1, at.SHARE_1A, at.SHARE_1B, at.STATE_1),
    (at.DECAY_2, at.SHARE_2A, at.SHARE_2B, at.STATE_2),
    (at.DECAY_3, at.SHARE_3A, at.SHARE_3B, at.STATE_3),
    (at.DECAY_4, at.SHARE_4A, at.SHARE_4B, at.STATE_4),
)


@dataclass(eq=False)
class Group:
    """Elements that differ in nothing but the sun they get and their views inside."""

    members: list[int]
    areas: list[float]
    chain: ReducedChain
    conductance: float  # steady, face to face, W/m²K
    faces: list[OuterFace | None]
    lights: list[Light | None]  # sun taken by the panes before the outermost


@dataclass(frozen=True, eq=False)
class Members:
    """Elements of all groups: number, place of the group's lane, share of its area."""

    element: NDArray[np.int64]
    place: NDArray[np.int64]
    share: FloatArray


@dataclass(frozen=True, eq=False)
class Reduction:
    """Lanes and series, and which elements are behind each lane."""

    lanes: Lanes
    series: Series
    sun_weight: FloatArray  # 2 x zones: share of beam, of diffuse kept by the conditioned space
    air: Air
    wind_outside: bool
    groups: tuple[tuple[int, Group], ...]  # lane, group
    members: Members
    lane_count: int


def place_of(lane: int) -> int:
    """Where the first row of a lane stands in the working array."""
    return (lane // WIDTH) * at.BLOCK + lane % WIDTH


class _Places:
    """Lanes handed out one after the other, in blocks."""

    def __init__(self) -> None:
        self.lanes: list[tuple[int, Group]] = []
        self.segments: list[tuple[int, int, int]] = []
        self.runs: list[tuple[int, int, int]] = []
        self.pairs: list[tuple[int, int, int]] = []
        self.cursor = self.before = 0

    def add(self, faces: int, groups: list[Group]) -> int:
        """Lanes for groups of one kind; says the place of the first."""
        filled = -(-len(groups) // FILL) * FILL
        if self.cursor % WIDTH + filled > WIDTH:
            self.cursor += WIDTH - self.cursor % WIDTH
        lane, place = self.cursor, place_of(self.cursor)
        if self.segments and self.segments[-1][0] == faces and lane % WIDTH:
            # Work goes on in the same segment.
            faces, begin, self.before = self.segments.pop()
        else:
            begin, self.before = place, 0
        self.segments.append((faces, begin, self.before + filled))
        self.lanes += [(lane + i, group) for i, group in enumerate(groups)]
        self.cursor += filled
        return place


def reduce(assembly: Assembly, options: Options) -> Reduction:
    """Lanes of the fast loop for an assembly.

    Raises
    ------
    UnfitError
        Three panes or more whose gaps follow their temperature, light in the middle of an
        element, or a wall too thick for its states.
    """
    builder = _Builder(assembly, options)
    return builder.build()


class _Builder:
    def __init__(self, assembly: Assembly, options: Options) -> None:
        self.assembly, self.options = assembly, options
        self.c = assembly.columns
        self.step_s = 3600.0 / options.steps_per_hour
        self.conditioned = assembly.air.is_conditioned.tolist()
        self.warmth = self._warmth()

    def build(self) -> Reduction:
        one: dict[Any, Group] = {}
        two: dict[Any, Group] = {}
        for e in range(len(self.c["first"])):
            key, chain, face = self._describe(e)
            where = two if self.c["zone_b"][e] >= 0 else one
            if key not in where:
                where[key] = Group([], [], chain, self._conductance(e), [], [])
            group = where[key]
            group.members.append(e)
            group.areas.append(self.c["area"][e])
            group.faces.append(face)
            group.lights.append(self._light(e))
        return self._lay(list(one.values()), list(two.values()))

    def _warmth(self) -> list[float]:
        """Of each zone, 1 where rooms are heated, else by what it gets from rooms and open air."""
        c, air = self.c, self.assembly.air
        zones = len(self.conditioned)
        rooms, outside = [0.0] * zones, [1e-6] * zones
        for e in range(len(c["first"])):
            za, zb = c["zone_a"][e], c["zone_b"][e]
            films = 2.0 / INSIDE_FILM_W_PER_M2K
            through = c["area"][e] / (1.0 / self._conductance(e) + films)
            for zone, other in ((za, zb), (zb, za)):
                if zone < 0 or self.conditioned[zone]:
                    continue
                if other >= 0 and self.conditioned[other]:
                    rooms[zone] += through
                elif other == OUTDOOR_FACE:
                    outside[zone] += through
        for z in range(zones):
            if not self.conditioned[z]:
                flow = float(self.assembly.forcing.air_change[z].mean()) + air.leak_wind[z]
                outside[z] += self.assembly.rho_cp_j_per_m3k * flow
        # Steps of an eighth, so that variants of a house share series.
        return [
            1.0 if self.conditioned[z] else round(8.0 * rooms[z] / (rooms[z] + outside[z])) / 8.0
            for z in range(zones)
        ]

    def _nodes(self, e: int, name: str) -> tuple[float, ...]:
        return tuple(self.c[name][self.c["first"][e] : self.c["last"][e] + 1])

    def _conductance(self, e: int) -> float:
        """Steady conductance of an element, gaps at room temperature. [W/m²K]"""
        stars = self._nodes(e, "gap_emittance")[:-1]
        links = self._nodes(e, "conductance")[:-1]
        whole = [link + 5.7 * star for link, star in zip(links, stars, strict=True)]
        return 1.0 / max(sum(1.0 / link for link in whole), 1.0 / TIGHT_W_PER_M2K)

    def _describe(self, e: int) -> tuple[Any, ReducedChain, OuterFace | None]:
        c = self.c
        capacity, conductance = self._nodes(e, "capacity"), self._nodes(e, "conductance")
        star = self._nodes(e, "gap_emittance")
        is_soft = any(value > 0.0 for value in star)
        if is_soft and len(capacity) > 2:
            raise UnfitError("a window with more than two panes whose gaps follow temperature")
        chain = reduce_chain(capacity, (0.0,) * 2 if is_soft else conductance, self.step_s)
        face: OuterFace | None = None
        shared: tuple[Any, ...] = ()
        if c["zone_b"][e] == OUTDOOR_FACE:
            face = self._outer(e, capacity, conductance)
            shared = (
                face.film, face.emittance, face.to_sky, face.roughness, face.windward,
                face.leeward, face.constant, face.up, c["bypass"][e] / c["area"][e],
            )  # fmt: skip
        elif c["zone_b"][e] >= 0 or c["zone_b"][e] == GROUND_FACE:
            shared = (e,)
        key = (
            c["zone_a"][e], c["zone_b"][e], capacity, conductance, c["up_a"][e], c["film_a"][e],
            c["counted"][e], self.assembly.components[e], shared,
            (self._nodes(e, "slope"), star) if is_soft else (),
        )  # fmt: skip
        return key, chain, face

    def _outer(
        self,
        e: int,
        capacity: tuple[float, ...],
        conductance: tuple[float, ...],
    ) -> OuterFace:
        c = self.c
        last = c["last"][e]
        row, absorbed = c["source"][last], c["source_factor"][last]
        links = conductance[: len(capacity) - 1]
        backing = 1.0 / (1.0 / self._conductance(e) + 1.0 / INSIDE_FILM_W_PER_M2K)
        if not self.conditioned[c["zone_a"][e]]:
            # A loft follows its roof: half of what is behind the face is as warm as the face.
            backing *= 0.5
        # A ladder of backings, so that a face keeps its series when insulation is added behind.
        backing = max(2.0 ** (round(2.0 * log2(backing)) / 2.0), LEAST_BACKING_W_PER_M2K)
        has_layer = len(capacity) > 1 and capacity[-2] > 0.0
        return OuterFace(
            film=c["film_b"][e],
            emittance=c["exchange_b"][e],
            to_sky=c["to_sky"][e],
            roughness=c["roughness"][e],
            windward=c["windward"][e],
            leeward=c["leeward"][e],
            constant=c["constant_b"][e],
            up=c["up_b"][e],
            absorbed=absorbed if row >= 0 else 0.0,
            sun=self.assembly.sun[row] if row >= 0 else None,
            store=capacity[-1],
            link=links[-1] if has_layer else 1.0e3,
            next_store=capacity[-2] if has_layer and len(capacity) > 2 else 0.0,
            backing=backing,
            warmth=self.warmth[c["zone_a"][e]],
        )

    def _lay(self, one: list[Group], two: list[Group]) -> Reduction:
        c = self.c
        found = self._place(one, two)
        blocks = -(-found.cursor // WIDTH)
        rows = np.zeros(blocks * at.BLOCK)
        by_row = rows.reshape(blocks, ROWS, WIDTH)
        by_row[:, [at.SELF_A // WIDTH, at.SELF_B // WIDTH]] = 1.0
        outer: list[tuple[int, Group]] = []
        ground: list[tuple[int, int]] = []
        light_in = (self.assembly.forcing.beam + self.assembly.forcing.diffuse).sum(axis=1)
        most_lit = int(light_in.argmax())
        more: list[tuple[int, int, float, float]] = []
        for lane, group in found.lanes:
            place = place_of(lane)
            for row, value in self._constants(group).items():
                rows[place + row] = value
            e = group.members[0]
            zone_b = c["zone_b"][e] if c["zone_b"][e] >= 0 else c["zone_a"][e]
            for zone, (beam, diffuse, sun) in zip((c["zone_a"][e], zone_b), SUN_ROWS, strict=True):
                if zone == most_lit:
                    continue
                if light_in[zone] > 0.0:
                    shares = float(rows[place + beam]), float(rows[place + diffuse])
                    more.append((place + sun, zone, *shares))
                rows[[place + beam, place + diffuse]] = 0.0
            if c["zone_b"][e] == OUTDOOR_FACE:
                outer.append((place, group))
            elif c["zone_b"][e] == GROUND_FACE:
                ground.append((place, c["ground"][e]))
        series, light, open_air = self._series([group for _, group in outer])
        zones = len(self.conditioned)
        bypass = np.zeros(zones)
        for e, value in enumerate(c["bypass"]):
            bypass[c["zone_a"][e]] += value
        places = [(place, row) for (place, _), row in zip(outer, light, strict=True)]
        return Reduction(
            lanes=Lanes(
                rows=rows,
                segments=np.array(found.segments, dtype=np.int64).reshape(-1, 3),
                runs=np.array(found.runs, dtype=np.int64).reshape(-1, 3),
                pairs=np.array(found.pairs, dtype=np.int64).reshape(-1, 3),
                is_lit=light_in > 0.0,
                most_lit=np.array([most_lit]),
                more_sun=np.array([item[:2] for item in more], dtype=np.int64).reshape(-1, 2),
                more_share=np.array([item[2:] for item in more]).reshape(-1, 2),
                outer=np.array(places, dtype=np.int64).reshape(-1, 2),
                ground=np.array(ground, dtype=np.int64).reshape(-1, 2),
                heated=np.array([self._main_zone(found.pairs)]),
                bypass=bypass,
            ),
            series=series,
            sun_weight=self._sun_weight(),
            air=open_air,
            wind_outside=self.options.exterior_convection == "wind",
            groups=tuple(found.lanes),
            members=_members(found.lanes),
            lane_count=blocks * WIDTH,
        )

    def _place(self, one: list[Group], two: list[Group]) -> _Places:
        """Lanes of groups: those at one zone in runs side by side, then those between zones."""
        c = self.c
        runs: dict[int, list[Group]] = {}
        for group in one:
            runs.setdefault(c["zone_a"][group.members[0]], []).append(group)
        found = _Places()
        for zone in sorted(runs):
            for first in range(0, len(runs[zone]), WIDTH):
                place = found.add(1, runs[zone][first : first + WIDTH])
                found.runs.append((zone, place, found.segments[-1][2] - found.before))
        for first in range(0, len(two), WIDTH):
            some = two[first : first + WIDTH]
            place = found.add(2, some)
            for i, group in enumerate(some):
                e = group.members[0]
                found.pairs.append((place + i, c["zone_a"][e], c["zone_b"][e]))
        return found

    def _main_zone(self, pairs: list[tuple[int, int, int]]) -> int:
        """The zone with a plant, when it is one and all that joins zones joins them to it."""
        air = self.assembly.air
        if sum(self.conditioned) != 1:
            return -1
        main = self.conditioned.index(1)
        joined = [(za, zb) for _, za, zb in pairs]
        joined += list(zip(air.path_source.tolist(), air.path_target.tolist(), strict=True))
        return main if all(main in pair or pair[0] == pair[1] for pair in joined) else -1

    def _constants(self, group: Group) -> dict[int, float]:
        """What goes into the rows of a group's lane."""
        c, chain = self.c, group.chain
        e, total = group.members[0], sum(group.areas)
        weights = [area / total for area in group.areas]

        def mean(values: list[float]) -> float:
            return sum(w * values[i] for w, i in zip(weights, group.members, strict=True))

        sun = [self._inside_sun(i, chain) for i in group.members]

        def mean_sun(k: int) -> float:
            return sum(w * item[k] for w, item in zip(weights, sun, strict=True))

        warmer_a, cooler_a = self._convection(c["up_a"][e])
        warmer_b, cooler_b = self._convection(c["up_b"][e])
        start = START_C * (chain.share[:, 0] + chain.share[:, 1]) / (1.0 - chain.decay)
        found = {
            at.AREA: total, at.AREA_STORED: total * c["stored"][e],
            at.SELF_A: chain.self_a, at.SELF_B: chain.self_b, at.ACROSS: chain.across,
            at.STORE_A: chain.store_a, at.STORE_B: chain.store_b,
            at.WARMER_A: warmer_a, at.COOLER_A: cooler_a,
            at.FILM_A: c["film_a"][e],
            at.FREE_A: float(c["film_a"][e] == 0.0),
            at.STAR_A: 4.0 * SIGMA * mean(c["exchange_a"]) * (c["film_a"][e] == 0.0),
            at.BEAM_A: mean_sun(0), at.DIFFUSE_A: mean_sun(1),
            at.BEAM_B: mean_sun(2), at.DIFFUSE_B: mean_sun(3),
            at.END_A: START_C, at.END_B: START_C,
        }  # fmt: skip
        for i, (decay, share_a, share_b, state) in enumerate(STATE_ROWS):
            found |= {
                decay: float(chain.decay[i]), state: float(start[i]),
                share_a: float(chain.share[i, 0]), share_b: float(chain.share[i, 1]),
            }  # fmt: skip
        star = self._nodes(e, "gap_emittance")
        if any(value > 0.0 for value in star):
            found |= {
                at.GAP: self._nodes(e, "conductance")[0],
                at.GAP_SLOPE: self._nodes(e, "slope")[0],
                at.GAP_STAR: 4.0 * SIGMA * star[0],
            }
        if c["zone_b"][e] >= 0:
            found |= {
                at.WARMER_B: warmer_b, at.COOLER_B: cooler_b,
                at.FILM_B: c["film_b"][e],
                at.FREE_B: float(c["film_b"][e] == 0.0),
                at.STAR_B: 4.0 * SIGMA * c["exchange_b"][e] * (c["film_b"][e] == 0.0),
            }  # fmt: skip
        elif c["zone_b"][e] == GROUND_FACE:
            found[at.TOTAL_B] = c["film_b"][e]
        return found

    def _convection(self, up: float) -> tuple[float, float]:
        """Coefficient of a face warmer and cooler than the air, over the root or as it is."""
        if self.options.interior_convection == "natural":
            thin = self.assembly.thinness
            rising, still = thin * 9.482 / (7.238 - abs(up)), thin * 1.810 / (1.382 + abs(up))
        elif abs(up) < 0.5:
            rising = still = 2.5
        else:
            rising, still = 5.0, 0.7
        if up > 0.0:
            return rising, still
        return (still, rising) if up < 0.0 else (still, still)

    def _inside_sun(self, e: int, chain: ReducedChain) -> tuple[float, float, float, float]:
        """Shares of beam and diffuse that arrive at end a and at end b, per area. [1/m²]"""
        beam, diffuse = self._nodes(e, "beam_share"), self._nodes(e, "diffuse_share")
        if self.c["zone_b"][e] >= 0:
            return beam[0], diffuse[0], beam[-1], diffuse[-1]
        reach = chain.reach_a[: len(beam)]
        rest = 1.0 - reach
        return (
            float(reach @ beam), float(reach @ diffuse), float(rest @ beam), float(rest @ diffuse),
        )  # fmt: skip

    def _sun_weight(self) -> FloatArray:
        """Share of each zone's sun that the conditioned space keeps, as the full loop counts it."""
        c = self.c
        weight = np.zeros((2, len(self.conditioned)))
        for e in range(len(c["first"])):
            if not c["stored"][e]:
                continue
            for i in range(c["first"][e], c["last"][e] + 1):
                if c["counted"][e] and c["zone_b"][e] >= 0 and i == c["last"][e]:
                    continue
                zone = c["sun_zone"][i]
                weight[0, zone] += c["area"][e] * c["beam_share"][i]
                weight[1, zone] += c["area"][e] * c["diffuse_share"][i]
        return weight

    def _series(self, outer: list[Group]) -> tuple[Series, list[int], Air]:
        assembly, options = self.assembly, self.options
        air = Air(
            key=(assembly.weather, options.sky_model),
            outdoor=assembly.forcing.outdoor,
            sky=assembly.forcing.sky,
            wind=assembly.forcing.wind,
            steps_per_hour=options.steps_per_hour,
            thinness=assembly.thinness,
        )
        faces: list[tuple[tuple[OuterFace, float], ...]] = []
        lights: list[tuple[Light, ...]] = []
        light = [-1] * len(outer)
        for i, group in enumerate(outer):
            area = sum(group.areas)
            shares = [a / area for a in group.areas]
            faces.append(
                tuple((f, x) for f, x in zip(group.faces, shares, strict=True) if f is not None)
            )
            lit = tuple(
                (found[0], found[1] * share)
                for found, share in zip(group.lights, shares, strict=True)
                if found is not None
            )
            if lit:
                light[i] = len(lights)
                lights.append(lit)
        exponents = tuple(2.0 * value for value in assembly.air.leak_exponent.tolist())
        total, current, fall = _outer_rows(air, tuple(faces), options.exterior_convection == "wind")
        return (
            Series(
                total=total,
                current=current,
                fall=fall,
                light=_light_rows(air, tuple(lights)),
                wind_power=_wind_power(air, exponents),
            ),
            light,
            air,
        )

    def _light(self, e: int) -> Light | None:
        """Sun taken by the panes before the outermost, all of it at end a."""
        c = self.c
        found: Light | None = None
        for i in range(c["first"][e], c["last"][e]):
            if c["source"][i] >= 0 and c["source_factor"][i] > 0.0:
                if i != c["first"][e]:
                    raise UnfitError("light in the middle of an element")
                found = (self.assembly.sun[c["source"][i]], c["source_factor"][i])
        return found


def _members(lanes: list[tuple[int, Group]]) -> Members:
    rows = [
        (e, place_of(lane), area / sum(group.areas))
        for lane, group in lanes
        for e, area in zip(group.members, group.areas, strict=True)
    ]
    return Members(
        element=np.array([row[0] for row in rows], dtype=np.int64),
        place=np.array([row[1] for row in rows], dtype=np.int64),
        share=np.array([row[2] for row in rows]),
    )


# Stacked rows are kept whole: most variants of a house leave its outside as it is.
@lru_cache(maxsize=16)
def _outer_rows(
    air: Air, faces: tuple[tuple[tuple[OuterFace, float], ...], ...], wind_outside: bool
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Total, current and fall of groups, a row each."""
    shape = (len(faces), len(air.outdoor))
    total, current, fall = np.empty(shape), np.empty(shape), np.empty(shape)
    for i, parts in enumerate(faces):
        total[i], current[i], fall[i] = _merged(air, parts, wind_outside)
    return total, current, fall


@lru_cache(maxsize=16)
def _light_rows(air: Air, lights: tuple[tuple[Light, ...], ...]) -> FloatArray:
    """Light in the inner panes of groups, a row each, by step."""
    rows = np.zeros((len(lights), len(air.outdoor)))
    for i, parts in enumerate(lights):
        for row, share in parts:
            rows[i] += share * np.repeat(row.values, air.steps_per_hour)
    return rows


@lru_cache(maxsize=128)
def _merged(
    air: Air, parts: tuple[tuple[OuterFace, float], ...], wind_outside: bool
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Total, current and fall of faces side by side, right at their estimated temperatures."""
    found: list[tuple[OuterSeries, float]] = [
        (outer_series(air, face, wind_outside), share) for face, share in parts
    ]
    if len(found) == 1:
        return found[0][0].total, found[0][0].current, found[0][0].fall
    total, fall, now, before, leaving = (np.zeros_like(air.outdoor) for _ in range(5))
    for item, share in found:
        earlier = np.roll(item.estimate, 1)
        total += share * item.total
        fall += share * item.fall
        now += share * item.estimate
        before += share * earlier
        leaving += share * (item.total * item.estimate + item.fall * earlier - item.current)
    return total, total * now + fall * before - leaving, fall


@lru_cache(maxsize=16)
def _wind_power(air: Air, exponents: tuple[float, ...]) -> FloatArray:
    """Wind to the power of each zone's leaks, a row each."""
    return np.array([air.wind**exponent for exponent in exponents])
