"""The section drawing: one hundred strokes, labels and table agree, nothing overlaps."""

from __future__ import annotations

import functools
import math
import xml.etree.ElementTree as ElementTree
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from portal.reports.drawing import (
    Appliance,
    ApplianceKind,
    Foundation,
    FoundationWall,
    Part,
    PartKey,
    Place,
    Roof,
    ScopeMark,
    SectionInput,
    Side,
    draw_section,
)
from portal.reports.drawing.counting import apportion, dollars_count, parts_count
from portal.reports.drawing.ink import PHONE, PRINT, SCOPE, WIDE, Layout, Rect
from portal.reports.drawing.labels import segments_cross
from portal.reports.drawing.lettering import Face, text_width
from portal.reports.drawing.sheet import Sheet, figures_text, leader_ends, sheet_make, text_boxes

SVG = "{http://www.w3.org/2000/svg}"


def part(key: str, name: str, material: float, air: float, dollars: float = 100.0) -> Part:
    return Part(PartKey(key), name, material / 100, air / 100, dollars, found_text="As found")


RANCH = SectionInput(
    address="208 Plover Court",
    width_ft=40,
    foundation=Foundation.CRAWL,
    garage=Side.RIGHT,
    attic_insulation_in=6,
    attic_target_in=14,
    ducts=Place.CRAWL,
    appliances=(
        Appliance(ApplianceKind.FURNACE, Place.FIRST_FLOOR),
        Appliance(ApplianceKind.WATER_HEATER, Place.FIRST_FLOOR),
    ),
    parts=(
        part("attic", "Attic floor", 15, 0, 190),
        part("hatch", "Hatch and eaves", 0, 5, 60),
        part("windows", "Windows and doors", 18, 3, 270),
        part("walls", "Outside walls", 17, 0, 220),
        part("garage_wall", "Garage wall", 5, 0, 60),
        part("floor", "Floor", 21, 2, 290),
        part("ducts", "Ducts", 2, 12, 180),
    ),
)
STEAM = SectionInput(
    address="14 Cooperage Lane",
    width_ft=26,
    stories=2,
    story_height_ft=9,
    roof_pitch=0.8,
    foundation=Foundation.BASEMENT,
    foundation_wall=FoundationWall.STONE,
    has_chimney=True,
    attic_insulation_in=3.5,
    attic_target_in=14,
    has_radiators=True,
    appliances=(
        Appliance(ApplianceKind.BOILER, Place.BASEMENT),
        Appliance(
            ApplianceKind.WATER_HEATER,
            Place.BASEMENT,
            has_failed_test=True,
            letter="W",
            name="Water heater",
            found_text="Failed its safety test. Fix first.",
        ),
    ),
    parts=(
        part("attic", "Attic floor", 14, 5, 410),
        part("chimney_gap", "Chimney gap", 0, 6, 130),
        part("bay", "Empty bay", 6, 0, 130),
        part("walls", "Walls, filled", 16, 0, 340),
        part("windows", "Windows and doors", 20, 4, 520),
        part("rim", "Rim joist", 4, 9, 280),
        part("foundation", "Basement", 12, 4, 340),
    ),
)
SPLIT = SectionInput(
    address="31 Millrace Row",
    width_ft=46,
    is_split_level=True,
    stories=2,
    roof_pitch=0.35,
    attic_insulation_in=8,
    ducts=Place.CRAWL,
    appliances=(Appliance(ApplianceKind.FURNACE, Place.FIRST_FLOOR),),
    parts=(
        part("attic", "Attic floor", 18, 3),
        part("windows", "Windows and doors", 23, 4),
        part("walls", "Outside walls", 20, 2),
        part("rim", "Rim joist", 3, 5),
        part("floor", "Floor of the wing", 9, 2),
        part("ducts", "Ducts", 1, 3),
        part("foundation", "Lower walls", 7, 0),
    ),
)
SLAB = SectionInput(
    address="5 Fernhill Drive",
    width_ft=36,
    stories=2,
    roof=Roof.HIP,
    roof_pitch=0.5,
    foundation=Foundation.SLAB,
    garage=Side.LEFT,
    has_room_above_garage=True,
    attic_insulation_in=12,
    ducts=Place.ATTIC,
    appliances=(Appliance(ApplianceKind.HEAT_PUMP, Place.OUTSIDE, is_vented=False),),
    parts=(
        part("attic", "Attic floor", 17, 1),
        part("windows", "Windows and doors", 30, 4),
        part("walls", "Outside walls", 22, 2),
        part("garage_ceiling", "Floor over garage", 5, 2),
        part("garage_wall", "Garage wall", 3, 0),
        part("slab", "Slab edge", 8, 0),
        part("ducts", "Ducts", 2, 4),
    ),
)
BELLY = SectionInput(
    address="17 Larch Loop",
    width_ft=44,
    story_height_ft=7.5,
    roof_pitch=0.2,
    foundation=Foundation.BELLY,
    attic_insulation_in=4,
    has_floor_insulation=True,
    ducts=Place.BELLY,
    parts=(
        part("attic", "Roof cavity", 16, 2),
        part("windows", "Windows and doors", 20, 6),
        part("walls", "Outside walls", 18, 2),
        part("floor", "Belly", 12, 4),
        part("ducts", "Ducts", 4, 16),
    ),
)
DUPLEX = SectionInput(
    address="62 Tallow Street, unit A",
    width_ft=24,
    stories=2,
    foundation=Foundation.BASEMENT,
    is_basement_heated=False,
    party_wall=Side.RIGHT,
    has_chimney=True,
    has_floor_insulation=None,
    attic_insulation_in=None,
    is_wall_filled=None,
    parts=(
        part("attic", "Attic floor", 20, 3),
        part("windows", "Windows and doors", 22, 6),
        part("walls", "Outside walls", 24, 3),
        part("rim", "Rim joist", 2, 4),
        part("floor", "Floor", 12, 4),
    ),
)
FLAT = SectionInput(
    address="9 Sluice Street",
    width_ft=30,
    roof=Roof.FLAT,
    foundation=Foundation.UNKNOWN,
    attic_insulation_in=4,
    is_wall_filled=False,
    parts=(
        part("attic", "Roof", 30, 2),
        part("hatch", "Roof hatch", 0, 4),
        part("windows", "Windows and doors", 20, 5),
        part("walls", "Outside walls", 28, 1),
        part("floor", "Floor", 8, 2),
    ),
)
KNEE = SectionInput(
    address="3 Heron Close",
    width_ft=28,
    stories=1.5,
    roof=Roof.KNEE_WALL,
    foundation=Foundation.BASEMENT,
    has_chimney=True,
    attic_insulation_in=4,
    parts=(
        part("attic", "Attic flats", 7, 1),
        part("slope", "Sloped ceiling", 10, 0),
        part("knee_wall", "Knee walls", 8, 6),
        part("windows", "Windows and doors", 18, 4),
        part("walls", "Outside walls", 16, 1),
        part("rim", "Rim joist", 3, 6),
        part("foundation", "Basement", 16, 4),
    ),
)
HOMES = {
    "ranch": RANCH,
    "steam": STEAM,
    "split": SPLIT,
    "slab": SLAB,
    "belly": BELLY,
    "duplex": DUPLEX,
    "flat": FLAT,
    "knee": KNEE,
}
every_home = pytest.mark.parametrize("home", HOMES.values(), ids=HOMES.keys())
LAYOUTS = (WIDE, PRINT, PHONE)
in_all_sizes = functools.cache(draw_section)


