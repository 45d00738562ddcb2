"""Words that were wrong: what was only found is not left, what is there is not called missing, and the right commit."""

from __future__ import annotations

import json
import subprocess
import sys
from datetime import date
from pathlib import Path
from typing import Any, Final

import pytest

from settingslint.api import Estate
from settingslint.history.past import Looker
from settingslint.history.readings import read_readings, readings_of
from settingslint.history.repository import Repository
from settingslint.history.snapshots import Snapshots
from settingslint.history.timeline import timeline
from settingslint.history.visit import plan, standing
from settingslint.history.writing import write
from settingslint.model.values import Unreadable
from settingslint.output import Look
from settingslint.output.note_view import Line, View, views
from settingslint.output.notes import render_notes
from settingslint.report.history import drift
from settingslint.report.papers import papers
from settingslint.rules.plant import Plant
from tests.history.kit import Work, started
from tests.rules.kit import make_control

TODAY: Final = date(2026, 11, 28)
PROFILE: Final = "sites/mill/boiler-1.toml"


@pytest.fixture
def work(tmp_path: Path) -> Work:
    return started(tmp_path / "estate")


def visit(work: Work, on: str, text: str, why: str = "yearly service") -> str | None:
    """Record a visit as the command does; return the commit that holds it already, where there is one."""
    head = f'serial = "K-1"\n[visit]\non = {on}\nby = "P. Larsen"\nrole = "heating technician"\nwhy = "{why}"\n'
    with Repository(work.folder) as repository:
        plant = standing(repository, work.folder, work.folder / PROFILE, TODAY)
        readings = readings_of((head + text).encode(), "readings.toml", plant.control, plant.profile.system)
        made = plan(repository, work.folder, work.folder / PROFILE, readings, TODAY)
        write(repository, made)
        return made.recorded


FOUND: Final = "[found]\nheating_setpoint = 170\n"
SET: Final = FOUND + "[left]\nheating_setpoint = { value = 160, read_back = 160 }\n"


def plant_of(work: Work) -> Plant:
    return Estate(work.folder, TODAY).plant(work.folder / PROFILE)


def paper(work: Work, kind: str, form: str = "markdown") -> str:
    estate = Estate(work.folder, TODAY)
    path = work.folder / PROFILE
    return papers(kind, form, [(path, estate.plant(path))], estate.reader.portfolio, None)


# a repository without a commit ----------------------------------------------------------------------------------------


def test_a_repository_without_a_commit_is_not_called_none(tmp_path: Path) -> None:
    work = Work(tmp_path / "p")
    work.write("portfolio.toml", 'format = 1\nname = "Kit"\n')
    work.control()
    work.profile()
    report = Estate(work.folder, TODAY).check()
    assert "the git repository has no commit yet" in report.history
    looker = Looker(work.folder)
    assert [looker.why_not(), looker.past(plant_of(work)), looker.why_not()] == [
        "the git repository has no commit yet", None, "the git repository has no commit yet",
    ]  # fmt: skip
    (work.folder / ".git").rename(tmp_path / "away")
    assert "the portfolio is not in a git repository" in Estate(work.folder, TODAY).check().history


# which commit ---------------------------------------------------------------------------------------------------------


def test_the_commit_of_a_recorded_visit_is_named_and_not_the_last_one(work: Work) -> None:
    visit(work, "2026-11-24", SET)
    own = work.git("rev-parse", "HEAD").strip()
    work.write("README.md", "something else\n")
    last = work.commit("another thing")
    assert last != own
    assert visit(work, "2026-11-24", SET) == own


# a table is no TOML ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["readings.txt", "readings.tsv", "readings", "readings.CSV"])
def test_a_table_is_read_as_one_whatever_its_file_is_called(tmp_path: Path, name: str) -> None:
    file = tmp_path / name
    control = make_control()
    file.write_text('"setting","found"\n"heating_setpoint",170\n', encoding="utf-8")
    assert read_readings(file, control, "us").found("us") == {"heating_setpoint": 170}
    file.write_text('"setting","found"\n"heating_setpoint",warm\n', encoding="utf-8")
    with pytest.raises(Unreadable) as error:
        read_readings(file, control, "us")
    assert "TOML" not in error.value.problems[0].message and error.value.problems[0].line == 2


def test_toml_stays_toml(tmp_path: Path) -> None:
    for name in ("readings.toml", "readings.txt"):
        file = tmp_path / name
        file.write_text('serial = "K-1"\n[found]\nheating_setpoint = 170\n', encoding="utf-8")
        assert read_readings(file, make_control(), "us").found("us") == {"heating_setpoint": 170}


# found is not left ----------------------------------------------------------------------------------------------------


def row(view: View, title: str = "heating set point") -> dict[str, str]:
    """Return one row of a note's table by its headings."""
    line: Line = next(one for one in view.table if one.title == title)
    return dict(zip(view.head[1:], line.cells, strict=True))


