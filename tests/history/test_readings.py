"""Readings of a visit from TOML, CSV and questions: the same data from each, and clear refusals."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from settingslint.history.asking import ask_readings
from settingslint.history.readings import Readings, read_readings, readings_of
from settingslint.model.values import Unreadable
from settingslint.rules.plant import Plant
from tests.rules.kit import make_plant

CONTROL = {
    "control.entry_order": ["heating_setpoint", "tank_setpoint", "high_limit"],
    "setting.heating_setpoint.label": "House water", "setting.tank_setpoint.label": "Differential",
    "setting.high_limit.label": "Stop", "setting.operating_limit.label": "stop",
}  # fmt: skip
TOML = """
serial = "K-1"
units = "metric"
[visit]
on = 2026-11-24
role = "gas-licensed technician"
[found]
heating_setpoint = 76.5
keep_warm = "off"
freeze_protection = true
high_limit = { left = "not reachable" }
[left]
heating_setpoint = { value = 73, read_back = 73, why = "put back", until = 2026-12-20, then = 70 }
tank_differential = { left = "default" }
[combustion.high]
o2 = 5.2
on = 2026-11-24
"""
CSV = """\ufeffSetting;Label;as found;As left;Read back;Reason;Until;Then
units;;;metric;;;;
serial;;;K-1;;;;
visit.on;;;2026-11-24;;;;
visit date;;;;;;;
role;;;;;;;
visit.role;;;Gas licensed technician;;;;
House water;;76,5;73;73;put back;2026-12-20;70
plate keep-warm;;off;;;;;
Freeze protection;;on;;;;;
high_limit;;not reachable;;;;;
tank_differential;;;Default;;;;
combustion.high.o2;;;5,2;;;;
combustion.high.on;;;2026-11-24;;;;
"""


@pytest.fixture(scope="module")
def plant() -> Plant:
    return make_plant(control=CONTROL)


def read(text: str, plant: Plant) -> Readings:
    return readings_of(text.encode(), "readings", plant.control, plant.system)


def wrong(text: str, plant: Plant) -> list[str]:
    with pytest.raises(Unreadable) as error:
        read(text, plant)
    return [f"{one.line}: {one.message}" for one in error.value.problems]


def test_toml_and_csv_say_the_same(plant: Plant) -> None:
    text = CSV.replace("role;;;;;;;\n", "").replace("visit date;;;;;;;\n", "")
    assert read(text, plant).data == read(TOML, plant).data


def test_values_come_in_the_profiles_units(plant: Plant) -> None:
    readings = read(TOML, plant)
    assert readings.found("us")["heating_setpoint"] == 169.7  # 76.5 C
    assert readings.found("metric")["heating_setpoint"] == 76.5
    assert readings.left("us")["heating_setpoint"] == {
        "value": 163.4, "read_back": 163.4, "why": "put back", "until": date(2026, 12, 20), "then": 158,
    }  # fmt: skip
    assert readings.found("us")["keep_warm"] == "off"
    assert readings.facts("us")["combustion", "high", "o2"] == 5.2


def test_the_ending_says_what_a_file_is(plant: Plant, tmp_path: Path) -> None:
    for name, text in (("a.toml", TOML), ("b.CSV", "setting,found\nkeep_warm,off\n")):
        (tmp_path / name).write_text(text, encoding="utf-8")
        found = read_readings(tmp_path / name, plant.control, "us").found("us")
        assert found["keep_warm"] == "off"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("setting,found\nnonsense,4\n", "2: nonsense: is no setting, fact or label of this control"),
        ("setting,found\nDifferential,150\n", None),  # the panel's word goes before the trade's
        ("setting,found\nStop,190\n", "2: Stop: this control labels operating_limit and high_limit so"),
        ("setting,found\nheating_setpoint,160\nHouse water,161\n", "3: House water: is on line 2 already"),
        ("setting,found\nheating_setpoint,hot\n", "2: heating_setpoint: 'hot' is no number"),
        ("setting,found\nheating_setpoint,~160\n", "2: heating_setpoint: '~160' is marked as guessed"),
        ("setting,found\nheating_setpoint,60 K\n", "2: heating_setpoint: unit 'K' does not measure a point"),
        ("setting,found\nfreeze_protection,maybe\n", "2: freeze_protection: 'maybe' is neither yes nor no"),
        ("setting,found\nheating_setpoint,9999\n", "2: found.heating_setpoint: 9999 can't be"),
        ("setting,left\nvisit.on,24.11.2026\n", "2: visit.on: '24.11.2026': write dates as 2026-03-12"),
        ("setting,found,left\ncombustion.high.o2,5,6\n", "found and left differ; a fact has one value"),
        ("setting,colour\nheating_setpoint,red\n", "1: column 'colour' is not known"),
        ("name,why\nheating_setpoint,red\n", "the table needs a column setting, and one of found and left"),
        ("[found]\nheating_setpoint = 1\n[left]\nheating_setpiont = 2\n", "4: unknown key heating_setpiont"),
        ("[left]\nheating_setpoint = { value = 1, when = 2 }\n", "unknown key when in left.heating_setpoint"),
        ("[left]\nheating_setpoint = {}\n", "2: left.heating_setpoint: is empty"),
        ("[found\n", "1: not TOML"),
        ("setting,found\nhigh_limit,\"unclosed\n", "not a table"),
    ],
)  # fmt: skip
def test_what_is_refused(plant: Plant, text: str, expected: str | None) -> None:
    if expected is None:
        assert read(text, plant).found("us") == {"tank_setpoint": 150}
    else:
        assert any(expected in line for line in wrong(text, plant)), wrong(text, plant)


@settings(max_examples=100, deadline=None)
@given(st.binary(max_size=300) | st.text(max_size=200).map(lambda text: f"setting,found\n{text}".encode()))
def test_no_content_makes_it_stumble(content: bytes) -> None:
    plant = make_plant(control=CONTROL)
    try:
        readings_of(content, "readings", plant.control, plant.system)
    except Unreadable as unread:
        problems = unread.problems
    else:
        return
    assert problems


# questions ------------------------------------------------------------------------------------------------------------


def answered(plant: Plant, answers: list[str]) -> tuple[dict[str, Any], list[str], list[str]]:
    """Answer the questions in turn, then with the end of the list; return data, questions and what was said."""
    given_: Iterator[str] = iter(answers)
    asked: list[str] = []
    said: list[str] = []

    def ask(text: str) -> str:
        asked.append(text)
        assert len(asked) < 1000, "it never ends"
        return next(given_, ".")

    text = ask_readings(plant, ask, said.append, date(2026, 11, 25), "A. Sato")
    return readings_of(text.encode(), "answers", plant.control, plant.system).data, asked, said


HEAD = ["", "K-1", "gas", "autumn service", "", "routine", "W-7"]


def test_questions_go_through_the_order_of_entry(plant: Plant) -> None:
    data, asked, said = answered(plant, [*HEAD, "170", "164", "164", "put back", "145", "", "", "", "."])
    assert data["serial"] == "K-1"
    assert data["visit"] == {
        "on": "2026-11-25", "by": "A. Sato", "role": "gas-licensed technician", "why": "autumn service",
        "occasion": "routine", "work_order": "W-7",
    }  # fmt: skip
    assert asked[0] == "who was there [A. Sato]"
    assert data["found"] == {"heating_setpoint": 170, "tank_setpoint": 145}
    assert data["left"] == {"heating_setpoint": {"value": 164, "read_back": 164, "why": "put back"}}
    settings_said = [line for line in said if line[:1].isdigit()]
    assert settings_said[0] == "1/91 House water: heating set point; recorded: 164 F"
    assert [line.split(":")[1].partition(";")[0].strip() for line in settings_said[:3]] == [
        "heating set point", "tank set point", "high limit",
    ]  # fmt: skip
    assert asked[7] == "  found (F)"


def test_somebody_else_than_the_one_who_commits(plant: Plant) -> None:
    data, _, _ = answered(plant, ["M. Okoro", *HEAD[1:], "."])
    assert data["visit"]["by"] == "M. Okoro"


def test_a_reason_is_asked_for_until_it_is_given(plant: Plant) -> None:
    data, asked, _ = answered(plant, [*HEAD, "", "140", "", "", " ", "plan of 2027", "."])
    assert data["found"] == {"tank_setpoint": 140}
    assert data["left"] == {"tank_setpoint": {"why": "plan of 2027"}}
    assert asked.count("  why (a reason is needed)") == 3


def test_going_back_and_wrong_answers(plant: Plant) -> None:
    data, _, said = answered(plant, [*HEAD, "warm", "171", "", "<", "170", "", "."])
    assert data["found"] == {"heating_setpoint": 170}
    assert "  'warm' is no number" in said


class Ended(Exception):
    """Somebody ends the program in the midst of the questions."""


@pytest.mark.parametrize(
    ("answers", "found", "left"),
    [
        (["170", "164", "164", "put back", "145"], {"heating_setpoint": 170, "tank_setpoint": 145},
         {"heating_setpoint": {"value": 164, "read_back": 164, "why": "put back"}}),
        (["170", "", ""], {"heating_setpoint": 170}, {}),
    ],
)  # fmt: skip
def test_what_was_answered_before_the_end_of_input_is_kept(
    plant: Plant, answers: list[str], found: dict[str, Any], left: dict[str, Any]
) -> None:
    given_, kept = iter([*HEAD, *answers]), list[str]()

    def ask(_: str) -> str:
        for answer in given_:
            return answer
        raise Ended

    with pytest.raises(Ended):
        ask_readings(plant, ask, lambda _: None, date(2026, 11, 25), "A. Sato", kept.append)
    (text,) = kept
    data = readings_of(text.encode(), "answers", plant.control, plant.system).data
    assert (data["found"], data.get("left", {})) == (found, left)
    assert data["serial"] == "K-1" and data["visit"]["why"] == "autumn service"


def test_nothing_is_kept_where_no_setting_was_answered(plant: Plant) -> None:
    given_, kept = iter(HEAD), list[str]()

    def ask(_: str) -> str:
        for answer in given_:
            return answer
        raise Ended

    with pytest.raises(Ended):
        ask_readings(plant, ask, lambda _: None, date(2026, 11, 25), "A. Sato", kept.append)
    assert kept == []


def test_what_was_set_and_not_read(plant: Plant) -> None:
    data, _, _ = answered(plant, [*HEAD, "-", "160", "160", "design day", "not reachable", "."])
    assert data["found"] == {"tank_setpoint": {"left": "not reachable"}}
    assert data["left"] == {"heating_setpoint": {"value": 160, "read_back": 160, "why": "design day"}}


@pytest.mark.parametrize("before", range(len(HEAD) + 1))
def test_the_end_sign_ends_at_every_question(plant: Plant, before: int) -> None:
    data, asked, said = answered(plant, [*HEAD[:before], "."])
    assert len(asked) == before + 1 and "one of those" not in " ".join(said)
    assert "." not in [*data["visit"].values(), data.get("serial")]
    assert data["found"] == data["left"] == {}


@pytest.mark.parametrize("answers", [["170", "164", "."], ["170", "164", "164", "."], ["", "140", "", "."]])
def test_the_end_sign_is_no_reading_and_no_reason(plant: Plant, answers: list[str]) -> None:
    data, asked, _ = answered(plant, [*HEAD, *answers])
    assert len(asked) == len(HEAD) + len(answers)
    assert "." not in [value for table in data["left"].values() for value in table.values()]
    assert data["found"] in ({"heating_setpoint": 170}, {"tank_setpoint": 140})


def test_nothing_read_is_nothing(plant: Plant) -> None:
    data, _, _ = answered(plant, [*HEAD, "."])
    assert data["found"] == data["left"] == {}


def test_answers_are_toml(plant: Plant) -> None:
    data, _, _ = answered(plant, ["", "K-1", "", 'a "b"\\ [left]', "", "", "."])
    assert data["visit"]["why"] == 'a "b"\\ [left]'