@functools.cache
def drawn(home: SectionInput, layout: Layout) -> Sheet:
    return sheet_make(home, layout, prefix="t", title="Section", description="A cut.")


def stroke_elements(svg: str) -> int:
    root = ElementTree.fromstring(svg)
    return sum(len(group) for group in root.iter(f"{SVG}g") if group.get("class") == "heat")


# -- counting ----------------------------------------------------------------------------


def test_largest_remainder_gives_the_worked_seats() -> None:
    # Hand-worked: quotas 41.6, 33.4, 25.0 leave one seat, which goes to the remainder .6.
    assert apportion([41.6, 33.4, 25.0], 100) == [42, 33, 25]
    # A tie goes to the earlier part: 0.5 and 0.5 of one seat.
    assert apportion([1, 1], 1) == [1, 0]


def test_limits_are_kept_and_the_rest_goes_elsewhere() -> None:
    assert apportion([9, 1], 10, [4, 20]) == [4, 6]
    assert apportion([1, 1], 10, [2, 3]) == [2, 3]


def test_a_negative_share_is_refused() -> None:
    with pytest.raises(ValueError, match="negative"):
        apportion([1.0, -0.1], 100)


def test_a_house_that_loses_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="loses heat"):
        parts_count([part("attic", "Attic", 0, 0)])


