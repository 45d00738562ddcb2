"""A new portfolio can be checked at once, and a control described by questions is read back as it was answered."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any, Final

import pytest
import typer
from typer.testing import CliRunner, Result

from settingslint.checking.check import check
from settingslint.cli import app
from settingslint.model.control_file import control_from
from settingslint.model.source import Source, parse
from settingslint.model.validate import check_schema
from settingslint.rules.base import Certainty, Severity
from settingslint.starter.new import NotEmpty, make_folder, starting_files, write_files
from settingslint.starter.questions import BY_STYLE, USUAL, NotAnswered, make, questions_of
from settingslint.vocabulary.settings import SETTINGS

MOST_SAID: Final = 8
"""So much may be said of the first profile; more is a flood."""


def test_a_new_portfolio_has_no_unreadable_place(tmp_path: Path) -> None:
    folder = tmp_path / "new"
    make_folder(folder)
    write_files(folder, starting_files(date(2026, 11, 25)))
    report = check([folder], date(2026, 11, 25))
    assert report.problems == ()
    assert len(report.results) == 1
    assert report.results[0].checked


def test_the_profile_to_begin_with_is_thin_and_each_line_says_what_it_is_for() -> None:
    text = starting_files(date(2026, 11, 25))["sites/first-site/boiler-1.toml"]
    data = parse(text.encode(), "boiler-1.toml").data
    assert 12 <= len(data["settings"]) <= 15
    seen = {f"{table}.{key}" for table in ("site", "gas", "boiler", "accessories", "hot_water") for key in data[table]}
    assert seen == {
        "site.occupants", "site.design_outdoor", "gas.fuel", "boiler.location", "accessories.outdoor_sensor",
        "accessories.tank_sensor", "hot_water.kind", "hot_water.tank_volume", "hot_water.circulation_loop",
    }  # fmt: skip
    assert [set(one) for one in data["emitter"]] == [{"kind"}]
    said = text.partition("[site]")[2].partition("[visit]")[0]
    silent = [line for line in said.splitlines() if " = " in line and not re.search(r"\S  +# \w|^#", line)]
    assert [line for line in silent if "# {" not in line] == []
    assert "settingslint questions" in text
    assert "settingslint questions" in starting_files(date(2026, 11, 25))["README.md"]


def test_what_is_said_of_it_is_a_question_that_matters_and_a_fault_whatever_else_is_true(tmp_path: Path) -> None:
    write_files(tmp_path, starting_files(date(2026, 11, 25)))
    (result,) = check([tmp_path], date(2026, 11, 25)).results
    said = {one.rule: one for one in result.findings}
    asked = said["hot-tank-without-mixing-valve"]
    assert (asked.severity, asked.certainty, asked.asks) == (
        Severity.DANGER,
        Certainty.ASK,
        ("hot_water.mixing_valve",),
    )
    proven = said["reset-endpoint-above-setpoint"]
    assert (proven.severity, proven.certainty) == (Severity.OUTAGE, Certainty.PROVEN)
    assert [one.rule for one in result.findings if one.certainty is Certainty.PROVEN and one is not proven
            and one.severity is not Severity.RECORD] == []  # fmt: skip
    assert len(result.findings) <= MOST_SAID


def test_a_folder_with_something_in_it_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("x")
    with pytest.raises(NotEmpty):
        make_folder(tmp_path)
    assert [one.name for one in tmp_path.iterdir()] == ["mine.txt"]


def answers(**of_heating_setpoint: str) -> Iterator[str]:
    """Answer for one setting in the order of its questions."""
    skipped = set() if of_heating_setpoint.get("needs") else {"otherwise"}
    skipped |= set() if of_heating_setpoint.get("where") else {"how"}
    for one in questions_of(SETTINGS["heating_setpoint"], "us"):
        if one.key not in skipped:
            yield of_heating_setpoint.get(one.key, "")


HEAD_ANSWERS = ("1, 2", "normal", "yes", "no", "no", "no", "6", "")


def describe(style: str, **row: str) -> str:
    given = iter([style, "leave by Keep", *HEAD_ANSWERS, *answers(**row)])
    return make("mine", lambda text: next(given, ""), "us", ["heating_setpoint"])


def test_answers_become_a_control_file_that_is_valid() -> None:
    text = describe(
        "none", has="yes", label="House water", low="85", high="175", outside="refused", step="5", default="140",
        ignore="100 110 90", add="none", off="none", cap="none", floor="none", first="none", needs="outdoor_sensor",
        otherwise="ignored", takes_hold="at once", lost_on="new board, update", read_back="exact", access="installer",
        where="page 12", how="read",
    )  # fmt: skip
    source = parse(text.encode(), "mine.toml")
    check_schema(source, "control")
    row = control_from(source).rows["heating_setpoint"]
    assert row.label == "House water"
    assert row.outside == "refused"
    assert row.evidence == "page 12"
    assert row.treatments is not None
    assert [one.does for one in row.treatments] == ["ignore"]
    assert row.lost_on == ("new board", "update")
    assert [(one.accessory, one.otherwise) for one in row.needs] == [("outdoor_sensor", "ignored")]
    control = control_from(source)
    assert control.lists == {"control.revisions": ("1", "2"), "control.freeze_active_in": ("normal",)}
    assert control.stated["control.overshoot"] == pytest.approx(6 / 1.8)
    assert control.stated["control.freeze_overrides_priority"] is True and control.complete is False


def test_what_was_answered_wrongly_is_asked_again() -> None:
    given = iter(["no such way", "none", "", *HEAD_ANSWERS, "maybe", "yes", "", "low", "85", *[""] * 30])
    asked: list[str] = []

    def ask(text: str) -> str:
        asked.append(text)
        return next(given, "")

    row = control_from(parse(make("mine", ask, "us", ["heating_setpoint"]).encode(), "mine.toml")).rows[
        "heating_setpoint"
    ]
    assert row.low == pytest.approx((85 - 32) / 1.8)
    assert sum(text.startswith("One of") for text in asked) == 2
    assert "A number, or nothing if not known" in asked


@pytest.mark.parametrize(
    ("key", "answer", "treatment"),
    [
        ("ignore", "100 110", ("ignore", None)), ("add", "4", ("add", None)), ("off", "0", ("off when", None)),
        ("cap", "maximum_supply", ("cap", "maximum_supply")), ("floor", "minimum_supply", ("floor", "minimum_supply")),
        ("off", "maximum_supply", ("off when", "maximum_supply")),
        ("first", "150", ("at most until first firing", None)),
    ],
)  # fmt: skip
def test_each_way_of_treating_a_value_can_be_answered(key: str, answer: str, treatment: tuple[str, str | None]) -> None:
    known = {"ignore": "none", "add": "none", "off": "none", "cap": "none", "floor": "none", "first": "none",
             key: answer}  # fmt: skip
    given = iter(["none", "", *HEAD_ANSWERS, *answers(has="yes", low="60", high="190", **known)])
    text = make("mine", lambda _: next(given, ""), "us", ["heating_setpoint"])
    source = parse(text.encode(), "mine.toml")
    check_schema(source, "control")
    rows = _rows(source)
    assert [(one["does"], one.get("by")) for one in rows["heating_setpoint"]["treatments"]] == [treatment]


def _rows(source: Source) -> dict[str, Any]:
    return dict(source.data["setting"])


def test_what_is_not_known_stays_unknown() -> None:
    text = describe(
        "none", has="yes", low="85", high="175", ignore="", add="none", off="none", cap="none", floor="none"
    )
    row = control_from(parse(text.encode(), "mine.toml")).rows["heating_setpoint"]
    assert row.treatments is None
    assert row.outside == "unknown"


def test_a_setting_the_control_lacks_is_left_out_and_nothing_at_all_is_no_control_file() -> None:
    with pytest.raises(NotAnswered, match="no setting was described"):
        describe("none", has="no")


def test_the_way_of_reset_is_never_taken_for_granted() -> None:
    """An empty answer means not known, and the file can't be without it: three times asked, then given up."""
    asked: list[str] = []

    def ask(text: str) -> str:
        asked.append(text)
        return ""

    with pytest.raises(NotAnswered, match="reset"):
        make("mine", ask, "us", ["heating_setpoint"])
    assert len(asked) == 3


