"""What git adds to the pages of the report: commit, timeline, since when findings stand, drift."""

from __future__ import annotations

import re
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from settingslint.api import Estate
from settingslint.report.history import Told, drift, firing_changed, history_of
from settingslint.report.index import proved
from settingslint.report.names import page_name
from settingslint.report.pages import write_report
from settingslint.rules.plant import Plant
from tests.history.kit import Work, started

AS_OF = date(2026, 11, 25)


def page(work: Work, to: Path) -> str:
    """Write the report and return the page of its one plant."""
    estate = Estate(work.folder, AS_OF)
    plants: dict[str, Plant] = {}
    report = estate.check(keep=plants)
    with history_of(estate.root, AS_OF) as history:
        write_report(report, plants, to, history)
    return (to / "plants" / page_name(report.results[0])).read_text(encoding="utf-8")


def told(work: Work, rule: str, as_of: date = AS_OF) -> Told:
    """Return what the history tells of the one plant and since when it has a finding."""
    estate = Estate(work.folder, as_of)
    plants: dict[str, Plant] = {}
    report = estate.check(keep=plants)
    findings = [one for one in report.results[0].findings if one.rule == rule]
    assert findings, [one.rule for one in report.results[0].findings]
    with history_of(estate.root, as_of) as history:
        return history.past(next(iter(plants.values())), findings)


OF_HISTORY = "Changes without a recorded reason|Every change has a recorded reason"


def days(work: Work) -> list[date]:
    """Return the days of the commits, oldest first, as git says them."""
    return [date.fromisoformat(line) for line in work.git("log", "--reverse", "--format=%as").split()]


def since(work: Work, rule: str, as_of: date = AS_OF) -> list[tuple[str, str]]:
    """Return since when the one plant has a finding."""
    return list(told(work, rule, as_of).since.values())


def test_a_plants_page_has_its_timeline_and_the_commit(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.profile(changes={"settings.heating_setpoint": 150})
    id_ = work.commit("cooler <b> & 'so'")
    text = page(work, tmp_path / "out")
    assert f"commit {id_[:10]}" in text
    assert ">? 150 F</text>" in text and re.search(OF_HISTORY, text)
    assert "the commit says: cooler &lt;b&gt; &amp; " in text


def test_outside_of_git_the_page_has_no_history_and_draws_what_the_profile_records(tmp_path: Path) -> None:
    work = Work(tmp_path / "p")
    work.control()
    work.profile(changes={"settings.tank_setpoint": {"value": 140, "until": "2026-09-01", "why": "a test"}})
    assert not re.search(OF_HISTORY, page(work, tmp_path / "one"))
    (work.folder / ".git").rename(tmp_path / "elsewhere")
    text = page(work, tmp_path / "two")
    assert not re.search(OF_HISTORY, text)
    assert "No history to look into" in text
    figure = re.search('<figure id="timeline">.*?</figure>', text, re.DOTALL)
    assert figure is not None
    assert "tank set point</text>" in figure[0]
    assert "temporary until 2026-09-01, in place 85 days longer" in figure[0]
    assert "<td>no history</td>" in (tmp_path / "two" / "index.html").read_text(encoding="utf-8")


def test_another_plants_commit_rewrites_nothing_of_this_one(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.profile("sites/mill/boiler-2.toml", {"plant.name": "Boiler 2", "plant.serial": "K-2"})
    work.commit("a second one")
    page(work, tmp_path / "out")
    before = {file: file.read_bytes() for file in (tmp_path / "out").rglob("*.html")}
    times = {file: file.stat().st_mtime_ns for file in before}
    work.profile("sites/mill/boiler-2.toml", {"plant.name": "Boiler 2", "plant.serial": "K-2",
                                              "settings.heating_setpoint": 150})  # fmt: skip
    work.commit("cooler")
    page(work, tmp_path / "out")
    changed = {
        file.relative_to(tmp_path / "out").as_posix() for file in before if file.stat().st_mtime_ns != times[file]
    }
    assert "index.html" in changed
    assert {name for name in changed if "boiler-1" in name} == set()
    assert len({name for name in changed if "boiler-2" in name}) == 2, "its page and its sheet"


def test_a_file_that_is_not_committed_says_so(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.profile(changes={"settings.heating_setpoint": 150})
    assert "with changes that are not committed" in page(work, tmp_path / "out")


RULE = "freeze-protection-off"


def test_a_finding_stands_since_the_commit_that_brought_it_without_a_break(tmp_path: Path) -> None:
    off: dict[str, Any] = {"settings.freeze_protection": False}
    work = started(tmp_path / "p")
    work.profile(changes=off)
    work.commit("off")
    work.profile()
    work.commit("on again")
    work.profile(changes=off)
    work.commit("off again")
    work.profile(changes=off | {"settings.heating_setpoint": 150})
    work.commit("cooler")
    day = days(work)[3]
    assert since(work, RULE) == [(day.isoformat(), str((AS_OF - day).days))]


def test_a_finding_of_the_oldest_commit_stands_since_the_first_record(tmp_path: Path) -> None:
    work = Work(tmp_path / "p")
    work.control()
    work.profile(changes={"settings.freeze_protection": False})
    work.commit("first")
    (day,) = days(work)
    assert since(work, RULE) == [(f"{day}, the first record", str((AS_OF - day).days))]


def test_what_is_not_committed_stands_since_today(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.profile(changes={"settings.freeze_protection": False})
    assert since(work, RULE) == [(AS_OF.isoformat(), "0")]


def test_a_finding_that_time_brought_stands_since_the_day_after_the_end(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    until = max(days(work)) + timedelta(days=20)
    work.profile(changes={"settings.tank_setpoint": {"value": 140, "until": until, "then": 145, "why": "a test"}})
    work.commit("for a while")
    as_of = until + timedelta(days=30)
    day = until + timedelta(days=1)
    assert since(work, "temporary-change-overdue", as_of) == [(day.isoformat(), "29")]


def test_what_a_visit_found_otherwise_is_drift(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.profile(changes={"settings.heating_setpoint": 150})
    work.commit("as found\n\nVisit-Step: as found\nVisit-Reason: service")
    work.profile(changes={"settings.heating_setpoint": 158, "settings.heating_maximum_rate": 80,
                          "settings.freeze_protection": False})  # fmt: skip
    work.commit("as left\n\nVisit-Step: as left\nVisit-Reason: service")
    line = told(work, RULE).line
    assert line is not None
    ((name, before, found, after),) = drift(line)
    assert name == "heating_setpoint"
    values = [round(float(str(one.typed)) * 1.8 + 32) for one in (before, found, after) if one is not None]
    assert values[1:] == [150, 158]
    assert firing_changed(line) == days(work)[-1]


def test_a_reading_as_new_as_the_change_follows_it() -> None:
    assert proved("2026-03-01", ["2026-03-01", "2026-04-01"]) == "followed by readings at both ends"
    assert proved("2026-03-01", ["not recorded", "2026-02-28"]) == "unproved at high and low fire"
    assert proved("none in the history", ["2026-03-01", "2026-03-01"]) == "-"
    assert proved("no history", ["2026-03-01", "2026-03-01"]) == "not told"
