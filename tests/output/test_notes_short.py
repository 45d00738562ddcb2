"""A note is short: three settings fit a screen, sentences are few, cautions come once, and no change is left out."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Final

import pytest

from settingslint.checking.causes import headed
from settingslint.history.duty import LONG
from settingslint.history.meaning import SENTENCES, quiet
from settingslint.history.notes import Note, Notes, notes
from settingslint.history.repository import Repository
from settingslint.model.values import title_of
from settingslint.output import Look
from settingslint.output.note_said import still_open
from settingslint.output.note_view import Section, View, shortened, views
from settingslint.output.notes import render_notes
from settingslint.rules.base import Certainty, Severity
from settingslint.starter.example import write_example
from settingslint.starter.new import make_folder
from settingslint.vocabulary.cautions import CAUTIONS
from tests.checking.test_causes import PLAIN
from tests.history.few import FIVE, THREE, changed
from tests.history.kit import started
from tests.rules.kit import profile_data, put
from tests.strategies import text_of

SCREEN: Final = 60
FORMS: Final = ("text", "markdown", "html")
BOARDS: Final = {"Corner Hall: as left": 25, "Millers Row: as found, with the new board": 20}
"""Commits of the example in which a control board was replaced, with how many settings that changes in the record."""


@pytest.fixture(scope="module")
def estate(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the example portfolio with its history."""
    root = tmp_path_factory.mktemp("example") / "p"
    make_folder(root)
    write_example(root)
    return root


def noted(root: Path, subject: str) -> Notes:
    """Return the notes of the commit with a first line."""
    with Repository(root) as repository:
        ids = repository.walk(None, repository.resolve("HEAD"))
        own = next(id_ for id_ in ids if repository.commit(id_).subject == subject)
        return notes(repository, root, own)


def plain(text: str) -> str:
    """Return a text without its line ends, escapes and marks."""
    return " ".join(text.replace("\\", "").split())


def section(view: View, title: str) -> Section:
    """Return one section of a note."""
    return next((one for one in view.sections if one.title == title), Section(title, ()))


@pytest.fixture
def beside(tmp_path: Path) -> Iterator[Path]:
    """Run where the portfolio is, so that paths are as short as a user has them."""
    here = Path.cwd()
    os.chdir(tmp_path)
    yield tmp_path
    os.chdir(here)


@pytest.mark.parametrize("names", THREE, ids="+".join)
def test_a_change_of_three_settings_fits_the_screen(beside: Path, names: Sequence[str]) -> None:
    found = changed(beside / "p", names)
    text = render_notes("text", found, Look())
    assert len(found.notes[0].rows) == 3
    assert len(text.splitlines()) <= SCREEN
    assert all(len(line) <= 80 for line in text.splitlines())
    said = plain(text)
    [view] = views(found)
    assert all(
        plain(one) in said for title in ("What it does to the house", "Unproved") for one in section(view, title).items
    )
    assert plain(section(view, "Cautions").items[0]) in said, "the first caution is in full"


@pytest.mark.parametrize("names", [*THREE, *FIVE], ids="+".join)
@pytest.mark.parametrize("form", FORMS)
def test_every_changed_setting_is_told_with_both_values(tmp_path: Path, names: Sequence[str], form: str) -> None:
    found = changed(tmp_path / "p", names)
    said = plain(render_notes(form, found, Look(width=200)))
    [note] = found.notes
    assert {row.change.name for row in note.rows} >= set(names)
    for row in note.rows:
        assert title_of(row.change.name) in said
        for value in row.change.effective:
            assert value is None or note.plant.show(row.change.name, value).partition(" ")[0] in said
    data = json.loads(render_notes("json", found, Look()))["notes"][0]
    assert [one["setting"] for one in data["changes"]] == [row.change.name for row in note.rows]
    assert all(one["meaning"] for one in data["changes"])
    assert data["house"] == list(note.house)


@pytest.mark.parametrize("names", FIVE, ids="+".join)
def test_three_sentences_at_most_and_what_can_hurt_people_first(tmp_path: Path, names: Sequence[str]) -> None:
    [note] = changed(tmp_path / "p", names).notes
    assert len(note.house) == SENTENCES == 3
    firing = [one for one in note.house if "nput" in one or "heat while heating" in one]
    assert firing == [note.house[0]], "firing comes first"


@pytest.mark.parametrize("names", [*THREE, *FIVE], ids="+".join)
@pytest.mark.parametrize("form", ["markdown", "html"])
def test_on_paper_a_caution_stands_once_and_in_full(tmp_path: Path, names: Sequence[str], form: str) -> None:
    found = changed(tmp_path / "p", names)
    said = plain(render_notes(form, found, Look())).replace("&#39;", "'")
    [note] = found.notes
    assert len(note.cautions) == len(set(note.cautions)) > 2
    for name in note.cautions:
        caution = CAUTIONS[name]
        assert said.count(caution.long if name in LONG else caution.short) == 1, name
        assert name not in LONG or said.count(caution.short) == 0