def test_one_setting_is_not_all_that_a_control_has() -> None:
    """With `complete`, what is left out would count as not there."""
    all_said = ["yes" if one == "no" else one for one in HEAD_ANSWERS]
    given = iter(["none", "", *all_said, *answers(has="yes", low="60", high="190")])
    text = make("mine", lambda _: next(given, ""), "us", ["heating_setpoint"])
    assert "complete" not in parse(text.encode(), "mine.toml").data["control"]


def test_defaults_by_size_order_of_entry_and_who_found_it_out(tmp_path: Path) -> None:
    row = answers(has="yes", low="85", high="185", step="5", default="big 12 small 10", where="page 4", how="read")
    said = list(row)
    at = said.index("big 12 small 10")
    said.insert(at + 1, "small 140, big one 160")
    given = iter(["none", "", *HEAD_ANSWERS, *said, "no_such, heating_setpoint", "as asked", "P. Larsen", "x",
                  "2026-03-12"])  # fmt: skip
    source = parse(make("mine", lambda _: next(given, ""), "us", ["heating_setpoint"]).encode(), "mine.toml")
    check_schema(source, "control")
    control = control_from(source)
    assert control.rows["heating_setpoint"].default_by_size == pytest.approx({"small": 60, "big one": 71.1}, abs=0.1)
    assert set(control.sizes) == {"small", "big one"}
    assert control.entry_order == ("heating_setpoint",)
    evidence = source.data["setting"]["heating_setpoint"]["evidence"]
    assert evidence == {"where": "page 4", "how": "read", "by": "P. Larsen", "on": "2026-03-12"}


