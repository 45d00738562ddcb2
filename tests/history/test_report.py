"""What git adds to the pages of the report."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from settingslint.api import Estate
from settingslint.report.history import history_of
from settingslint.report.pages import page_name, write_report
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


def test_a_plants_page_has_its_timeline_and_the_commit(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.profile(changes={"settings.heating_setpoint": 150})
    id_ = work.commit("cooler <b> & 'so'")
    text = page(work, tmp_path / "out")
    assert f"commit {id_[:10]}" in text
    assert ">? 150 F</text>" in text
    assert "the commit says: cooler &lt;b&gt; &amp; " in text


def test_outside_of_git_the_page_has_no_history(tmp_path: Path) -> None:
    work = Work(tmp_path / "p")
    work.control()
    work.profile()
    assert "s-history" not in page(work, tmp_path / "one")
    (work.folder / ".git").rename(tmp_path / "elsewhere")
    assert "s-history" not in page(work, tmp_path / "two")