def test_dollars_add_up_to_their_total() -> None:
    # Hand-worked: 1,274 is 127 steps of ten; quotas 19.4, 27.5, 80.5 floor to 126, and the
    # first of the two halves gets the last step.
    assert dollars_count([194, 275, 805]) == [190, 280, 800]


def test_letters_run_from_the_top_of_the_house_down() -> None:
    counts = parts_count(RANCH.parts, RANCH.ducts)
    assert [count.letter for count in counts] == list("ABCDEFG")
    assert [count.part.key for count in counts][:2] == [PartKey.ATTIC, PartKey.HATCH]


# -- one hundred strokes -----------------------------------------------------------------


@every_home
@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: layout.name)
def test_every_drawing_has_one_hundred_strokes(home: SectionInput, layout: Layout) -> None:
    sheet = drawn(home, layout)
    assert stroke_elements(sheet.svg) == 100


shares = st.floats(min_value=0, max_value=1, allow_nan=False)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    home=st.sampled_from(sorted(HOMES)),
    materials=st.lists(shares, min_size=16, max_size=16),
    airs=st.lists(shares, min_size=16, max_size=16),
    layout=st.sampled_from(LAYOUTS),
)
def test_any_shares_give_one_hundred_strokes_that_agree_with_the_table(
    home: str, materials: list[float], airs: list[float], layout: Layout
) -> None:
    parts = tuple(
        Part(key, key.value, material, air, 1000 * (material + air))
        for key, material, air in zip(PartKey, materials, airs, strict=True)
    )
    if sum(materials) + sum(airs) <= 0:
        return
    house = replace(HOMES[home], parts=parts)
    counts = parts_count(parts, house.ducts)
    sheet = sheet_make(house, replace(layout, has_labels=False, name="small"), prefix="t",
                       title="t", description="d")  # fmt: skip
    assert stroke_elements(sheet.svg) == 100
    for count in counts:
        own = [stroke for key, stroke in sheet.strokes if key == count.part.key.value]
        assert sum(not stroke.is_air for stroke in own) == count.material
        assert sum(stroke.is_air for stroke in own) == count.air


@every_home
def test_strokes_have_one_length(home: SectionInput) -> None:
    lengths = {
        round(math.dist(stroke.start, stroke.tip), 3)
        for _key, stroke in drawn(home, WIDE).strokes
        if not stroke.is_end_on
    }
    assert lengths == {float(WIDE.stroke)}


def test_what_the_plan_keeps_is_dotted_and_nothing_else() -> None:
    parts = tuple(
        replace(each, kept_material=0.03, kept_air=0.06) if each.key is PartKey.RIM else each
        for each in STEAM.parts
    )
    sheet = drawn(replace(STEAM, parts=parts), WIDE)
    kept = [(key, stroke.is_air) for key, stroke in sheet.strokes if stroke.is_kept]
    assert len(kept) == 9
    assert {key for key, _air in kept} == {"rim"}
    assert sum(air for _key, air in kept) == 6
    assert sheet.svg.count('stroke-dasharray="0.1 ') == 9


# -- labels ------------------------------------------------------------------------------


