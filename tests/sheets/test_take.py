"""Spreadsheets of invented sites, in the shapes in which they come."""

from __future__ import annotations

from pathlib import Path

import pytest

from settingslint.model.profile import profile_from
from settingslint.model.source import parse
from settingslint.model.validate import check_schema
from settingslint.model.values import Unreadable
from settingslint.sheets.mapping import read_mapping, write_mapping_file
from settingslint.sheets.match import match, targets
from settingslint.sheets.read import Table, decimal_style, number, read_table
from settingslint.sheets.take import Taken, take


def table(tmp_path: Path, content: bytes) -> Table:
    file = tmp_path / "sheet.csv"
    file.write_bytes(content)
    return read_table(file, "sheet.csv")


def write(taken: Taken) -> None:
    for path, text in taken.profiles.items():
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")


SHEET = "Site;Boiler;Flow temp [°C];Cylinder temperature;Differential;Frost protection;Design load (kW);Colour\n"


def test_a_european_sheet_becomes_valid_profiles(tmp_path: Path) -> None:
    rows = "Östra Gården;Panna 1;62,5;60 °C;8;ja;~41,5;blue\nVästra;Panna 1;70;?;10;nein;38;red\n"
    read = table(tmp_path, (SHEET + rows).encode("cp1252"))
    assert read.separator == ";" and read.encoding == "Latin-1"
    taken = take(read, tmp_path, system="metric", control="kit")
    assert taken.problems == []
    assert [one.name for one in taken.profiles] == ["panna-1.toml", "panna-1.toml"]
    assert {one.parent.name for one in taken.profiles} == {"ostra-garden", "vastra"}
    first = next(text for path, text in taken.profiles.items() if path.parent.name == "ostra-garden")
    source = parse(first.encode(), "first")
    check_schema(source, "profile")
    profile = profile_from(source)
    assert profile.site == "Östra Gården"
    assert profile.settings["heating_setpoint"].typed == 62.5
    assert profile.settings["tank_setpoint"].typed == 60.0
    assert profile.settings["heating_differential"].typed == 8.0
    assert profile.settings["freeze_protection"].typed is True
    assert profile.facts["building.design_load"].value == 41_500.0
    assert profile.facts["building.design_load"].weak
    assert taken.guessed == ["line 2, Design load (kW): ~41,5"]
    assert taken.skipped == [
        "column 'Colour': not known", "line 3, Cylinder temperature: '?' says nothing",
        "control 'kit': no control file describes it; settingslint begin FOLDER --control NAME makes one",
    ]  # fmt: skip


def test_taking_in_twice_changes_nothing(tmp_path: Path) -> None:
    read = table(tmp_path, (SHEET + "A;One;62;60;8;yes;41;\n").encode())
    first = take(read, tmp_path, system="metric", control="kit")
    write(first)
    again = take(read, tmp_path, system="metric", control="kit")
    assert not again.profiles and again.unchanged == list(first.profiles) and again.skipped == first.skipped


def test_what_exists_stays_and_the_difference_is_said(tmp_path: Path) -> None:
    write(take(table(tmp_path, (SHEET + "A;One;62;60;8;yes;41;\n").encode()), tmp_path, system="metric", control="kit"))
    again = take(
        table(tmp_path, (SHEET + "A;One;64;60;8;yes;41;\n").encode()), tmp_path, system="metric", control="kit"
    )
    assert not again.profiles
    assert any("heating_setpoint differs" in line for line in again.skipped)


def test_units_of_a_header_or_a_cell_win_over_the_files(tmp_path: Path) -> None:
    text = "site,boiler,flow temperature [F],tank temperature,differential\nA,One,140,60 C,18 F\n"
    taken = take(table(tmp_path, text.encode()), tmp_path, system="metric", control="kit")
    (written,) = taken.profiles.values()
    assert "heating_setpoint = 60\n" in written
    assert "tank_setpoint = 60\n" in written
    assert "heating_differential = 10\n" in written, "a difference gets no 32"


