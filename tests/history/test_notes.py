"""Change notes are about plants, not about text: what counts as a change, whose it is, and what it asks for."""

from __future__ import annotations

import random
from pathlib import Path
from typing import Any

import pytest

from settingslint.history.notes import Note, Notes, notes
from settingslint.history.repository import Repository
from settingslint.rules.base import RESTORE_FIRING, RESTORE_LIMIT
from tests.bench.portfolio import text_of
from tests.history.kit import Work, started
from tests.rules.kit import profile_data

PROFILE = "sites/mill/boiler-1.toml"


def noted(work: Work, revisions: str | None = None, worktree: bool = False) -> Notes:
    """Return the notes of a repository."""
    with Repository(work.folder) as repository:
        return notes(repository, work.folder, revisions, worktree)


def only(found: Notes) -> Note:
    """Return the one note that there is."""
    assert not found.problems
    assert len(found.notes) == 1, [note.path for note in found.notes]
    return found.notes[0]


def names(note: Note) -> list[str]:
    """Return the changed settings."""
    return [row.change.name for row in note.rows]


def test_a_changed_value_is_one_row_with_both_values_and_what_it_does(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.profile(changes={"settings.heating_setpoint": 150})
    id_ = work.commit("Lower in spring", author="A. Sato")
    note = only(noted(work))
    assert names(note) == ["heating_setpoint"]
    change = note.rows[0].change
    assert list(change.typed) == pytest.approx([(164 - 32) / 1.8, (150 - 32) / 1.8])
    assert change.effective == change.typed
    # by hand: one straight line from the set point at the kit's anchor, 2 F, to 76 F at 76 F outdoors:
    # 76 + (164 - 76) * (76 - 4) / (76 - 2) = 161.6, with 150: 148; at 40 F 118.8 and 112; radiators made for 158 F
    meaning = note.rows[0].meaning
    assert "at 4 F outdoors 162 to 148 F (needed: 158 F, 10 F short)" in meaning
    assert "at 40 F outdoors 119 to 112 F" in meaning
    assert [(touch.commit.id, touch.commit.author, touch.why) for touch in note.touches] == [
        (id_, "A. Sato", "Lower in spring")
    ]
    assert note.undo == (("heating_setpoint", "164 F"),)
    assert note.rows[0].cautions == ("heating",)


@pytest.mark.parametrize("metric", [False, True])
def test_another_text_with_the_same_values_is_no_change(tmp_path: Path, metric: bool) -> None:
    work = started(tmp_path / "p")
    data = profile_data(metric=metric)
    chance = random.Random(3)
    for table in ("settings", "building", "boiler", "visit"):
        shuffled = list(data[table].items())
        chance.shuffle(shuffled)
        data[table] = dict(shuffled)
    for name in ("heating_setpoint", "tank_setpoint", "reset"):
        data["settings"][name] = {"value": data["settings"][name]}
    data["building"]["design_load"] = {"value": data["building"]["design_load"]}
    text = "# a remark\n\n" + text_of(dict(reversed(list(data.items())))).replace(" = ", "   =  ")
    work.write(PROFILE, text.replace("\n", "\r\n"))
    work.commit("another look")
    assert noted(work) == Notes(*ends(work), notes=())


def ends(work: Work) -> tuple[str, str]:
    """Return the short ids of the last two commits."""
    return work.git("rev-parse", "HEAD~1")[:10], work.git("rev-parse", "HEAD")[:10]


def test_a_metric_file_with_another_value_is_a_change(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.profile(changes={"settings.heating_setpoint": 73.0}, metric=True)  # 163.4 F
    work.commit()
    assert names(only(noted(work))) == ["heating_setpoint"]


def test_a_moved_and_renamed_plant_is_followed_by_its_serial_number(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    (work.folder / PROFILE).unlink()
    work.profile("sites/new hall/b.toml", {"plant.name": "East boiler", "settings.heating_setpoint": 150})
    work.commit()
    note = only(noted(work))
    assert note.old is not None and note.new is not None
    assert note.moved_from is not None and note.moved_from.endswith(PROFILE)
    assert names(note) == ["heating_setpoint"]
    assert [(fact.name, fact.new) for fact in note.differences.facts] == [("plant.name", "East boiler")]


def test_two_files_that_swap_their_plants_are_two_moves_and_no_change_of_values(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    second = "sites/mill/boiler-2.toml"
    changes = {"plant.name": "Boiler 2", "plant.serial": "K-2", "settings.heating_setpoint": 150}
    work.profile(second, changes)
    work.commit("added")
    one, other = (work.folder / PROFILE).read_bytes(), (work.folder / second).read_bytes()
    work.write(PROFILE, other)
    work.write(second, one)
    work.commit("swapped")
    found = noted(work)
    assert [(note.plant.profile.serial, note.rows) for note in found.notes] == [("K-1", ()), ("K-2", ())]
    assert all(note.moved_from for note in found.notes)
    whole = noted(work, "HEAD~2..HEAD").notes
    assert [[touch.why for touch in note.touches] for note in whole] == [["swapped"], ["added", "swapped"]]


def test_a_copy_is_new_and_the_plant_that_stayed_is_not(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.profile("sites/mill/a-copy.toml")
    work.profile(changes={"settings.heating_setpoint": 150})
    work.commit()
    found = {Path(note.path).name: note for note in noted(work).notes}
    assert found["a-copy.toml"].old is None
    assert names(found["boiler-1.toml"]) == ["heating_setpoint"]


def test_another_boiler_in_the_same_place_is_a_change_of_its_identity(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.profile(changes={"plant.serial": "K-900", "boiler.serial_on_plate": "K-900"})
    work.commit()
    note = only(noted(work))
    assert "plant.serial" in [fact.name for fact in note.differences.facts]
    assert "board" in note.cautions


def test_a_control_file_that_moves_effective_values_is_a_change_of_its_plants(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.control(name="other")
    work.profile(
        "sites/mill/boiler-2.toml", {"plant.name": "Boiler 2", "plant.serial": "K-2", "plant.control": "other"}
    )
    work.commit()
    ignores = {"does": "ignore", "low": 85, "high": 95, "becomes": 100}
    work.control({"setting.heating_maximum_rate.treatments": [ignores]})
    id_ = work.commit("Control: 85 to 95 % are ignored")
    note = only(noted(work))
    assert note.plant.profile.serial == "K-1"
    assert names(note) == ["heating_maximum_rate"]
    change = note.rows[0].change
    assert (change.typed, change.effective) == ((90.0, 90.0), (90.0, 100.0))
    assert [(touch.commit.id, touch.through) for touch in note.touches] == [(id_, "controls/kit.toml")]
    assert note.rows[0].meaning.startswith("Nothing was typed here")
    assert "firing" in note.cautions
    assert note.undo[0][1].startswith("nothing to type")


def test_a_control_file_that_moves_nothing_is_no_change(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    path = work.folder / "controls/kit.toml"
    path.write_text("# a remark\n" + path.read_text(encoding="utf-8"), encoding="utf-8")
    work.commit()
    assert not noted(work).notes


def test_the_owners_number_that_raises_a_finding_is_noted_with_its_commit(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.write("portfolio.toml", 'format = 1\nname = "Kit"\nunits = "us"\n\n[thresholds]\ntank_minimum = 150\n')
    id_ = work.commit("Stricter tank")
    note = only(noted(work))
    assert not note.rows
    assert note.raised
    assert [(touch.commit.id, touch.through) for touch in note.touches] == [(id_, "portfolio.toml")]


def test_the_first_commit_is_a_first_record(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    note = only(noted(work, work.git("rev-list", "--max-parents=0", "HEAD").strip()))
    assert note.old is None
    assert len(note.rows) == len(profile_data()["settings"])
    assert not note.undo and not note.proofs


def test_a_plant_that_is_gone(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    (work.folder / PROFILE).unlink()
    work.commit()
    note = only(noted(work))
    assert note.new is None and note.old is not None


def test_a_merge_is_noted_against_its_first_parent_with_the_commits_that_did_it(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.git("checkout", "-q", "-b", "side")
    work.profile(changes={"settings.tank_setpoint": 140})
    side = work.commit("store", author="J. Lind")
    work.git("checkout", "-q", "main")
    work.profile("sites/mill/boiler-2.toml", {"plant.name": "Boiler 2", "plant.serial": "K-2"})
    work.commit("another boiler")
    work.git("merge", "-q", "--no-edit", "side")
    note = only(noted(work))
    assert names(note) == ["tank_setpoint"]
    assert [touch.commit.id for touch in note.touches] == [side]


def test_a_conflict_resolved_to_a_third_value_is_the_merges_own_change(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.git("checkout", "-q", "-b", "side")
    work.profile(changes={"settings.tank_setpoint": 140})
    work.commit("140")
    work.git("checkout", "-q", "main")
    work.profile(changes={"settings.tank_setpoint": 150})
    work.commit("150")
    work.git("merge", "-q", "side", check=False)
    work.profile(changes={"settings.tank_setpoint": 143})
    merge = work.commit("merged")
    note = only(noted(work))
    assert note.undo == (("tank_setpoint", "150 F"),)
    assert note.touches[-1].commit.id == merge


def test_a_range_is_one_note_and_names_what_came_and_went_between(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.profile(changes={"settings.heating_setpoint": 150, "settings.tank_setpoint": 140})
    work.commit("one")
    work.profile(changes={"settings.tank_setpoint": 140})
    work.commit("two")
    note = only(noted(work, "HEAD~2..HEAD"))
    assert names(note) == ["tank_setpoint"]
    assert [(one.name, [round(float(str(value)) * 1.8 + 32) for value in one.values]) for one in note.passing] == [
        ("heating_setpoint", [164, 150, 164])
    ]
    assert [touch.why for touch in note.touches] == ["one", "two"]
    assert not noted(work, "HEAD..HEAD").notes


def test_what_was_found_stands_beside_what_was_left(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.profile(changes={"settings.heating_setpoint": 150})
    work.commit("found\n\nVisit-Date: 2026-11-02\nVisit-Step: as found")
    visit = {"visit.on": "2026-11-02", "visit.why": "rooms too warm"}
    work.profile(changes={"settings.heating_setpoint": 155, "settings.tank_setpoint": 140, **visit})
    work.commit("left\n\nVisit-Date: 2026-11-02\nVisit-Step: as left\nVisit-Reason: rooms too warm")
    note = only(noted(work))
    assert len(note.touches) == 2, "one note for a visit of two commits"
    assert noted(work, "HEAD~1..HEAD").old != noted(work).old
    found = {row.change.name: round(float(str(row.found)) * 1.8 + 32) for row in note.rows}
    assert found == {"heating_setpoint": 150, "tank_setpoint": 145}
    assert note.visited
    assert note.touches[-1].why == "rooms too warm"


def test_files_not_committed_yet(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    assert not noted(work, worktree=True).notes
    work.profile(changes={"settings.heating_setpoint": 150})
    work.profile("sites/mill/boiler-2.toml", {"plant.name": "Boiler 2", "plant.serial": "K-2"})
    found = noted(work, worktree=True)
    assert [(len(note.rows), note.old is None) for note in found.notes] == [
        (1, False),
        (len(profile_data()["settings"]), True),
    ]
    assert found.notes[0].touches == ()
    assert not noted(work).problems


def test_a_control_file_not_committed_yet_changes_its_plants(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    ignores = {"does": "ignore", "low": 85, "high": 95, "becomes": 100}
    work.control({"setting.heating_maximum_rate.treatments": [ignores]})
    note = only(noted(work, worktree=True))
    assert names(note) == ["heating_maximum_rate"]
    assert note.rows[0].change.effective == (90.0, 100.0)


def test_files_not_committed_yet_against_an_older_revision(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.profile(changes={"settings.tank_setpoint": 140})
    work.commit("store")
    work.profile(changes={"settings.tank_setpoint": 140, "settings.heating_setpoint": 150})
    note = only(noted(work, "HEAD~1", worktree=True))
    assert sorted(names(note)) == ["heating_setpoint", "tank_setpoint"]


def test_a_reason_or_a_reading_is_recorded_and_is_no_change(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    table = {"value": 164, "read_back": 164, "why": "asked for by the tenant", "on": "2026-01-02"}
    work.profile(changes={"settings.heating_setpoint": table})
    work.commit()
    note = only(noted(work))
    assert not note.rows and not note.differences.physical
    assert {(one.name, one.key) for one in note.differences.record} == {
        ("heating_setpoint", key) for key in ("read_back", "why", "on")
    }


FACTORY = {"treatments": [], "access": "factory", "default": 206}


@pytest.mark.parametrize(("display", "runs"), [("exact", 215), (None, None), ("as typed", 206)])
@pytest.mark.parametrize("typed", [206, 215])
def test_a_limit_that_was_read_back_otherwise_is_noticed(
    tmp_path: Path, display: str | None, runs: int | None, typed: int
) -> None:
    if display == "as typed" and typed == 206:
        return  # shows neither what was typed nor what it keeps: not known, as without a word about the display
    work = started(tmp_path / "p")
    work.control({"setting.high_limit": {**FACTORY, **({"read_back": display} if display else {})}})
    work.commit("control")
    work.profile(changes={"settings.high_limit": {"value": typed, "read_back": 215}})
    work.commit("read at the boiler")
    row = only(noted(work)).rows[0]
    before, after = row.change.effective
    assert before == pytest.approx((206 - 32) / 1.8)
    assert after == (pytest.approx((runs - 32) / 1.8) if runs is not None else None)
    if display == "as typed":
        assert row.meaning.startswith("No change at the boiler")
        return
    assert "o change at the boiler" not in row.meaning and "read back 215 F" in row.meaning
    assert ("206 F to 215 F" if runs else "it was 206 F; now it is not known") in row.meaning.replace("It", "it")
    assert ("Nothing was typed here; it was read at the boiler." in row.meaning) == (typed == 206)
    raised = {one.rule for one in only(noted(work)).raised}
    assert "read-back-contradicts-control-file" in raised


def test_a_finding_is_raised_and_cleared(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.profile(changes={"settings.freeze_protection": False})
    work.commit()
    raised = only(noted(work))
    assert "freeze-protection-off" in [one.rule for one in raised.raised]
    assert "freeze" in raised.cautions
    work.profile()
    work.commit()
    cleared = only(noted(work))
    assert "freeze-protection-off" in [one.rule for one in cleared.cleared]
    assert dict(cleared.undo)["freeze_protection"].startswith("off; brings back d")
    assert not cleared.raised


BOTH_ENDS = [f"combustion after the change: {end} fire" for end in ("high", "low")]


@pytest.mark.parametrize(
    ("changes", "missing", "present"),
    [
        ({"settings.maximum_fan_speed": 6000}, BOTH_ENDS, []),
        (
            {"settings.maximum_fan_speed": 6000, "combustion.high.on": "2026-12-01", "combustion.low.on": "2026-12-01"},
            [],
            BOTH_ENDS,
        ),
        ({"settings.tank_setpoint": 150}, ["test: mixing valve"], []),
        ({"settings.high_limit": 200}, ["test: limits"], []),
    ],
)  # fmt: skip
def test_proofs_that_a_change_asks_for(
    tmp_path: Path, changes: dict[str, Any], missing: list[str], present: list[str]
) -> None:
    # common practice, no source: a change of firing is proved by a combustion reading that is newer
    work = started(tmp_path / "p")
    work.profile(changes={**changes, "visit.on": "2026-11-02"})
    work.commit()
    proofs = only(noted(work)).proofs
    for state, wanted in (("missing", missing), ("present", present)):
        said = [proof.what for proof in proofs if proof.state == state]
        assert all(any(what.startswith(one) for what in said) for one in wanted), (state, said)


def test_a_change_of_firing_is_undone_by_whoever_may(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    limit = {"value": 200, "until": "2026-12-20", "then": 207, "watched_by": "duty engineer"}
    work.profile(
        changes={"settings.maximum_fan_speed": 6000, "settings.tank_setpoint": 140, "settings.high_limit": limit}
    )
    work.commit()
    note = only(noted(work))
    assert dict(note.undo)["maximum_fan_speed"] == RESTORE_FIRING and dict(note.undo)["high_limit"] == RESTORE_LIMIT
    assert "high limit is temporary until 2026-12-20; watched by: duty engineer" in note.watch  # back to no figure
    assert dict(note.undo)["tank_setpoint"] == "145 F"
    assert "licensed" in dict(note.undo)["maximum_fan_speed"]
    assert note.actors["licensed gas technician"] == ["maximum_fan_speed"]