@every_home
def test_labels_and_table_carry_the_same_figures(home: SectionInput) -> None:
    drawing = in_all_sizes(home)
    counts = parts_count(home.parts, home.ducts)
    texts = [
        "".join(node.itertext()) for node in ElementTree.fromstring(drawing.wide).iter(f"{SVG}text")
    ]
    for count, row in zip(counts, drawing.rows, strict=True):
        assert figures_text(count) in texts
        assert row.of_100 == str(count.material + count.air)
        assert row.material + row.air == count.strokes
        assert row.dollars_text in figures_text(count)
    assert sum(row.material + row.air for row in drawing.rows) == 100
    assert drawing.total.material + drawing.total.air == 100


@every_home
@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: layout.name)
def test_no_two_lines_of_text_overlap(home: SectionInput, layout: Layout) -> None:
    boxes = text_boxes(drawn(home, layout), layout)
    for place, (text, box) in enumerate(boxes):
        for other_text, other in boxes[place + 1 :]:
            assert not box.grown(-0.5).meets(other), f"{text!r} meets {other_text!r}"


@every_home
@pytest.mark.parametrize("layout", [WIDE, PRINT], ids=lambda layout: layout.name)
def test_text_stays_on_the_page_and_off_the_house(home: SectionInput, layout: Layout) -> None:
    sheet = drawn(home, layout)
    tips = [stroke.tip for _key, stroke in sheet.strokes]
    left, right = min(x for x, _ in tips), max(x for x, _ in tips)
    boxes = text_boxes(sheet, layout)
    for text, box in boxes:
        assert box.right < left or box.left > right, text
    edges = [box.left for _t, box in boxes] + [box.right for _t, box in boxes]
    assert max(edges) - min(edges) <= layout.width


@every_home
@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: layout.name)
def test_every_leader_ends_on_its_part(home: SectionInput, layout: Layout) -> None:
    sheet = drawn(home, layout)
    ends = leader_ends(sheet)
    assert len(ends) == len({part for part, _end in ends}) >= len(home.parts)
    for key, end in ends:
        if key.startswith("failed:"):
            box = dict(sheet.scene.failed)[key.removeprefix("failed:")]
            assert box.grown(2).holds(*end)
            continue
        own = [stroke for name, stroke in sheet.strokes if name == key]
        nearest = min(math.dist(end, stroke.tip) for stroke in own)
        assert nearest <= layout.stroke * 0.25, key


@every_home
@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda layout: layout.name)
def test_leaders_do_not_cross(home: SectionInput, layout: Layout) -> None:
    placed = drawn(home, layout).placed
    for place, one in enumerate(placed):
        for other in placed[place + 1 :]:
            for a in zip(one.leader, one.leader[1:], strict=False):
                for b in zip(other.leader, other.leader[1:], strict=False):
                    assert not segments_cross(a, b), f"{one.label.name} and {other.label.name}"


@every_home
def test_letters_run_down_each_column(home: SectionInput) -> None:
    for side in (-1, 1):
        column = [each for each in drawn(home, WIDE).placed if each.side == side]
        column.sort(key=lambda each: each.box.top)
        letters = [each.label.letter for each in column]
        assert letters == sorted(letters)


# -- the house ---------------------------------------------------------------------------


@every_home
def test_all_sizes_are_valid_svg_with_title_and_description(home: SectionInput) -> None:
    drawing = in_all_sizes(home)
    ids = set()
    for svg in (drawing.wide, drawing.phone, drawing.print, drawing.small, drawing.scope):
        root = ElementTree.fromstring(svg)
        title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
        assert title is not None
        assert desc is not None
        assert home.address in (title.text or "")
        assert root.get("aria-labelledby") == f"{title.get('id')} {desc.get('id')}"
        ids.add(title.get("id"))
    assert len(ids) == 5


def test_a_failed_test_is_crossed_in_brick_and_named_first() -> None:
    drawing = in_all_sizes(STEAM)
    assert "#9a3b26" in drawing.wide
    assert drawing.list_rows[0].is_failed
    assert "failed its safety test" in drawing.description
    assert "#9a3b26" not in draw_section(RANCH).wide