def test_nobody_asked_for_what_a_visit_only_found(work: Work) -> None:
    visit(work, "2026-11-24", FOUND)
    notes = Estate(work.folder, TODAY).notes("HEAD~2..HEAD" if work.git("rev-list", "--count", "HEAD") == "3" else None)
    [view] = views(notes)
    assert (row(view)["was"], row(view)["found"], row(view).get("set to")) == ("164", "170", None)
    [change] = json.loads(render_notes("json", notes, Look()))["notes"][0]["changes"]
    assert change["touched"] is False
    visit(work, "2026-11-25", "[found]\nheating_setpoint = 170\n[left]\nheating_setpoint = { value = 160 }\n")
    [view] = views(Estate(work.folder, TODAY).notes())
    assert row(view)["set to"] == "160"


def test_sheets_say_that_a_value_was_only_found(work: Work) -> None:
    visit(work, "2026-11-24", FOUND)
    said = "found so on 2026-11-24"
    assert said in paper(work, "visit") and said in paper(work, "as-left")
    assert f"170 F; {said}, nobody set it" in paper(work, "visit", "csv")
    visit(work, "2026-11-25", "[found]\nheating_setpoint = 170\n[left]\nheating_setpoint = { value = 160 }\n")
    for kind in ("visit", "as-left"):
        assert said not in paper(work, kind)


def test_a_drift_from_a_value_that_was_only_found(work: Work) -> None:
    visit(work, "2026-11-24", FOUND)
    visit(work, "2026-11-26", "[found]\nheating_setpoint = 176\n", "filter")
    findings = [one for one in Estate(work.folder, TODAY).check().results[0].findings if one.rule == "as-found-differs"]
    assert [one.message for one in findings if one.at == "heating_setpoint"] == [
        "heating set point found at 170 F, found at 176 F on 2026-11-26, no reason recorded"
    ]
    with Repository(work.folder) as repository:
        line = timeline(Snapshots(repository, work.folder), work.folder / PROFILE, TODAY)
    assert [before.found for _, before, _, _ in drift(line)] == [True, False]


def test_the_visit_itself_does_not_say_left(work: Work) -> None:
    visit(work, "2026-11-24", FOUND)
    body = work.git("log", "-2", "--format=%B")
    assert "heating set point: recorded as 164 F, found at 170 F" in body and "left at 164" not in body


# reasons --------------------------------------------------------------------------------------------------------------


def test_a_reason_that_the_timeline_knows_is_not_called_nothing(work: Work) -> None:
    own = '[left]\nheating_setpoint = { value = 160, why = "cold rooms" }\n'
    visit(work, "2026-11-24", own, "complaint")
    visit(work, "2026-11-25", "[left]\nheating_setpoint = { value = 162 }\n", "yearly service")
    text = render_notes("text", Estate(work.folder, TODAY).notes(), Look(200))
    assert "heating set point, reason: that of the visit, yearly service (was cold rooms)" in text
    assert "nothing (was" not in text


def test_a_reason_that_nobody_gives_is_not_recorded(work: Work) -> None:
    work.profile(changes={"settings.heating_setpoint": {"value": 164, "why": "plan"}})
    work.commit("a reason")
    work.profile()
    work.commit("none")
    text = render_notes("text", Estate(work.folder, TODAY).notes(), Look(200))
    assert "heating set point, reason: not recorded (was plan)" in text


# temporary values -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("until", "words"),
    [
        ("2026-11-28", "until 2026-11-28"),
        ("2026-11-27", "until 2026-11-27, overdue by 1 day"),
        ("2026-10-28", "until 2026-10-28, overdue by 31 days"),
    ],
)
@pytest.mark.parametrize("kind", ["visit", "as-left", "handover"])
def test_an_end_that_is_past_is_called_overdue(work: Work, kind: str, until: str, words: str) -> None:
    value = {"value": 168, "until": date.fromisoformat(until), "then": 164, "watched_by": "R. Holm"}
    work.profile(changes={"settings.heating_setpoint": value})
    text = paper(work, kind).replace("\\", "")
    assert words in text
    assert ("overdue" in text.replace("test-overdue", "")) is ("overdue" in words)


# acceptances ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("form", ["text", "markdown", "junit", "sarif", "json", "csv"])
def test_an_acceptance_that_names_only_a_rule_has_no_nobody(work: Work, form: str) -> None:
    changes: dict[str, Any] = {"settings.keep_warm": 3, "accepted": [{"rule": "keep-warm-with-tank"}]}
    work.profile(changes=changes)
    words = [sys.executable, "-m", "settingslint", "check", ".", "--form", form, "--as-of", "2026-11-28"]
    words += ["--full"] if form == "text" else []
    ended = subprocess.run(words, cwd=work.folder, capture_output=True, text=True, check=False,
                           env={"PYTHONPATH": str(Path(__file__).parents[2]), "PATH": "/usr/bin:/bin"})  # fmt: skip
    assert ended.stdout and "nobody named" not in ended.stdout and "until no date" not in ended.stdout
    if form in ("text", "markdown", "junit", "sarif"):
        said = "accepted (no name, no end, no reason recorded)"
        assert said in " ".join(ended.stdout.replace("\\", "").split())