@pytest.mark.parametrize(("name", "answer", "value"), [("reset", "yes", True), ("hot_water_method", "plate", "plate")])
def test_what_a_switch_or_a_choice_comes_with(name: str, answer: str, value: object) -> None:
    keys = [one.key for one in questions_of(SETTINGS[name], "us") if one.key not in ("otherwise", "how")]
    row = {"has": "yes", "default": answer}
    given = iter(["none", "", *HEAD_ANSWERS, *(row.get(key, "") for key in keys)])
    source = parse(make("mine", lambda _: next(given, ""), "us", [name]).encode(), "mine.toml")
    check_schema(source, "control")
    assert source.data["setting"][name]["default"] == value


def test_every_usual_setting_is_in_the_vocabulary() -> None:
    assert {*USUAL, *(name for names in BY_STYLE.values() for name in names)} <= set(SETTINGS)


def begin(*args: str, answers: str = "") -> Result:
    return CliRunner().invoke(app(("begin",)), ["begin", *args], input=answers)


def test_begin_makes_a_portfolio_with_a_repository_and_never_touches_a_folder_that_has_something(
    tmp_path: Path,
) -> None:
    made = begin(str(tmp_path / "new"))
    assert made.exit_code == 0 and "next: settingslint check" in made.output
    files = {path.relative_to(tmp_path / "new").as_posix() for path in (tmp_path / "new").rglob("*") if path.is_file()}
    assert {"portfolio.toml", "controls/my-control.toml", "sites/first-site/boiler-1.toml", "README.md", ".gitignore",
            ".ci/check"} <= files  # fmt: skip
    assert (tmp_path / "new" / ".git").is_dir()
    again = begin(str(tmp_path / "new"))
    assert again.exit_code == 2 and "nothing was changed" in again.stderr


