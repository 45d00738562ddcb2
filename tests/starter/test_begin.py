"""A new portfolio can be checked at once, and a control described by questions is read back as it was answered."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from settingslint.checking import check
from settingslint.model.control import control_from
from settingslint.model.source import parse
from settingslint.model.validate import check_schema
from settingslint.starter.new import NotEmpty, make_folder, starting_files, write_files
from settingslint.starter.questions import BY_STYLE, USUAL, make, questions_of
from settingslint.vocabulary.settings import SETTINGS


def test_a_new_portfolio_has_no_unreadable_place(tmp_path: Path) -> None:
    folder = tmp_path / "new"
    make_folder(folder)
    write_files(folder, starting_files())
    report = check([folder], date(2026, 11, 25))
    assert report.problems == ()
    assert len(report.results) == 1
    assert report.results[0].checked


def test_a_folder_with_something_in_it_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("x")
    with pytest.raises(NotEmpty):
        make_folder(tmp_path)
    assert [one.name for one in tmp_path.iterdir()] == ["mine.txt"]


def answers(**of_heating_setpoint: str) -> Iterator[str]:
    """Answer for one setting in the order of its questions."""
    for one in questions_of(SETTINGS["heating_setpoint"], "us"):
        yield of_heating_setpoint.get(one.key, "")


def describe(style: str, **row: str) -> str:
    given = iter([style, "leave by Keep", *answers(**row)])
    return make("mine", lambda text: next(given, ""), "us", ["heating_setpoint"])


def test_answers_become_a_control_file_that_is_valid() -> None:
    text = describe(
        "none", has="yes", label="House water", low="85", high="175", outside="refused", step="5", default="140",
        ignore="100 110 90", add="none", cap="none", access="installer", where="page 12",
    )  # fmt: skip
    source = parse(text.encode(), "mine.toml")
    check_schema(source, "control")
    row = control_from(source).rows["heating_setpoint"]
    assert row.label == "House water"
    assert row.outside == "refused"
    assert row.evidence == "page 12"
    assert row.treatments is not None
    assert [one.does for one in row.treatments] == ["ignore"]


def test_what_is_not_known_stays_unknown() -> None:
    text = describe("none", has="yes", low="85", high="175", ignore="", add="none", cap="none")
    row = control_from(parse(text.encode(), "mine.toml")).rows["heating_setpoint"]
    assert row.treatments is None
    assert row.outside == "unknown"


def test_a_setting_the_control_lacks_is_left_out() -> None:
    assert "heating_setpoint" not in describe("none", has="no")


def test_every_usual_setting_is_in_the_vocabulary() -> None:
    assert {*USUAL, *(name for names in BY_STYLE.values() for name in names)} <= set(SETTINGS)
