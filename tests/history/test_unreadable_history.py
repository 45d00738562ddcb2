"""History that can't be read is said, in every form, and what would hide or forge it changes nothing.

The estate has a finding that rests on an earlier commit: a rule finds it, or says that it could not look.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from settingslint.api import Estate
from settingslint.checking.report import Report
from settingslint.history.past import Looker
from settingslint.output import FORMS, Look, render
from tests.history.kit import ENVIRONMENT, Work, started
from tests.history.test_hostile import run
from tests.history.test_past import AS_OF, PROFILE

RULE = "as-found-differs"
LOOKING = 10
"""Rules that look into the history whatever else they find."""


@pytest.fixture
def work(tmp_path: Path) -> Work:
    """Return an estate of two plants; a visit found the set point of the first changed, and nobody explains it."""
    work = started(tmp_path / "estate")
    work.git("config", "uploadpack.allowFilter", "true")
    work.profile("sites/mill/boiler-2.toml", {"plant.name": "Boiler 2", "plant.serial": "K-2"})
    work.commit("another")
    work.profile(changes={"settings.heating_setpoint": 150})
    work.commit("found\n\nVisit-Step: as found")
    work.profile(changes={"settings.heating_setpoint": 151})
    work.commit("left\n\nVisit-Step: as left")
    return work


def checked(folder: Path) -> Report:
    return Estate(folder, AS_OF).check()


def outcome(report: Report) -> str:
    """Return what became of the rule at the plant: found, why it was not checked, or that it is silent."""
    result = next(one for one in report.results if one.path.endswith(PROFILE))
    lacks = [one for one in result.not_checked if one.rule == RULE]
    if any(one.rule == RULE for one in result.findings):
        return "found" + (f", but {lacks[0].why}" if lacks else "")
    return next((f"needs {' and '.join(one.needs)}: {one.why}" for one in lacks), "silent")


def cloned(work: Work, *words: str) -> Path:
    folder = work.folder.parent / "clone"
    Work(work.folder.parent / "other").git("clone", "-q", *words, work.folder.as_uri(), str(folder))
    return folder


def object_of(work: Work, name: str) -> Path:
    id_ = work.git("rev-parse", name).strip()
    return work.folder / ".git/objects" / id_[:2] / id_[2:]


def _without_blobs(work: Work) -> Path:
    return cloned(work, "--filter=blob:none")


def _without_trees(work: Work) -> Path:
    return cloned(work, "--filter=tree:0")


def _shallow(work: Work) -> Path:
    return cloned(work, "--depth=1")


def _shallow_and_partial(work: Work) -> Path:
    return cloned(work, "--depth=2", "--filter=blob:none")


def _no_blob(work: Work) -> Path:
    object_of(work, f"HEAD~1:{PROFILE}").unlink()
    return work.folder


def _broken_blob(work: Work) -> Path:
    file = object_of(work, f"HEAD~1:{PROFILE}")
    file.chmod(0o644)
    file.write_bytes(file.read_bytes()[:40])
    return work.folder


def _another_object(work: Work) -> Path:
    file, other = object_of(work, f"HEAD~1:{PROFILE}"), object_of(work, "HEAD:controls/kit.toml")
    file.chmod(0o644)
    shutil.copy(other, file)
    return work.folder


def _no_tree(work: Work) -> Path:
    object_of(work, "HEAD~1:sites/mill").unlink()
    return work.folder


def _no_commit(work: Work) -> Path:
    object_of(work, "HEAD~1").unlink()
    return work.folder


def _no_alternate(work: Work) -> Path:
    folder = work.folder.parent / "clone"
    Work(work.folder.parent / "other").git("clone", "-q", "--shared", str(work.folder), str(folder))
    _no_blob(work)
    return folder


def _pointer(work: Work) -> Path:
    text = (work.folder / PROFILE).read_bytes()
    work.write(PROFILE, "version https://git-large.example/spec/v1\noid sha256:00\nsize 12345\n")
    work.commit("found\n\nVisit-Step: as found")
    work.write(PROFILE, text)
    work.commit("left\n\nVisit-Step: as left")
    return work.folder


def _all_refused(work: Work) -> Path:
    """No earlier state is one that the schema of today takes."""
    text = (work.folder / PROFILE).read_bytes()
    work.git("checkout", "-q", "--orphan", "new")
    work.write(PROFILE, text + b"\n[unheard_of]\na = 1\n")
    work.commit("in an older format")
    work.write(PROFILE, text)
    work.commit("in the format of today")
    return work.folder


LOST: dict[Callable[[Work], Path], tuple[str, str]] = {
    _without_blobs: ("partial clone", "a partial clone lacks it"),
    _without_trees: ("partial clone", ""),
    _shallow: ("", "this clone is shallow: git fetch --unshallow"),
    _shallow_and_partial: ("", "this clone is shallow: git fetch --unshallow"),
    _no_blob: ("missing or broken object", "it is missing or broken"),
    _broken_blob: ("missing or broken object", "it is missing or broken"),
    _another_object: ("missing or broken object", ""),
    _no_tree: ("missing or broken object", ""),
    _no_commit: ("missing or broken object", ""),
    _no_alternate: ("missing or broken object", "it is missing or broken"),
    _pointer: ("missing or broken object", "only the pointer to a large file"),
    _all_refused: ("not valid today", "unknown key unheard_of"),
}
"""What takes the history away; why it can't be read in two words, and what the rule says of it."""


