"""The numbers of the pictures: read back from the drawing, and worked out by hand from formulas of the field."""

from __future__ import annotations

import re
from collections.abc import Sequence
from html import unescape
from itertools import pairwise
from typing import Any

import pytest

from settingslint.report.fate import fate_picture, fates
from settingslint.report.ladder import ladder_picture, out_of_order, rungs_of
from settingslint.report.pictures import drawn, firing_picture, reset_picture
from settingslint.report.svg import Picture
from settingslint.rules.plant import Plant
from tests.report.conftest import Estate
from tests.rules.kit import make_plant

Points = list[tuple[float, float]]
NEAR = 0.8
"""F: a point that lies on a line is left out within a fifth of a pixel; a pixel is about half a degree."""
HOUSE: dict[str, Any] = {
    "settings.heating_setpoint": 160, "settings.reset_endpoint": 70, "settings.warm_weather_shutdown": 62,
    "site.design_outdoor": 0, "building.balance_point": 65, "building.design_load": 80_000,
    "building.indoor_design": 70, "emitter.0.load": 80_000, "emitter.0.design_supply": 160,
    "emitter.0.design_return": 140,
}  # fmt: skip
"""A house whose lines can be worked out by hand, F and Btu/h; the kit's control begins its line at 2 F."""


def house(changes: dict[str, Any] | None = None) -> Plant:
    """Return the house, changed."""
    return make_plant(HOUSE | (changes or {}))


def lines(picture: Picture, look: str) -> list[Points]:
    """Return the points of the lines of one look, in the numbers that the near scales of the picture say."""
    (x0, across), (y0, up) = scales(picture)
    return [
        [(x0 + float(x) * across, y0 + float(y) * up) for x, y in (pair.split(",") for pair in found.split())]
        for found in re.findall(rf'<polyline class="{look}" points="([^"]*)"', picture.svg)
    ]


def scales(picture: Picture) -> tuple[tuple[float, float], tuple[float, float]]:
    """Return number at pixel 0 and numbers a pixel of both near scales."""
    level = re.findall(r'<text class="num" x="([\d.]+)" y="314" text-anchor="middle">([\d,-]+)</text>', picture.svg)
    upright = re.findall(r'<text class="num" x="56" y="([\d.]+)" text-anchor="end">([\d,-]+)</text>', picture.svg)
    return _scale(level or [("0", "0"), ("1", "1")], 0), _scale(upright, 4)


def _scale(found: Sequence[tuple[str, str]], shift: float) -> tuple[float, float]:
    (at0, low), (at1, high) = (
        (float(place) - shift, float(number.replace(",", ""))) for place, number in (found[0], found[-1])
    )
    step = (high - low) / (at1 - at0)
    return low - at0 * step, step


def at(line: Points, x: float) -> float:
    """Return the height of a line at a place."""
    (x0, y0), (x1, y1) = next(pair for pair in pairwise(line) if pair[0][0] - 0.2 <= x <= pair[1][0] + 0.2)
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)


@pytest.mark.parametrize("outdoor", [4, 20, 36, 53, 61])
def test_the_effective_line_goes_straight_from_its_cold_end_to_its_end_point(outdoor: int) -> None:
    """One number, (70 F, 70 F), and the set point of 160 F at 2 F: a straight line, common practice, no source."""
    (line,) = lines(reset_picture(house(), ""), "effective")
    assert at(line, outdoor) == pytest.approx(160 - (outdoor - 2) * (160 - 70) / (70 - 2), abs=NEAR)
    assert line[-1][0] == pytest.approx(62, abs=0.2), "it ends where warm weather shuts it down"


@pytest.mark.parametrize("outdoor", [0, 10, 25, 40, 60])
def test_the_need_and_the_return_are_those_of_the_emitters(outdoor: int) -> None:
    """EN 442-2: output goes with the excess temperature to the power n, 1.3 for a radiator; the drop with the load."""
    part = (65 - outdoor) / 65
    picture = reset_picture(house(), "")
    (need,), (back,), (supply,) = (lines(picture, look) for look in ("need", "return", "effective"))
    assert at(need, outdoor) == pytest.approx(70 + (150 - 70) * part ** (1 / 1.3) + 20 * part / 2, abs=NEAR)
    assert at(supply, outdoor) - at(back, outdoor) == pytest.approx(20 * part, abs=1.2)


def test_ceilings_and_shutdown_stand_at_their_values() -> None:
    picture = reset_picture(house(), "")
    levels = sorted(line[0][1] for line in lines(picture, "ceiling"))
    assert levels == [pytest.approx(190, abs=NEAR)]  # the emitter's and the operating limit are the same
    ((low, _), (high, _)) = lines(picture, "stop")[0]
    assert low == high == pytest.approx(62, abs=0.2)
    assert dict(picture.facts)["maximum of emitter 1, operating limit"] == "190 F (87.8 C)"


