"""Every value a setting had, from when to when; what nobody explains; what stood longer than it was meant to."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from settingslint.history import NoHistory
from settingslint.history.repository import Repository
from settingslint.history.snapshots import Snapshots
from settingslint.history.timeline import Timeline, timeline
from settingslint.output import Look
from settingslint.output.timeline import render_timeline
from settingslint.report.timeline import picture
from tests.history.kit import Work, started

PROFILE = "sites/mill/boiler-1.toml"
AS_OF = date(2026, 11, 25)


def told(work: Work, name: str = PROFILE, as_of: date = AS_OF) -> Timeline:
    """Return the timeline of a profile."""
    with Repository(work.folder) as repository:
        return timeline(Snapshots(repository, work.folder), work.folder / name, as_of)


def values(line: Timeline, setting: str = "heating_setpoint") -> list[tuple[int, str, str | None]]:
    """Return value in F, begin and end of each stretch."""
    return [
        (round(float(str(one.typed)) * 1.8 + 32), one.begin.isoformat(), one.end.isoformat() if one.end else None)
        for one in line.settings[setting]
    ]


def at(work: Work, day: str, message: str, changes: dict[str, Any], name: str = PROFILE) -> str:
    """Commit the profile with changes on a day."""
    work.profile(name, {"visit.on": "2025-12-01", **changes})
    work.git("add", "-A")
    when = f"{day}T12:00:00+00:00"
    work.git("commit", "-q", "-m", message, GIT_AUTHOR_DATE=when, GIT_COMMITTER_DATE=when)
    return work.git("rev-parse", "HEAD").strip()


def begun(folder: Path) -> Work:
    """Return a portfolio whose first record is of a known day."""
    work = Work(folder)
    work.write("portfolio.toml", 'format = 1\nname = "Kit"\n')
    work.control()
    at(work, "2026-01-10", "first record", {})
    return work


def test_from_when_to_when(tmp_path: Path) -> None:
    work = begun(tmp_path / "p")
    at(work, "2026-02-10", "warmer", {"settings.heating_setpoint": 170})
    at(work, "2026-02-20", "a remark on the store", {"settings.heating_setpoint": 170, "settings.tank_setpoint": 140})
    at(work, "2026-03-15", "cooler", {"settings.heating_setpoint": 155, "settings.tank_setpoint": 140})
    line = told(work)
    assert values(line) == [
        (164, "2025-12-01", "2026-02-10"), (170, "2026-02-10", "2026-03-15"), (155, "2026-03-15", None),
    ]  # fmt: skip
    assert values(line, "tank_setpoint") == [(145, "2025-12-01", "2026-02-20"), (140, "2026-02-20", None)]
    assert set(line.changed()) == {"heating_setpoint", "tank_setpoint"}
    assert line.commits == 4


def test_a_visit_gives_the_day_and_the_reason(tmp_path: Path) -> None:
    work = begun(tmp_path / "p")
    visit = {"visit.on": "2026-02-01", "visit.why": "bedrooms cold", "visit.by": "A. Sato"}
    at(work, "2026-02-10", "typed in the office", {"settings.heating_setpoint": 170, **visit})
    stretch = told(work).settings["heating_setpoint"][1]
    assert (stretch.begin, stretch.why, stretch.said) == (date(2026, 2, 1), "bedrooms cold", "typed in the office")
    assert stretch.who == "A. Sato, recorded by R. Holm"


def test_several_visits_of_one_day(tmp_path: Path) -> None:
    """All are listed, in the order of their commits; what was found was found by who was there."""
    work = begun(tmp_path / "p")
    trailers = "Visit-Date: 2025-12-01\nVisit-Step: {}\nVisit-By: {}\nVisit-Reason: {}"
    one, other = {"visit.by": "P. Larsen", "visit.why": "cold"}, {"visit.by": "R. Holm", "visit.why": "too warm"}
    tank = {"settings.tank_setpoint": 120}
    at(work, "2025-12-01", "1\n\n" + trailers.format("as found", "P. Larsen", "cold"), tank)
    at(work, "2025-12-01", "2\n\n" + trailers.format("as left", "P. Larsen", "cold"), {
        **tank, **one, "settings.heating_setpoint": 170,
    })  # fmt: skip
    at(work, "2025-12-01", "3\n\n" + trailers.format("as left", "R. Holm", "too warm"), {
        **tank, **other, "settings.heating_setpoint": 160,
    })  # fmt: skip
    line = told(work)
    visits = [mark.text for mark in line.marks if mark.kind == "visit"]
    assert visits[1:] == ["P. Larsen, service, cold", "R. Holm, service, too warm"]
    found = line.settings["tank_setpoint"][1]
    assert (found.found, found.who, found.begin) == (True, "P. Larsen, recorded by R. Holm", date(2025, 12, 1))
    first, second = line.settings["heating_setpoint"][1:]
    assert (first.who, first.why) == ("P. Larsen, recorded by R. Holm", "cold")
    assert (second.who, second.why) == ("R. Holm", "too warm")
    assert len(visits) == 3


def test_what_a_visit_found_and_nobody_explains_is_a_gap(tmp_path: Path) -> None:
    work = begun(tmp_path / "p")
    found = "found\n\nVisit-Date: 2026-02-01\nVisit-Step: as found\nVisit-Reason: yearly service"
    at(work, "2026-02-01", found, {"settings.tank_setpoint": 120})
    left = "left\n\nVisit-Date: 2026-02-01\nVisit-Step: as left\nVisit-Reason: yearly service"
    at(work, "2026-02-01", left, {"settings.tank_setpoint": 140})
    line = told(work)
    assert [(one.found, one.why) for one in line.settings["tank_setpoint"][1:]] == [
        (True, ""),
        (False, "yearly service"),
    ]
    assert [one.setting for one in line.unexplained()] == ["tank_setpoint"]
    assert "changed since the last visit, no reason recorded" in render_timeline("text", line, "tank_setpoint", Look())


@pytest.mark.parametrize(("on", "who"), [("2026-02-01", "A. Sato, recorded by R. Holm"), ("2026-02-02", "R. Holm")])
def test_who_found_it_is_told_by_what_the_same_visit_left(tmp_path: Path, on: str, who: str) -> None:
    """Where the commit does not say so; that of another day says nothing of it."""
    work = begun(tmp_path / "p")
    at(work, "2026-02-01", "f\n\nVisit-Date: 2026-02-01\nVisit-Step: as found", {"settings.tank_setpoint": 120})
    visit = {"visit.on": on, "visit.by": "A. Sato", "visit.why": "service"}
    at(work, on, f"l\n\nVisit-Date: {on}\nVisit-Step: as left", {"settings.tank_setpoint": 140, **visit})
    found, left = told(work).settings["tank_setpoint"][1:]
    assert (found.found, found.who) == (True, who)
    assert left.who == "A. Sato, recorded by R. Holm"


def test_a_reason_that_stays_behind_explains_no_later_value(tmp_path: Path) -> None:
    work = begun(tmp_path / "p")
    at(work, "2026-02-01", "one", {"settings.heating_setpoint": {"value": 170, "why": "cold bedrooms"}})
    at(work, "2026-03-01", "two", {"settings.heating_setpoint": {"value": 155, "why": "cold bedrooms"}})
    assert [one.why for one in told(work).settings["heating_setpoint"][1:]] == ["cold bedrooms", ""]


def test_a_temporary_value_that_stood_too_long(tmp_path: Path) -> None:
    work = begun(tmp_path / "p")
    table = {"value": 150, "until": "2026-03-01", "then": 164, "why": "works in the hall"}
    at(work, "2026-02-01", "for the works", {"settings.heating_setpoint": table})
    at(work, "2026-03-11", "back", {})
    late, back = told(work).settings["heating_setpoint"][1:]
    assert (late.until, late.overdue(AS_OF)) == (date(2026, 3, 1), 10)
    assert (back.until, back.overdue(AS_OF)) == (None, 0)
    work.git("reset", "-q", "--hard", "HEAD~1")
    assert told(work).settings["heating_setpoint"][-1].overdue(AS_OF) == (AS_OF - date(2026, 3, 1)).days


def test_a_control_file_that_moves_the_effective_value_is_a_stretch_of_its_own(tmp_path: Path) -> None:
    work = begun(tmp_path / "p")
    ignores = {"does": "ignore", "low": 85, "high": 95, "becomes": 100}
    work.control({"setting.heating_maximum_rate.treatments": [ignores]})
    work.commit("what the control does with 85 to 95 %")
    one, other = told(work).settings["heating_maximum_rate"]
    assert (one.typed, one.effective, other.typed, other.effective) == (90.0, 90.0, 90.0, 100.0)
    assert other.through == "control file kit treats it differently now"
    assert other.why, "the commit of a control file is its explanation"


def test_a_plant_that_got_another_control_keeps_the_history_of_both(tmp_path: Path) -> None:
    work = begun(tmp_path / "p")
    ignores = {"does": "ignore", "low": 85, "high": 95, "becomes": 100}
    work.control({"setting.heating_maximum_rate.treatments": [ignores]})
    work.commit("what the control does with 85 to 95 %")
    work.control(name="other")
    at(work, "2026-06-01", "new board", {"plant.control": "other"})
    line = told(work)
    assert [one.effective for one in line.settings["heating_maximum_rate"]] == [90.0, 100.0, 90.0]
    assert "identity" in [mark.kind for mark in line.marks]


def test_it_follows_moves_and_new_names_and_swaps(tmp_path: Path) -> None:
    work = begun(tmp_path / "p")
    at(work, "2026-02-01", "warmer", {"settings.heating_setpoint": 170})
    (work.folder / "sites/hall").mkdir()
    work.git("mv", PROFILE, "sites/hall/east.toml")
    work.git("commit", "-q", "-m", "moved")
    name = "sites/hall/east.toml"
    renamed = {"plant.name": "East", "settings.heating_setpoint": 155}
    at(work, "2026-03-01", "renamed", renamed, name)
    assert [one[0] for one in values(told(work, name))] == [164, 170, 155]
    # another plant takes its place, and it takes the other's
    at(work, "2026-04-01", "second", {"plant.name": "West", "plant.serial": "K-2", "settings.heating_setpoint": 140})
    one, other = (work.folder / name).read_bytes(), (work.folder / PROFILE).read_bytes()
    work.write(name, other)
    work.write(PROFILE, one)
    work.commit("swapped")
    assert [one[0] for one in values(told(work, PROFILE))] == [164, 170, 155]
    assert [one[0] for one in values(told(work, name))] == [140]


def test_a_profile_that_went_and_came_back(tmp_path: Path) -> None:
    work = begun(tmp_path / "p")
    (work.folder / PROFILE).unlink()
    work.commit("gone")
    line = told(work)
    assert [one[0] for one in values(line)] == [164]
    at(work, "2026-05-01", "back", {"settings.heating_setpoint": 150})
    line = told(work)
    assert [one[0] for one in values(line)] == [164, 150]
    assert "gap" in [mark.kind for mark in line.marks]


def test_a_commit_that_cannot_be_read_is_a_gap_and_a_problem(tmp_path: Path) -> None:
    work = begun(tmp_path / "p")
    work.write(PROFILE, "this is = no profile\n")
    broken = work.commit("broken")
    at(work, "2026-05-01", "mended", {"settings.heating_setpoint": 150})
    line = told(work)
    assert [one[0] for one in values(line)] == [164, 150]
    assert len(line.problems) == 1 and broken[:10] in line.problems[0].message


def test_what_is_not_committed_yet_is_the_last_stretch(tmp_path: Path) -> None:
    work = begun(tmp_path / "p")
    work.profile(changes={"visit.on": "2025-12-01", "settings.heating_setpoint": 150})
    last = told(work).settings["heating_setpoint"][-1]
    assert (last.who, last.commit.id, last.begin) == ("not committed yet", "", AS_OF)


def test_where_there_is_nothing_to_tell(tmp_path: Path) -> None:
    work = begun(tmp_path / "p")
    with pytest.raises(NoHistory, match="no commit has"):
        told(work, "sites/mill/boiler-9.toml")
    with pytest.raises(NoHistory, match="lies outside"), Repository(work.folder) as repository:
        timeline(Snapshots(repository, work.folder), tmp_path / "elsewhere.toml", AS_OF)


def test_the_picture_has_a_lane_for_each_setting_and_a_bar_for_each_value(tmp_path: Path) -> None:
    work = begun(tmp_path / "p")
    at(work, "2026-02-10", "warmer", {"settings.heating_setpoint": 170})
    at(work, "2026-03-15", "cooler", {"settings.heating_setpoint": 155, "settings.maximum_fan_speed": 6000})
    line = told(work)
    svg = picture(line, None)
    assert svg.count('class="lane"') == 2
    assert svg.count('class="value"') == 5
    assert ">164 F</text>" in svg and ">6,100 rpm</text>" in svg
    assert 'role="img"' in svg and "aria-label=" in svg
    # a bar is as long as its time: 2026-02-10 to 03-15 is 33 of the days since the first visit, 2025-12-01
    starts = [float(part.partition('"')[0]) for part in svg.split('<rect class="value" x="')[1:4]]
    whole = (AS_OF - date(2025, 12, 1)).days
    assert (starts[2] - starts[1]) / (760 - 214 - 10) == pytest.approx(33 / whole, abs=0.002)


def test_the_command(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.profile(changes={"settings.heating_setpoint": 150})
    work.commit()

    def run(*words: str) -> subprocess.CompletedProcess[str]:
        environment = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}
        return subprocess.run(
            [sys.executable, "-m", "settingslint", "timeline", *words], cwd=work.folder, env=environment,
            capture_output=True, text=True, check=False,
        )  # fmt: skip

    assert "164 F" in run(PROFILE).stdout
    data = json.loads(run(PROFILE, "heating_setpoint", "--form", "json").stdout)
    assert [one["value"] for one in data["settings"][0]["values"]] == [164, 150]
    assert run(PROFILE, "--form", "html", "--to", "page.html").returncode == 0
    assert "<svg" in (work.folder / "page.html").read_text(encoding="utf-8")
    assert run(PROFILE, "heating_set_point").returncode == 2
    assert "did you mean heating_setpoint?" in run(PROFILE, "heating_set_point").stderr
    assert run("sites/none.toml").returncode == 2
    folder = run("sites")
    assert (folder.returncode, folder.stderr) == (2, "settingslint: sites is a folder: name one profile\n")
    assert run(PROFILE, "--form", "pdf").returncode == 2


def test_what_was_read_at_the_boiler_begins_a_stretch(tmp_path: Path) -> None:
    work = begun(tmp_path / "p")
    work.control({"setting.high_limit": {"treatments": [], "access": "factory", "default": 206, "read_back": "exact"}})
    at(work, "2026-02-01", "read at the boiler", {"settings.high_limit": {"value": 206, "read_back": 215}})
    before, after = told(work).settings["high_limit"]
    assert [round(float(str(one.effective)) * 1.8 + 32) for one in (before, after)] == [206, 215]
    assert (before.through, after.through) == ("", "it was read at the boiler")
