"""The past that rules of the record look into: which states it holds, and when git is opened at all."""

from __future__ import annotations

import copy
import pickle
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

from settingslint.api import Estate
from settingslint.history.past import Looker
from settingslint.history.repository import Repository
from settingslint.rules.past import Past
from tests.history.kit import Work, started

AS_OF = date(2026, 11, 25)
PROFILE = "sites/mill/boiler-1.toml"


def past(work: Work, name: str = PROFILE) -> Past | None:
    """Return the past of a plant as a check has it."""
    return Estate(work.folder, AS_OF).plant(work.folder / name).past


def states(work: Work, setting: str = "heating_setpoint") -> list[object]:
    """Return what a setting was in the states of the past, in F, rounded."""
    found = past(work)
    assert found is not None
    return [round(float(str(state.typed[setting])) * 1.8 + 32) for state in found.states]


def needs_history(work: Work) -> set[str]:
    """Return the rules that a check could not ask for want of history."""
    report = Estate(work.folder, AS_OF).check()
    return {lack.rule for result in report.results for lack in result.not_checked if "history" in lack.needs}


def test_outside_of_git_rules_about_the_past_are_not_checked(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    assert not needs_history(work)
    (work.folder / ".git").rename(tmp_path / "elsewhere")
    assert "as-found-differs" in needs_history(work)
    assert past(work) is None


def test_a_repository_without_a_commit_has_no_past(tmp_path: Path) -> None:
    work = Work(tmp_path / "p")
    work.control()
    work.profile()
    assert past(work) is None


def test_the_present_state_is_not_its_own_past(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    assert states(work) == []
    work.profile(changes={"settings.heating_setpoint": 150})
    assert states(work) == [164], "not committed yet"
    work.commit()
    assert states(work) == [164], "committed"
    work.write(PROFILE, "# a remark\n" + (work.folder / PROFILE).read_text(encoding="utf-8"))
    work.commit()
    assert states(work) == [164], "a comment is no new state"


def test_another_unit_system_is_no_other_state(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.profile(changes={"settings.heating_setpoint": 150})
    work.commit()
    work.profile(changes={"settings.heating_setpoint": 65.6}, metric=True)
    work.commit()
    assert states(work) == [164]


def test_the_past_follows_a_moved_profile(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.profile(changes={"settings.heating_setpoint": 150})
    work.commit()
    (work.folder / "sites/hall").mkdir()
    work.git("mv", PROFILE, "sites/hall/first.toml")
    work.commit()
    found = past(work, "sites/hall/first.toml")
    assert found is not None
    assert len(found.states) == 1


def test_a_visit_is_a_state_that_was_found_and_one_that_was_left(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.profile(changes={"visit.on": "2025-12-30"})
    work.commit("autumn service")
    work.profile(changes={"settings.heating_setpoint": 150, "visit.on": "2025-12-30"})
    work.commit("found\n\nVisit-Date: 2026-11-02\nVisit-Step: as found")
    work.profile(changes={"settings.heating_setpoint": 150, "visit.on": "2026-11-02"})
    work.commit("left\n\nVisit-Date: 2026-11-02\nVisit-Step: as left")
    found = past(work)
    assert found is not None
    assert [state.kind for state in found.states] == ["as left", "as left", "as found"]
    assert found.states[1].on == date(2025, 12, 30), "the date of its visit, not of its commit"
    report = Estate(work.folder, AS_OF).check()
    assert "as-found-differs" in [finding.rule for result in report.results for finding in result.findings]


def test_a_shallow_clone_has_no_past_that_could_be_trusted(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.profile(changes={"settings.heating_setpoint": 150})
    work.commit()
    Work(tmp_path / "other").git("clone", "-q", "--depth", "1", work.folder.as_uri(), str(tmp_path / "clone"))
    found = Estate(tmp_path / "clone", AS_OF).plant(tmp_path / "clone" / PROFILE).past
    assert found == Past((), "shallow clone", "this clone is shallow: git fetch --unshallow")


def test_git_is_not_opened_before_a_rule_asks(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    work = started(tmp_path / "p")
    opened: list[Path] = []
    monkeypatch.setattr(Repository, "__init__", lambda self, folder: opened.append(folder))
    estate = Estate(work.folder, AS_OF)
    plant = estate.plant(work.folder / PROFILE)
    assert plant.effects
    assert not opened
    with pytest.raises(AttributeError):
        _ = plant.past
    assert opened


def test_reading_one_plant_imports_no_git(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    program = (
        f"import sys; from settingslint.api import Estate; Estate({str(work.folder)!r}); print('git' in sys.modules)"
    )

    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


def test_one_question_and_many_have_the_same_answer(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    names = [f"sites/mill/boiler-{number}.toml" for number in range(2, 5)]
    for number, name in enumerate(names):
        work.profile(name, {"plant.name": f"Boiler {number + 2}", "plant.serial": f"K-{number + 2}"})
    work.commit()
    for number in range(6):
        plant = {"plant.name": f"Boiler {number % 3 + 2}", "plant.serial": f"K-{number % 3 + 2}"}
        work.profile(names[number % 3], {**plant, "settings.heating_setpoint": 140 + number})
        work.commit()
    with Repository(work.folder) as repository:
        head = repository.resolve("HEAD")
        single = {}
        for name in names:
            with Repository(work.folder) as fresh:
                single[name] = fresh.touching(head, name)
        many = {name: repository.touching(head, name) for name in (PROFILE, *names)}
    assert {name: many[name] for name in names} == single
    assert [len(one) for one in single.values()] == [3, 3, 3]
    # the naive reading
    for name in names:
        assert single[name] == work.git("log", "--reverse", "--format=%H", "--", name).split()


def test_what_another_branch_did_is_touched(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    first = work.git("rev-parse", "HEAD").strip()
    looker = Looker(work.folder)
    assert looker.id == first
    assert looker.touched(first) == frozenset()
    work.git("checkout", "-q", "-b", "side")
    work.profile("sites/mill/boiler-2.toml", {"plant.name": "Boiler 2", "plant.serial": "K-2"})
    side = work.commit()
    work.git("checkout", "-q", "main")
    work.profile(changes={"settings.heating_setpoint": 150})
    work.commit()
    touched = Looker(work.folder).touched(side)
    assert touched is not None
    assert {Path(name).name for name in touched} == {"boiler-1.toml", "boiler-2.toml"}
    assert Looker(work.folder).touched("0" * 40) is None, "a commit that is not here"


def test_the_id_of_a_history_is_read_without_git(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    assert Looker(work.folder).id == work.git("rev-parse", "HEAD").strip()
    work.git("pack-refs", "--all")
    assert Looker(work.folder / "sites").id == work.git("rev-parse", "HEAD").strip()
    work.git("worktree", "add", "-q", str(tmp_path / "second"))
    assert Looker(tmp_path / "second").id == work.git("rev-parse", "HEAD").strip()
    work.git("checkout", "-q", "--detach")
    assert Looker(work.folder).id == work.git("rev-parse", "HEAD").strip()
    assert Looker(tmp_path).id == ""


def test_a_copy_opens_git_for_itself(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    looker = Looker(work.folder)
    plant = Estate(work.folder, AS_OF).plant(work.folder / PROFILE)
    assert looker.past(plant) == Past(())
    for other in (copy.copy(looker), pickle.loads(pickle.dumps(looker))):
        assert other.past(plant) == Past(())


def test_what_is_remembered_is_forgotten_when_the_past_changed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "memory"))
    monkeypatch.setattr("settingslint.checking.check.FEWEST_REMEMBERED", 1)
    work = started(tmp_path / "p")

    def found() -> bool:
        report = Estate(work.folder, AS_OF).check(remember=True)
        return "as-found-differs" in [finding.rule for result in report.results for finding in result.findings]

    assert not found()
    assert not found()
    before = (work.folder / PROFILE).read_bytes()
    work.profile(changes={"settings.heating_setpoint": 150})
    work.commit("left\n\nVisit-Step: as left")
    work.write(PROFILE, before)  # the file is as it was, its past is not
    work.commit("found\n\nVisit-Step: as found")
    assert found()
    work.git("reset", "-q", "--hard", "HEAD~2")
    assert not found()


ELSEWHERE = "sites/hall/boiler-9.toml"
RENAMED = {"settings.heating_setpoint": 150, "plant.name": "Boiler 9", "plant.site": "Hall"}


@pytest.mark.parametrize("between", ["one commit", "two commits", "copied first", "not committed", "deleted, not back"])
@pytest.mark.parametrize("changes", [{"settings.heating_setpoint": 150}, RENAMED], ids=["moved", "renamed as well"])
def test_the_past_follows_a_serial_however_a_plant_was_moved(tmp_path: Path, between: str, changes: object) -> None:
    """Taken out in one commit and brought back in a later one, or not committed at all: it is the same boiler."""
    work = started(tmp_path / "p")
    work.profile(changes={"settings.heating_setpoint": 150})
    work.commit()
    assert isinstance(changes, dict)
    if between != "copied first":
        (work.folder / PROFILE).unlink()
    if between in ("two commits", "deleted, not back"):
        work.commit("taken out")
    work.profile(ELSEWHERE, changes)
    if between not in ("not committed", "deleted, not back"):
        work.commit("brought back")
    (work.folder / PROFILE).unlink(missing_ok=True)
    if between == "copied first":
        work.commit("taken out")
    found = past(work, ELSEWHERE)
    assert found is not None
    assert [round(float(str(state.typed["heating_setpoint"])) * 1.8 + 32) for state in found.states] == [164]


def test_another_boiler_has_no_past_of_one_that_was_taken_out(tmp_path: Path) -> None:
    work = started(tmp_path / "p")
    work.profile(changes={"settings.heating_setpoint": 150})
    work.commit()
    (work.folder / PROFILE).unlink()
    work.commit("taken out")
    work.profile(ELSEWHERE, {**RENAMED, "plant.serial": "K-2"})
    for _ in range(2):
        found = past(work, ELSEWHERE)
        assert found is not None and not found.states
        work.commit("another")
