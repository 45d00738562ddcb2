"""Words in pictures: none over another, whatever is drawn."""

from __future__ import annotations

import re
from html import unescape
from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from settingslint.report.labels import Box, Label, box_of, place, spread
from settingslint.report.pictures import drawn
from settingslint.report.svg import straightened
from tests.report.conftest import Audited, Estate
from tests.rules.kit import make_plant

SIZES = {"num": 12.0, "label": 13.0, "corner": 10.0}
TEXT = re.compile(r'<text class="(\w+)" x="([\d.-]+)" y="([\d.-]+)"(?: text-anchor="(\w+)")?>([^<]*)</text>')
GROUP = re.compile(r'<g (class="num")( text-anchor="end")?>(.*?)</g>')
ROOM = Box(0, 0, 440, 260)
words = st.text("abcdefgh mW.", min_size=1, max_size=30)
places = st.tuples(st.floats(-50, 500), st.floats(-50, 320), st.sampled_from(["start", "middle", "end"]))
labels = st.lists(st.builds(Label, words, st.lists(places, min_size=1, max_size=6).map(tuple)), max_size=25)
strokes = st.lists(st.lists(st.tuples(st.floats(0, 440), st.floats(0, 260)), min_size=2, max_size=5), max_size=4)


def spelled_out(group: re.Match[str]) -> str:
    """Return the texts of a group with what the group says of them."""
    return re.sub(r"<text ([^>]*)>", rf"<text {group[1]} \1{group[2] or ''}>", group[3])


def boxes_of(svg: str) -> list[tuple[str, Box]]:
    """Return every text of a drawing with what it covers, read back from the drawing."""
    found = TEXT.findall(GROUP.sub(spelled_out, svg))
    assert len(found) == svg.count("<text")
    return [
        (unescape(said), box_of(unescape(said), (float(x), float(y), anchor or "start"), SIZES[look]))
        for look, x, y, anchor, said in found
    ]


def meeting(svg: str) -> list[tuple[str, str]]:
    """Return pairs of texts that cover each other; numbers of one axis may come near."""
    return [
        (one, other)
        for (one, a), (other, b) in combinations(boxes_of(svg), 2)
        if Box(a.left + 1, a.top + 2, a.right - 1, a.bottom - 1).meets(
            Box(b.left + 1, b.top + 2, b.right - 1, b.bottom)
        )
    ]


def test_no_two_texts_meet_in_the_pictures_of_the_example(example: Estate) -> None:
    count = 0
    for plant in example.plants.values():
        for picture in drawn(plant, "2026-11-25, commit 0123456789, with changes that are not committed")[0]:
            assert meeting(picture.svg) == [], (plant.profile.site, picture.name)
            count += 1
    assert count > 40


def test_no_two_texts_meet_in_the_pictures_of_the_kit(audited: Audited) -> None:
    for plant in audited[1].values():
        for picture in drawn(plant, "2026-11-25")[0]:
            assert meeting(picture.svg) == []


@settings(max_examples=150, deadline=None)
@given(
    setpoint=st.integers(100, 190), endpoint=st.integers(40, 90), load=st.integers(20_000, 140_000),
    store=st.integers(90, 170), boiler=st.integers(120, 190), shutdown=st.integers(40, 80), most=st.integers(90, 200),
)  # fmt: skip
def test_no_two_texts_meet_whatever_is_typed(
    setpoint: int, endpoint: int, load: int, store: int, boiler: int, shutdown: int, most: int
) -> None:
    one = make_plant({
        "settings.heating_setpoint": setpoint, "settings.reset_endpoint": endpoint, "building.design_load": load,
        "settings.tank_setpoint": store, "settings.hot_water_boiler_setpoint": boiler,
        "settings.warm_weather_shutdown": shutdown, "emitter.0.maximum_supply": most, "emitter.0.load": load,
    })  # fmt: skip
    pictures, _ = drawn(one, "2026-11-25, commit 0123456789")
    assert pictures
    for picture in pictures:
        assert meeting(picture.svg) == [], picture.name


@settings(max_examples=200, deadline=None)
@given(labels, strokes)
def test_placed_words_never_meet_and_stay_in_the_room(
    wanted: list[Label], lines: list[list[tuple[float, float]]]
) -> None:
    taken = [Box(100, 100, 180, 120)]
    placed = place(wanted, ROOM, taken, lines)
    for one, other in combinations([*(each.box for each in placed), *taken], 2):
        assert not one.meets(other)
    assert all(one.box.within(ROOM) for one in placed)


def test_a_word_that_fits_somewhere_is_never_left_out() -> None:
    same = [Label(f"word {index}", ((200, 100, "middle"),)) for index in range(20)]
    placed = place(same, ROOM)
    assert [one.text for one in placed] == [one.text for one in same]
    assert sum(one.tie is None for one in placed) == 1


def test_a_word_goes_where_no_line_is() -> None:
    label = Label("needed", ((100, 100, "start"), (100, 140, "start")))
    assert place([label], ROOM)[0].base == pytest.approx(100)
    assert place([label], ROOM, strokes=[[(0, 96), (440, 96)]])[0].base == pytest.approx(140)


@settings(max_examples=200)
@given(st.lists(st.floats(0, 300), max_size=12))
def test_spread_positions_keep_order_and_distance(wanted: list[float]) -> None:
    at = spread(wanted, 10, 20, 280)
    order = sorted(range(len(wanted)), key=lambda index: wanted[index])
    for one, other in pairwise(order):
        assert at[other] - at[one] >= 10 - 1e-6
    assert all(20 - 1e-6 <= one <= 280 + 1e-6 for one in at)


@settings(max_examples=200)
@given(st.lists(st.floats(-100, 100), min_size=2, max_size=60))
def test_points_left_out_lie_on_the_line(heights: list[float]) -> None:
    points = [(float(index), y) for index, y in enumerate(heights)]
    kept = straightened(points)
    assert kept[0] == points[0] and kept[-1] == points[-1]
    for x, y in points:
        (x0, y0), (x1, y1) = next(pair for pair in pairwise(kept) if pair[0][0] <= x <= pair[1][0])
        assert y0 + (y1 - y0) * (x - x0) / (x1 - x0) == pytest.approx(y, abs=0.41)
