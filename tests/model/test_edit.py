"""A profile's text is changed in place: what was asked for, and not one character more than that needs.

`tomllib` reads what comes out; the lines that are not concerned are compared one by one.
"""

from __future__ import annotations

import tomllib
from datetime import date
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from settingslint.model.edit import NotEditable, edited
from tests.strategies import TEXTS, profiles, text_of

DAY = date(2026, 11, 24)
LAYOUTS = {
    "table": ("[settings]\n# top\nkeep_warm   = 4    # h\n  reset = true\n\n# who\n[visit]\non = 2026-01-01\n", [
        "[settings]", "# top", "keep_warm   = { value = 3, on = 2026-11-24 }    # h", "  reset = true",
        '  heating_setpoint = 164', "", "# who", "[visit]", "on = 2026-11-24",
    ]),
    "inline": ("settings = { keep_warm = 4, reset = true } # all\n", None),
    "dotted": ("settings.keep_warm = 4\nsettings.reset = true\n[visit]\n", None),
    "own heading": ("[settings.keep_warm] # plate\nvalue = 4 # h\nwhy = \"x\"\n[settings]\nreset = true\n", None),
    "no line end": ("[settings]\nkeep_warm = 4", None),
    "empty": ("[settings]\n[visit]\non = 2026-01-01\n", None),
    "quoted": ('["settings"]\n"keep_warm" = 4\n', None),
    "dotted inside": ("[settings]\nkeep_warm.value = 4\nkeep_warm.why = \"x\"\nreset = true\n", None),
    "nothing": ("", None),
}  # fmt: skip
WANTED: dict[tuple[str, ...], object] = {
    ("settings", "keep_warm"): {"value": 3, "on": DAY}, ("settings", "heating_setpoint"): 164, ("visit", "on"): DAY,
}  # fmt: skip


@pytest.mark.parametrize("name", LAYOUTS)
def test_every_layout(name: str) -> None:
    text, lines = LAYOUTS[name]
    new = edited(text, WANTED)
    data = tomllib.loads(new)
    assert data["settings"]["keep_warm"] == {"value": 3, "on": DAY}
    assert data["settings"]["heating_setpoint"] == 164
    assert data["visit"]["on"] == DAY
    if lines is not None:
        assert new.splitlines() == lines


def test_line_ends_stay() -> None:
    text = LAYOUTS["table"][0].replace("\n", "\r\n")
    new = edited(text, WANTED)
    assert new.count("\n") == new.count("\r\n") == len(LAYOUTS["table"][1] or ())


def test_what_stands_there_already_is_not_touched() -> None:
    text = "[settings]\nkeep_warm = {value=3,on=2026-11-24} # so\nheating_setpoint = 0xA4\n[visit]\non = 2026-11-24\n"
    assert edited(text, WANTED) == text


def test_a_flag_is_not_a_number() -> None:
    assert edited("[settings]\nreset = 1\n", {("settings", "reset"): True}) == "[settings]\nreset = true\n"


def test_none_takes_away() -> None:
    text = '[visit]\non = 2026-01-01\nwhy = "x" # old\nby = "A"\n'
    assert edited(text, {("visit", "why"): None, ("visit", "role"): None}) == '[visit]\non = 2026-01-01\nby = "A"\n'


def test_what_is_no_table_is_refused() -> None:
    with pytest.raises(NotEditable):
        edited("settings = 4\n", WANTED)


BLANKS = st.sampled_from(["", " ", "  ", "\t"])
DATES = st.dates(date(2020, 1, 1), date(2030, 1, 1))


@st.composite
def dated_lines(draw: st.DrawFn) -> str:
    """Return a value as a line of a profile, with a date somewhere in braces and blanks as somebody likes them."""
    b = [draw(BLANKS) for _ in range(6)]
    parts = [f"value{b[0]}={b[1]}{draw(st.integers(1, 99))}", f"on{b[2]}={b[3]}{draw(DATES)}", 'why = "so"']
    inside = f"{b[4]},{b[5]}".join(draw(st.permutations(parts))[: draw(st.integers(1, 3))])
    return f"{{{draw(BLANKS)}{inside}{draw(BLANKS)}}}{draw(BLANKS)}{draw(st.sampled_from(['', '# said']))}"


@settings(max_examples=150, deadline=None)
@given(st.lists(dated_lines(), min_size=1, max_size=6), st.data(), st.sampled_from(["\n", "\r\n"]))
def test_dates_in_braces_keep_their_blanks(lines: list[str], drawn: st.DataObject, end: str) -> None:
    """No value changes: byte for byte the same. One changes: every other line is as it was, where it was."""
    rows = [
        "[settings]",
        *(f"s{number} = {line}" for number, line in enumerate(lines)),
        "",
        "[visit]",
        "on = 2026-01-01",
    ]
    text = end.join(rows) + end
    data = tomllib.loads(text)
    assert edited(text, {}) == text
    same: dict[tuple[str, ...], object] = {("settings", name): value for name, value in data["settings"].items()}
    assert edited(text, {**same, ("nothing", "there"): None}) == text
    one = drawn.draw(st.integers(0, len(lines) - 1))
    new = edited(text, {("settings", f"s{one}"): {"value": 100, "on": DAY}}).split(end)
    assert new[: one + 1] == rows[: one + 1] and new[one + 2 :] == [*rows[one + 2 :], ""]


@settings(max_examples=150, deadline=None)
@given(profiles(), st.data())
def test_everything_else_stays(data: dict[str, Any], drawn: st.DataObject) -> None:
    """Whole profiles at random: the data is the old one with the values put in, and foreign lines are all there."""
    text = text_of(data)
    names = drawn.draw(st.lists(st.sampled_from(sorted({*data["settings"], "keep_warm", "reset"})), unique=True))
    why = drawn.draw(TEXTS)
    values: dict[tuple[str, ...], object] = {("settings", name): {"value": 1, "why": why} for name in names}
    new = edited(text, values)
    expected = tomllib.loads(text)
    expected["settings"].update({name: {"value": 1, "why": why} for name in names})
    assert tomllib.loads(new) == expected
    lines = new.splitlines()
    heading = ""
    for line in text.splitlines():
        heading = line.strip("[]") if line.startswith("[") else heading
        key = line.partition("=")[0].strip()
        concerned = heading.removeprefix("settings.") in names or (heading == "settings" and key in names)
        assert concerned or line in lines