def test_a_byte_order_mark_and_two_header_rows(tmp_path: Path) -> None:
    text = "﻿Site,Boiler,Heating,,Hot water,\n,,differential,shutdown,tank temperature,priority\nA,One,10,62,140,yes\n"
    read = table(tmp_path, text.encode())
    assert read.headers[2:] == ("Heating differential", "Heating shutdown", "Hot water tank temperature",
                                "Hot water priority")  # fmt: skip
    assert read.rows[0][0] == 3


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("A,One,hot,60", "is no number"),
        ("A,One,62 bar,60", "does not measure"),
        (",One,62,60", "lacks site"),
        ("A,One,62000,60", "can't be"),
    ],
)
def test_a_wrong_row_is_told_with_its_line(tmp_path: Path, row: str, says: str) -> None:
    text = f"site,boiler,flow temperature,tank temperature\nB,Two,60,60\n{row}\n"
    taken = take(table(tmp_path, text.encode()), tmp_path, system="metric", control="kit")
    assert [one.line for one in taken.problems] == [3]
    assert says in taken.problems[0].message
    assert len(taken.profiles) == 1


def test_two_rows_for_one_boiler_are_a_problem(tmp_path: Path) -> None:
    text = "site,boiler,flow temperature\nA,One,60\nA,One,61\n"
    taken = take(table(tmp_path, text.encode()), tmp_path, system="metric", control="kit")
    assert "second row" in taken.problems[0].message


@pytest.mark.parametrize(
    ("cells", "style"),
    [
        (["1,5"], "comma"), (["1.5"], "point"), (["1,234.5"], "point"), (["1.234,5"], "comma"), (["1,234"], None),
        (["1.234"], None), (["1,5", "1.5"], None), (["12"], None), (["1,234,567"], "point"), (["0,125"], "comma"),
    ],
)  # fmt: skip
def test_which_sign_is_the_decimal_one(cells: list[str], style: str | None) -> None:
    assert decimal_style(cells) == style


def test_a_doubtful_number_is_not_guessed() -> None:
    with pytest.raises(ValueError, match="--decimal"):
        number("1,234", None)
    assert number("1,234", "point").value == 1234.0
    assert number("1,234", "comma").value == 1.234
    assert number("1 234,5", "comma").value == 1234.5
    assert number("-4 F", "point").unit == "F"
    with pytest.raises(ValueError, match="thousands"):
        number("1,23,4", "point")


def test_near_headers_are_suggested_and_never_taken() -> None:
    near = match("heating setpiont")
    assert near.target is None
    assert near.near == ("heating_setpoint",)
    assert match("colour of the door").near == ()


@pytest.mark.parametrize(
    ("header", "near"),
    [
        ("Max fan", {"maximum_fan_speed"}), ("Ign fan", {"ignition_fan_speed"}), ("Htg SP", {"heating_setpoint"}),
        ("HW priority", {"hot_water_priority"}), ("Freeze prot", {"freeze_protection"}), ("Hi", set()),
        ("WWSD temp", {"warm_weather_shutdown"}), ("Boiler temp", {"heating_setpoint", "hot_water_boiler_setpoint"}),
        ("Set pt (°F)", {"heating_setpoint", "hot_water_boiler_setpoint", "tank_setpoint", "outlet_setpoint"}),
        ("Setpoint", {"heating_setpoint", "hot_water_boiler_setpoint", "tank_setpoint", "outlet_setpoint"}),
        ("DHW SP", {"tank_setpoint", "hot_water_boiler_setpoint", "outlet_setpoint"}),
    ],
)  # fmt: skip
def test_what_headers_shorten_is_suggested_with_every_meaning_and_never_taken(header: str, near: set[str]) -> None:
    """How the trade shortens words: common practice, no source."""
    column = match(header)
    assert column.target is None and set(column.near) == near


def test_the_mapping_file_goes_there_and_back(tmp_path: Path) -> None:
    read = table(tmp_path, b"site,boiler,heating setpiont,colour\nA,One,60,blue\n")
    taken = take(read, tmp_path, system="metric", control="kit")
    write_mapping_file(tmp_path / "m.toml", taken.columns, {}, {})
    mapping = read_mapping(tmp_path / "m.toml").columns
    assert mapping == {
        "site": "plant.site",
        "boiler": "plant.name",
        "heating setpiont": "",  # only near: nobody has confirmed it
        "colour": "",
    }
    again = take(read, tmp_path, system="metric", control="kit", mapping=mapping)
    assert "heating_setpoint" not in next(iter(again.profiles.values()))
    mapping["heating setpiont"] = "heating_setpoint"
    again = take(read, tmp_path, system="metric", control="kit", mapping=mapping)
    assert "heating_setpoint = 60" in next(iter(again.profiles.values()))
    assert [line for line in again.skipped if not line.startswith("control")] == []
    (tmp_path / "m.toml").write_text('[columns]\nx = "no_such_thing"\n', encoding="utf-8")
    with pytest.raises(Unreadable, match="neither a setting nor a fact: see settingslint explain --names"):
        read_mapping(tmp_path / "m.toml")