def test_nothing_leaves_through_the_shared_wall() -> None:
    sheet = drawn(DUPLEX, WIDE)
    shared = sheet.scene.ft(DUPLEX.width_ft)
    outward = [s for _k, s in sheet.strokes if not s.is_end_on and s.tip[0] - s.start[0] > 1]
    assert not [s for s in outward if s.start[0] > shared - 2]


def test_a_garage_on_the_left_mirrors_the_house() -> None:
    left = drawn(replace(RANCH, garage=Side.LEFT), WIDE)
    garage = [s for key, s in left.strokes if key == "garage_wall"]
    assert all(stroke.tip[0] < stroke.start[0] for stroke in garage)


def test_what_was_not_seen_is_said_so_and_never_drawn() -> None:
    drawing = draw_section(DUPLEX)
    assert "not seen" in drawing.wide
    assert "not seen" not in draw_section(RANCH).wide
    # No insulation loops: neither attic nor walls were seen.
    assert "#1f5a4c" not in drawing.wide


def test_deeper_insulation_is_drawn_deeper() -> None:
    def attic_start(inches: float) -> float:
        sheet = drawn(replace(RANCH, attic_insulation_in=inches, attic_target_in=None), WIDE)
        scale = sheet.scene.scale
        return min(stroke.start[1] for key, stroke in sheet.strokes if key == "attic") / scale

    assert attic_start(12) < attic_start(6) < attic_start(3)


def test_a_part_without_a_place_is_shown_beside_the_house() -> None:
    parts = (*RANCH.parts, part("other", "Bath fans left open", 0, 6))
    sheet = drawn(replace(RANCH, parts=parts), WIDE)
    own = [stroke for key, stroke in sheet.strokes if key == "other"]
    # 6 of 106 is 5.66 of 100; the floors leave seven strokes, which go to seven larger
    # remainders (.98 to .72), so it stays at 5.
    assert len(own) == 5
    lowest = max(stroke.tip[1] for key, stroke in sheet.strokes if key != "other")
    assert min(stroke.start[1] for stroke in own) > lowest


def test_a_tiny_part_has_no_letter_and_is_named_in_words() -> None:
    parts = (*RANCH.parts, Part(PartKey.OTHER, "Dryer vent", 0.001, 0.001, 2))
    drawing = draw_section(replace(RANCH, parts=parts))
    assert "Dryer vent" in drawing.others_line
    assert "other" not in drawing.letters
    assert drawing.rows[-1].of_100 == "under ½"


def test_the_scope_drawing_has_numbers_and_no_strokes() -> None:
    marks = (ScopeMark(PartKey.ATTIC, "2.1"), ScopeMark(PartKey.FLOOR, "1.2"))
    sheet = drawn(replace(RANCH, scope_marks=marks), SCOPE)
    assert stroke_elements(sheet.svg) == 0
    texts = {
        "".join(node.itertext()) for node in ElementTree.fromstring(sheet.svg).iter(f"{SVG}text")
    }
    assert {"2.1", "1.2"} <= texts


@every_home
def test_print_labels_are_ten_points(home: SectionInput) -> None:
    # Letter paper less 16 mm at each side leaves 183.9 mm, or 521 points, for 800 units.
    points_per_unit = (8.5 * 25.4 - 32) / 25.4 * 72 / PRINT.width
    assert PRINT.found_size * points_per_unit >= 10
    assert drawn(home, PRINT).svg.count("<text") > len(home.parts)


def test_text_is_escaped() -> None:
    odd = replace(RANCH, address='5 <b>Main</b> & "Elm"')
    root = ElementTree.fromstring(draw_section(odd).wide)
    title = root.find(f"{SVG}title")
    assert title is not None
    assert "<b>Main</b> &" in (title.text or "")


def test_text_widths_follow_the_fonts() -> None:
    # From the advance widths of the font files: i is 255, m 827 thousandths in Barlow 400.
    assert text_width("im", 10, Face.TOOL) == pytest.approx(10.82)
    assert Rect(0, 0, 2, 2).meets(Rect(1, 1, 3, 3))