def test_the_finding_is_there_with_all_of_the_history(work: Work) -> None:
    report = checked(work.folder)
    assert outcome(report) == "found"
    assert report.history == ""
    assert not any("earlier states" in render(form, report, Look()) for form in FORMS)


@pytest.mark.parametrize("take", LOST)
def test_a_rule_that_can_not_look_says_so_in_every_form(work: Work, take: Callable[[Work], Path]) -> None:
    words, why = LOST[take]
    folder = take(work)
    report = checked(folder)
    said = outcome(report)
    assert said != "silent" and "found" not in said and said.startswith("needs history: ")
    assert why in said
    if words:
        plants = "2 plants have" if "commit" in take.__name__ else "1 plant has"
        plants = "" if "tree" in take.__name__ else plants
        assert report.history.startswith("history: ")
        assert (
            f"{plants} earlier states that can't be read ({words}): {LOOKING} rules not checked there" in report.history
        )
    else:
        assert report.history == f"Rules that look into the history were not checked: {why}."
    for form in FORMS:
        text = " ".join(render(form, report, Look()).replace("\\", "").split())
        assert report.history in text or form == "csv", form
    assert ",not checked," in render("csv", report, Look(every=True))
    assert render("text", report, Look()).rfind("istory") > len(render("text", report, Look())) // 2


@pytest.mark.parametrize("take", LOST)
def test_papers_and_notes_say_so_too(work: Work, take: Callable[[Work], Path]) -> None:
    folder = take(work)
    words = LOST[take][0] or "shallow clone"
    sheet = run(["sheet", PROFILE, "--form", "markdown"], folder)
    assert sheet.returncode == 0, sheet.stderr
    assert f"earlier states can't be read ({words})" in sheet.stdout.replace("\\", "")
    report = run(["report", ".", "--to", "../pages", "--as-of", str(AS_OF)], folder)
    assert report.returncode == 0, report.stderr
    pages = [(folder.parent / "pages" / name).read_text(encoding="utf-8") for name in ("index.html",)]
    pages += [file.read_text(encoding="utf-8") for file in (folder.parent / "pages/plants").glob("*boiler-1*")]
    assert len(pages) == 2
    for page in pages:
        assert words in page or "clone is shallow" in page
    notes = run(["notes"], folder)
    told = " ".join((notes.stdout + notes.stderr).split())
    assert "Traceback" not in told
    if notes.returncode == 0:
        assert "history: 1 plant has earlier states that can't be read" in told or "shallow" in told or take is _pointer
    else:
        assert "can't be read" in told or "can't be told" in told or "unreadable: in " in told
    assert "First record" not in told or take is _shallow


def test_a_visit_that_found_what_is_not_valid_today_is_said(work: Work) -> None:
    text = (work.folder / PROFILE).read_bytes()
    work.write(PROFILE, text + b"\n[unheard_of]\na = 1\n")
    work.commit("found\n\nVisit-Step: as found")
    work.write(PROFILE, text)
    work.commit("left\n\nVisit-Step: as left")
    assert outcome(checked(work.folder)).startswith("found, but in ")
    assert "(not valid today)" in checked(work.folder).history


def test_a_slip_between_two_states_that_can_be_read_hides_nothing(work: Work) -> None:
    text = (work.folder / PROFILE).read_bytes()
    work.write(PROFILE, text + b"\n[unheard_of]\na = 1\n")
    work.commit("a slip of the pen")
    work.write(PROFILE, text)
    work.commit("mended")
    assert outcome(checked(work.folder)) == "found" and checked(work.folder).history == ""