def test_what_runs_as_before_is_one_line_with_a_count(estate: Path) -> None:
    for subject, count in BOARDS.items():
        found = noted(estate, subject)
        [note], [view] = found.notes, views(found)
        assert len(note.rows) >= count
        same = [row for row in note.rows if quiet(row.change)]
        [line] = section(view, "Runs as before").items
        assert len(same) > 5 and line.startswith(f"{len(same)} settings recorded differently: ")
        told = {line.title for line in view.table}
        for row in note.rows:
            name = row.change.name
            assert (title_of(name) in told) is (row not in same)
            assert row not in same or f"{title_of(name)} {note.plant.show(name, row.change.effective[1])}" in line
        assert "settings run at the control's default and not as they were set" in note.house[0]


def test_a_board_that_was_found_at_its_defaults_was_not_found_as_it_was_left(estate: Path) -> None:
    [note] = noted(estate, "Corner Hall: as left").notes
    row = next(row for row in note.rows if row.change.name == "tank_setpoint")
    fahrenheit = [round(float(str(one)) * 1.8 + 32) for one in (row.change.effective[0], row.found)]
    assert fahrenheit == [146, 128]


def test_settings_put_back_from_the_record_are_one_line(estate: Path) -> None:
    found = noted(estate, "Millers Row: as left, everything put back from the record")
    [note], [view] = found.notes, views(found)
    [line] = section(view, "Changed and put back").items
    assert line.startswith(f"{len(note.passing)} settings, not set for a while and set as before again: ")
    assert all(title_of(one.name) in line for one in note.passing)


def test_one_cause_is_one_line_and_questions_are_counted(tmp_path: Path) -> None:
    found = changed(tmp_path / "p", ("tank_setpoint", "heating_setpoint", "freeze_protection"))
    [note], [view] = found.notes, views(found)
    heads = [one.finding for one in headed(note.raised)]
    told = [one for one in heads if not one.asks]
    lines = section(view, "New findings").items
    assert [line.partition(":")[0].partition(" ")[0] for line in lines[: len(told)]] == [one.severity for one in told]
    assert len(lines) == len(told) + (len(heads) > len(told))
    assert len(heads) < len(note.raised), "some of them have one cause"
    assert not any("assum" in line for line in lines)


def test_no_danger_and_no_damage_is_only_counted(tmp_path: Path) -> None:
    [note] = changed(tmp_path / "p", FIVE[2]).notes
    [view] = [shortened(one) for one in views(changed(tmp_path / "q", FIVE[2]))]
    dangers = [one.finding for one in headed(note.raised) if one.finding.severity.at_least(Severity.DAMAGE)]
    lines = section(view, "New findings").items
    assert dangers and all(any(one.rule in line for line in lines) for one in dangers if not one.asks)


def test_a_survey_of_many_facts_is_counted_and_what_changed_is_told(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    data = profile_data()
    for table in ("site", "building", "hot_water"):
        del data[table]
    put(data, {"boiler.efficiency": 0.84, "building.design_load": 90000})
    work.write("sites/mill/boiler-1.toml", text_of(data))
    work.commit("little is known")
    work.profile()
    work.commit("survey")
    with Repository(work.folder) as repository:
        found = notes(repository, work.folder)
    assert not found.problems
    [note], [view] = found.notes, views(found)
    recorded = section(view, "Recorded too").items[0]
    new = [one for one in note.differences.facts if one.old is None]
    changed_ = [one for one in note.differences.facts if one.old is not None]
    assert len(new) > 20 and {one.name for one in changed_} == {"boiler.efficiency", "building.design_load"}
    assert all(title_of(one.name) in recorded for one in changed_)
    assert f"{len(new) - 10} more recorded for the first time" in recorded
    data = json.loads(render_notes("json", found, Look()))["notes"][0]
    assert len(data["facts"]) == len(note.differences.facts)


def test_a_note_of_nothing_but_a_reading_has_no_empty_parts(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.profile(changes={"combustion.high.on": "2026-11-02", "combustion.high.co": 55})
    work.commit("read")
    with Repository(work.folder) as repository:
        found: Notes = notes(repository, work.folder)
    note: Note = found.notes[0]
    text = plain(render_notes("text", found, Look()))
    assert not note.rows and "combustion at high fire: read on 2026-11-02, carbon monoxide 55 ppm" in text
    assert "To undo" not in text and "Who must act" not in text and "Unproved" not in text


def test_what_stays_open_is_named_with_how_sure_it_is() -> None:
    grave = [
        replace(PLAIN, rule="loop-return-too-cool", severity=Severity.DANGER, certainty=Certainty.LIKELY, says="cool"),
        replace(PLAIN, rule="tap-too-hot", severity=Severity.DANGER, says="hot"),
        replace(PLAIN, rule="rotation-off", says="idle"),
    ]
    note = SimpleNamespace(unchanged=grave, plant=SimpleNamespace(profile=SimpleNamespace(accepted=())))
    assert list(still_open(note)) == [  # type: ignore[arg-type]
        "danger: hot [tap-too-hot]", "danger (likely): cool [loop-return-too-cool]", "besides 1 waste",
    ]  # fmt: skip