WORDS = b"site,boiler,hot water,reset\nA,One,Comb,yes\nA,Two,tank,Aktiv\n"


def test_words_in_cells_are_given_a_meaning_by_the_mapping_file(tmp_path: Path) -> None:
    read = table(tmp_path, WORDS)
    first = take(read, tmp_path, system="metric", control="kit")
    assert {one.line for one in first.problems} == {2, 3}
    assert all("a mapping file can say what it means" in one.message for one in first.problems)
    file = tmp_path / "m.toml"
    write_mapping_file(file, first.columns, first.unread, {})
    text = file.read_text(encoding="utf-8")
    assert 'Comb = "" # one of none, tank, plate, separate; empty says nothing' in text
    file.write_text(
        text.replace('Comb = ""', 'comb = "plate"').replace('Aktiv = ""', 'Aktiv = "yes"'), encoding="utf-8"
    )
    mapped = read_mapping(file)
    again = take(read, tmp_path, system="metric", control="kit", mapping=mapped.columns, words=mapped.words)
    assert again.problems == []
    one, two = again.profiles.values()
    assert 'kind = {value = "plate"' in one and "reset = true" in two


def test_a_word_without_a_meaning_says_nothing_and_that_is_told(tmp_path: Path) -> None:
    words = {"hot water": {"Comb": ""}, "reset": {"Aktiv": "perhaps"}}
    taken = take(table(tmp_path, WORDS), tmp_path, system="metric", control="kit", words=words)
    assert "line 2, hot water: 'Comb' says nothing" in taken.skipped
    assert [one.message for one in taken.problems] == [
        "reset: 'perhaps' is neither yes nor no; a mapping file can say what it means"
    ]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('[words."x"]\na = 1\n', "name the column of words"), ('[words."y"]\na = "b"\n', "no column of"),
        ('[meanings]\na = "b"\n', "unknown table meanings"), ('words = "x"\n', "name the column of words"),
    ],
)  # fmt: skip
def test_a_mapping_file_with_odd_words_is_refused(tmp_path: Path, text: str, says: str) -> None:
    columns = '[columns]\nx = "heating_setpoint"\n'
    (tmp_path / "m.toml").write_text(text + columns if text[0] != "[" else columns + text, encoding="utf-8")
    with pytest.raises(Unreadable, match=says):
        read_mapping(tmp_path / "m.toml")


def test_every_target_can_be_written() -> None:
    assert {"heating_setpoint", "plant.serial", "hot_water.tank_volume", "visit.on"} <= targets()


@pytest.mark.parametrize("content", [b"", b"one line\n", b"a,b\n\0\1\n", b'a,b\n"open,1\n'])
def test_what_is_no_table_is_said_to_be_none(tmp_path: Path, content: bytes) -> None:
    with pytest.raises(Unreadable):
        table(tmp_path, content)


@pytest.mark.parametrize(
    ("mark", "cell", "read"),
    [("165,5", "5,600", None), ("165,5", "5.600", 5600), ("165.5", "5,600", 5600), ("165,5", "5600", 5600)],
)
def test_a_thousands_mark_in_the_sign_of_decimals_is_asked_about(
    tmp_path: Path, mark: str, cell: str, read: int | None
) -> None:
    """A fan speed of 5.6 is none: the mark of another column does not make thousands of it."""
    rows = f'Site;Boiler;Heating set point;Maximum fan speed\nMill;1;"{mark}";"{cell}"\n'
    columns = {
        "Site": "plant.site", "Boiler": "plant.name", "Heating set point": "heating_setpoint",
        "Maximum fan speed": "maximum_fan_speed",
    }  # fmt: skip
    taken = take(table(tmp_path, rows.encode()), tmp_path, system="us", control="kit", mapping=columns)
    if read is None:
        hint = "if that is a thousands mark, leave it out, or name --decimal"
        assert any(hint in one.message for one in taken.problems)
        assert taken.profiles == {}
    else:
        (text,) = taken.profiles.values()
        assert f"maximum_fan_speed = {read}\n" in text