def test_why_git_can_not_be_asked_is_said(work: Work, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", str(work.folder / "nothing"))
    assert "git is not on the path" in checked(work.folder).history


def test_notes_do_not_pass_over_a_control_file_that_is_lost(work: Work) -> None:
    work.control({"setting.heating_setpoint.label": "Another"})
    work.profile(changes={"settings.heating_setpoint": 140})
    work.commit("control file")
    object_of(work, "HEAD~1:controls/kit.toml").unlink()
    assert outcome(checked(work.folder)) == "found", "rules look at what was recorded"
    notes = run(["notes"], work.folder)
    assert notes.returncode == 2
    assert "it is missing or broken" in notes.stdout and "First record" not in notes.stdout


def _grafts(work: Work) -> None:
    (work.folder / ".git/info").mkdir(exist_ok=True)
    (work.folder / ".git/info/grafts").write_text(work.git("rev-parse", "HEAD"), encoding="utf-8")


def _replaced_commit(work: Work) -> None:
    head = work.git("rev-parse", "HEAD").strip()
    alone = work.git("commit-tree", "HEAD^{tree}", "-m", "alone").strip()
    work.git("replace", head, alone)


def _replaced_parents(work: Work) -> None:
    work.git("replace", "--graft", "HEAD")


def _replaced_blob(work: Work) -> None:
    work.git("replace", *work.git("rev-parse", f"HEAD~1:{PROFILE}", f"HEAD:{PROFILE}").split())


def _replaced_tree(work: Work) -> None:
    work.git("replace", *work.git("rev-parse", "HEAD~1^{tree}", "HEAD^{tree}").split())


@pytest.mark.parametrize("forge", [_grafts, _replaced_commit, _replaced_parents, _replaced_blob, _replaced_tree])
def test_nothing_forges_the_history(work: Work, forge: Callable[[Work], None]) -> None:
    notes, line = run(["notes", "HEAD~1"], work.folder).stdout, run(["timeline", PROFILE], work.folder).stdout
    seen = work.git("log", "-p", "-2", "--format=%s")
    forge(work)
    assert work.git("log", "-p", "-2", "--format=%s") != seen, "git itself is told another history"
    assert outcome(checked(work.folder)) == "found"
    assert run(["notes", "HEAD~1"], work.folder).stdout == notes
    assert run(["timeline", PROFILE], work.folder).stdout == line


@pytest.mark.parametrize("name", ["GIT_GRAFT_FILE", "GIT_SHALLOW_FILE", "GIT_REPLACE_REF_BASE", "GIT_DEFAULT_HASH"])
def test_variables_of_the_caller_forge_nothing(work: Work, tmp_path: Path, name: str) -> None:
    head = work.git("rev-parse", "HEAD").strip()
    (tmp_path / "forged").write_text(f"{head}\n", encoding="utf-8")
    alone = work.git("commit-tree", "HEAD^{tree}", "-m", "alone").strip()
    work.git("update-ref", f"refs/own/{head}", alone)
    value = {"GIT_REPLACE_REF_BASE": "refs/own", "GIT_DEFAULT_HASH": "sha256"}.get(name, str(tmp_path / "forged"))
    done = run(["check", ".", "--no-memory", "--stop-at", "nothing"], work.folder, **{name: value})
    assert f"[{RULE}]" in done.stdout and done.returncode == 0


def test_states_since_then_still_count(work: Work) -> None:
    """What an earlier commit lacks does not hide what later ones have: it is found, and said to be not the whole."""
    object_of(work, f"HEAD~3:{PROFILE}")  # the first record, which the last state has again
    work.profile(changes={"settings.heating_setpoint": 140})
    work.commit()
    work.profile(changes={"settings.heating_setpoint": 150, "settings.high_limit": 205})
    work.commit("found\n\nVisit-Step: as found")
    lost = object_of(work, f"HEAD~3:{PROFILE}")
    assert lost.exists()
    lost.unlink()
    report = checked(work.folder)
    assert outcome(report).startswith("found, but in ")
    assert f": {LOOKING} rules not checked there" in report.history


def test_what_could_not_be_read_is_not_remembered(work: Work, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "memory"))
    monkeypatch.setattr("settingslint.checking.check.FEWEST_REMEMBERED", 1)
    lost = object_of(work, f"HEAD~1:{PROFILE}")
    lost.rename(tmp_path / "kept")
    for _ in range(2):
        report = Estate(work.folder, AS_OF).check(remember=True)
        assert outcome(report).startswith("needs history") and report.history
    (tmp_path / "kept").rename(lost)
    report = Estate(work.folder, AS_OF).check(remember=True)
    assert outcome(report) == "found" and not report.history


def test_several_processes_say_so_too(work: Work, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("settingslint.checking.check.FEWEST", 1)
    _no_blob(work)
    alone = checked(work.folder)
    both = Estate(work.folder, AS_OF).check(workers=2)
    assert both.history == alone.history != ""
    assert outcome(both) == outcome(alone)


def test_a_partial_clone_is_not_asked_for_what_it_lacks(work: Work, monkeypatch: pytest.MonkeyPatch) -> None:
    from settingslint.history import git

    folder = _without_blobs(work)
    asked: list[str] = []
    real = git.Objects.read

    def noted(self: git.Objects, id_: str, most: int) -> git.Found | None:
        asked.append(id_)
        return real(self, id_, most)

    monkeypatch.setattr(git.Objects, "read", noted)
    assert outcome(checked(folder)).startswith("needs history")
    lost = subprocess.run(
        ["git", "rev-parse", f"HEAD~1:{PROFILE}"], cwd=folder, capture_output=True, text=True, check=True,
        env={**os.environ, **ENVIRONMENT},
    ).stdout.strip()  # fmt: skip
    assert asked and lost not in asked


def test_why_a_repository_is_not_opened_is_said(work: Work) -> None:
    shutil.rmtree(work.folder / ".git/objects")
    looker = Looker(work.folder)
    assert "can't be read" in looker.why_not()
    assert "can't be read" in " ".join(run(["check", "."], work.folder).stdout.split())