def test_a_new_portfolio_in_metric_units_has_the_findings_of_the_other_one(tmp_path: Path) -> None:
    """NIST SP 811, B.8: t/C = (t/F - 32) / 1.8; 160 F = 71.1 C, 14 F of difference = 7.8 K, 60,000 Btu/h = 17.6 kW,
    50 gal = 189 L."""
    assert begin(str(tmp_path / "m"), "--units", "metric").exit_code == 0
    begin(str(tmp_path / "u"))
    profile = (tmp_path / "m/sites/first-site/boiler-1.toml").read_text(encoding="utf-8")
    for line in (
        "heating_setpoint = 71 ",
        "heating_differential = 8 ",
        "reset_cold_outdoor = -15 ",
        "tank_volume = 189 ",
    ):
        assert f"\n{line}" in profile, line
    assert 'design_load = { value = 17.6, from = "calculated", on = 2026-10-01 }    # kW; ' in profile
    files = sorted((tmp_path / "m").rglob("*.toml"))
    assert len(files) == 3
    for file in files:
        text = file.read_text(encoding="utf-8")
        assert 'units = "metric"' in text and 'units = "us"' not in text
        assert " F;" not in text and "Btu/h" not in text and " gal;" not in text
    both = [check([tmp_path / name], date(2026, 11, 25)) for name in ("m", "u")]
    assert both[0].problems == ()
    assert [one.rule for one in both[0].results[0].findings] == [one.rule for one in both[1].results[0].findings]


def test_units_that_can_not_be_had_are_refused(tmp_path: Path) -> None:
    wrong = begin(str(tmp_path / "x"), "--units", "imperial")
    assert wrong.exit_code == 2 and "--units is us or metric" in wrong.stderr
    example = begin(str(tmp_path / "x"), "--example", "--units", "metric")
    assert example.exit_code == 2 and "the example has its own units" in example.stderr
    assert not (tmp_path / "x").exists()


def test_the_ci_snippet_passes_on_a_new_portfolio_and_stops_at_an_outage(tmp_path: Path) -> None:
    folder = tmp_path / "new"
    begin(str(folder))
    tool = tmp_path / "bin" / "settingslint"
    tool.parent.mkdir()
    tool.write_text(f'#!/bin/sh\nexec {sys.executable} -m settingslint "$@"\n', encoding="utf-8")
    tool.chmod(0o755)
    root = str(Path(__file__).parents[2])
    environment = {**os.environ, "PATH": f"{tool.parent}:{os.environ['PATH']}", "PYTHONPATH": root}
    profile = folder / "sites" / "first-site" / "boiler-1.toml"
    ran = subprocess.run([folder / ".ci" / "check"], cwd=folder, env=environment, capture_output=True, check=False)
    worst = check([folder], date.today()).results[0].worst()
    assert ran.returncode == int(worst is not None and worst.at_least(Severity.OUTAGE)), ran.stderr
    profile.write_text("format = 1\n", encoding="utf-8")
    ran = subprocess.run([folder / ".ci" / "check"], cwd=folder, env=environment, capture_output=True, check=False)
    assert ran.returncode == 2


def test_a_control_is_described_at_the_prompt_and_checked_alone(tmp_path: Path) -> None:
    begin(str(tmp_path / "new"))
    told = "\n".join(["none", "leave by Keep", *HEAD_ANSWERS, *answers(has="yes", label="House", where="book")]) + "\n"
    made = begin(str(tmp_path / "new"), "--control", "ours", answers=told)
    file = tmp_path / "new" / "controls" / "ours.toml"
    assert made.exit_code == 0 and file.is_file()
    looked = CliRunner().invoke(app(("check",)), ["check", str(file)])
    assert looked.exit_code == 0 and "[control-lacks]" in looked.output
    assert begin(str(tmp_path / "new"), "--control", "ours").exit_code == 2, "it is never written over"
    assert begin(str(tmp_path / "new"), "--control", "../out").exit_code == 2


@pytest.mark.parametrize(("pressed", "status"), [(KeyboardInterrupt, 130), (EOFError, 2)])
def test_questions_that_somebody_ends_write_nothing_and_are_no_findings(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, pressed: type[BaseException], status: int
) -> None:
    """130 is what shells give to a program ended by Ctrl-C: 128 and the number of SIGINT, 2 (POSIX, from memory)."""

    def made(*_: object) -> str:
        try:
            raise pressed
        except (KeyboardInterrupt, EOFError):
            raise typer.Abort from None  # as the prompt does it

    monkeypatch.setattr("settingslint.cli.begin.make", made)
    ended = CliRunner().invoke(app(("begin",)), ["begin", str(tmp_path), "--control", "ours"])
    assert (ended.exit_code, ended.stderr.splitlines()[-1]) == (status, "nothing was written")
    assert not (tmp_path / "controls").exists()