def test_the_caption_says_how_far_the_supply_is_short_and_where() -> None:
    """At 0 F the need is 160 F; a set point of 140 F is 20 F short of it, and a line that falls faster no less."""
    picture = reset_picture(house({"settings.heating_setpoint": 140}), "")
    assert "worst at 0 F (-17.8 C), by 20 F (11.1 K)" in picture.caption
    assert (
        "past the maximum of emitter 1, 150 F (65.6 C)"
        in reset_picture(house({"emitter.0.maximum_supply": 150}), "").caption
    )


def test_what_was_typed_and_is_not_obeyed_has_a_dotted_line() -> None:
    picture = reset_picture(house({"settings.reset_endpoint": 70}), "")
    assert lines(picture, "typed") == []
    capped = make_plant(HOUSE | {"settings.heating_setpoint": 160}, control={
        "setting.heating_setpoint.range": {"low": 80, "high": 150, "outside": "moved to the end"},
    })  # fmt: skip
    picture = reset_picture(capped, "")
    (typed,), (effective,) = lines(picture, "typed"), lines(picture, "effective")
    assert at(typed, 2) == pytest.approx(160, abs=NEAR)
    assert at(effective, 2) == pytest.approx(150, abs=NEAR)


def test_the_load_is_a_straight_line_and_cycling_starts_where_it_meets_low_fire() -> None:
    """Low fire 15,000 Btu/h x 0.92, high fire while heating 90 % of 118,000 x 0.92; load from 65 F to 80,000 at 0 F."""
    picture = firing_picture(house(), "")
    (load,) = lines(picture, "effective")
    for outdoor in (0, 20, 40, 60):
        assert at(load, outdoor) == pytest.approx(80_000 * (65 - outdoor) / 65, abs=500)
    low, high = sorted(line[0][1] for line in lines(picture, "edge"))
    assert low == pytest.approx(15_000 * 0.92, abs=500)
    assert high == pytest.approx(0.9 * 118_000 * 0.92, abs=500)
    start = 65 - 65 * 15_000 * 0.92 / 80_000
    assert lines(picture, "stop")[0][0][0] == pytest.approx(start, abs=0.2)
    assert picture.caption.startswith(f"Above {start:.0f} F")


def test_the_rungs_stand_at_their_values_and_those_out_of_order_stand_out() -> None:
    plant = house({"settings.hygiene_cycle": True, "settings.hygiene_target": 151})
    picture = ladder_picture(plant, "")
    # cold water, maximum at the taps (120 F), 145 less 4, tank, hygiene target, boiler, operating and high limit
    expected = [46, 120, 141, 145, 151, 172, 190, 206]
    assert [line[0][1] for line in lines(picture, "rung")] == [pytest.approx(one, abs=NEAR) for one in expected]
    assert picture.caption.startswith("The rungs are in order")
    wrong = house({"settings.hot_water_boiler_setpoint": 140})
    assert out_of_order(rungs_of(wrong)) == ["boiler for hot water"]
    picture = ladder_picture(wrong, "")
    assert [line[0][1] for line in lines(picture, "rung out")] == [pytest.approx(140, abs=NEAR)]
    assert "! boiler for hot water 140 F (60 C)" in picture.svg
    assert picture.caption.startswith("Out of order: boiler for hot water;")


def test_a_ribbon_is_broken_where_the_value_changed() -> None:
    plant = make_plant(HOUSE | {"settings.heating_setpoint": 160}, control={
        "setting.heating_setpoint.range": {"low": 80, "high": 150, "outside": "moved to the end"},
    })  # fmt: skip
    broken = [one for one in fates(plant) if one.broken]
    assert [(one.setting, one.asked, one.breaks) for one in broken] == [("heating_setpoint", "160 F", (True, False))]
    assert broken[0].effective == "150 F (65.6 C)"
    picture = fate_picture(plant, "")
    assert picture is not None
    assert picture.svg.count('class="jag"') == 1
    assert picture.caption.endswith("typed values do not run as typed: heating set point.")


def test_every_typed_value_has_a_ribbon(example: Estate) -> None:
    for plant in example.plants.values():
        typed = [one for one in plant.profile.settings.values() if one.typed is not None]
        picture = fate_picture(plant, "")
        assert picture is not None
        (names,) = re.findall('<g class="num" text-anchor="end">(.*?)</g>', picture.svg)
        assert names.count("<text") == len(typed)
        ribbons = "".join(re.findall('<path class="ribbon[^"]*" d="([^"]*)"', picture.svg))
        assert ribbons.count("M") == len(typed) + picture.svg.count('class="jag"')


def test_pictures_say_in_words_what_they_show_with_both_units_date_and_commit(example: Estate) -> None:
    for plant in example.plants.values():
        for picture in drawn(plant, "2026-11-25, commit 0123456789")[0]:
            said = unescape(re.search('aria-label="([^"]*)"', picture.svg).group(1))  # type: ignore[union-attr]
            assert picture.caption in said
            assert "2026-11-25, commit 0123456789</text>" in picture.svg
            assert len(picture.facts) > (picture.name != "fate")
            assert picture.caption.count(". ") == 0 and picture.caption.endswith(".")
            if picture.name != "fate":
                assert any(re.search(r"\d F \(-?[\d.]+ C\)|\d C \(-?[\d.]+ F\)", text) for _, text in picture.facts)
