"""A visit that is cut off, refused by a hook, or made twice at once: both commits or none, and a whole profile.

A child process is killed (SIGKILL) before every single thing that it does to the repository or the disk, then
at random moments from outside; git itself says what is there afterwards.
"""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from settingslint.history import NoHistory, git, writing
from settingslint.history.repository import Repository
from settingslint.history.visit import plan
from settingslint.history.writing import check, write
from tests.history.kit import ENVIRONMENT, Work, started
from tests.history.test_visit import PROFILE, READINGS, TODAY, done, planned, read, state

if sys.platform == "win32":
    pytest.skip("needs fork and SIGKILL", allow_module_level=True)

MOST_POINTS = 400


@pytest.fixture
def work(tmp_path: Path) -> Work:
    return started(tmp_path / "estate")


def hook(work: Work, name: str, text: str = "exit 0") -> None:
    path = work.folder / ".git/hooks" / name
    path.write_text(f"#!/bin/sh\n{text}\n")
    path.chmod(0o755)


# hooks ----------------------------------------------------------------------------------------------------------------


def test_hooks_see_each_commit_as_it_will_be(work: Work, tmp_path: Path) -> None:
    seen = tmp_path / "seen"
    look = f"grep '^high_limit =' {PROFILE}; git diff --cached --name-only"
    hook(work, "pre-commit", f'(echo "$SETTINGSLINT_VISIT_STEP"; {look}) >> {seen}')
    hook(work, "commit-msg", f'head -1 "$1" >> {seen}; echo "Checked-By: hook" >> "$1"')
    hook(work, "post-commit", f"git log -1 --format=%s >> {seen}")
    done(work, READINGS)
    assert seen.read_text().splitlines() == [
        "as found", "high_limit = { value = 210, read_back = 210 }", PROFILE, "Boiler 1, Mill Lane Hall: as found",
        "as left", 'high_limit = { value = 206, read_back = 206, on = 2026-11-24, why = "put back" }', PROFILE,
        "Boiler 1, Mill Lane Hall: as left",
        "Boiler 1, Mill Lane Hall: as left",
    ]  # fmt: skip
    assert "Checked-By: hook" in work.git("log", "-1", "--format=%(trailers)")
    assert work.git("status", "--porcelain") == ""


@pytest.mark.parametrize(
    ("name", "text", "expected"),
    [
        ("pre-commit", "echo no entry >&2; exit 1", "the pre-commit hook refused the commit 'as found'"),
        ("pre-commit", 'test "$SETTINGSLINT_VISIT_STEP" != "as left"', "refused the commit 'as left'"),
        ("commit-msg", "exit 3", "the commit-msg hook refused"),
        ("pre-commit", f"echo '# more' >> {PROFILE}", "a hook changed what was to be committed"),
        ("pre-commit", "echo x > x.txt; git add x.txt; rm x.txt", "a hook changed what was to be committed"),
        ("reference-transaction", 'test "$1" != prepared', "the branch could not be moved"),
    ],
)
def test_a_hook_that_fails_stops_everything(work: Work, name: str, text: str, expected: str) -> None:
    hook(work, name, text)
    before = state(work)
    with pytest.raises(NoHistory, match=expected):
        done(work, READINGS)
    after = state(work)
    if "more" in text:  # what the hook wrote is the hook's; it is not thrown away
        assert after[0] == before[0]
    else:
        assert after == before


def test_what_a_hook_says_is_shown(work: Work) -> None:
    hook(work, "pre-commit", "printf 'no \\033[31mentry\\n' >&2; exit 1")
    with pytest.raises(NoHistory) as error:
        done(work, READINGS)
    assert "no \\x1b[31mentry" in str(error.value)


def test_hooks_in_another_folder(work: Work, tmp_path: Path) -> None:
    (tmp_path / "hooks").mkdir()
    hook(work, "pre-commit", "exit 1")
    (work.folder / ".git/hooks/pre-commit").rename(tmp_path / "hooks/pre-commit")
    done(work, READINGS.replace("170", "171"))
    work.git("reset", "-q", "--hard", "HEAD~2")
    work.git("config", "core.hooksPath", str(tmp_path / "hooks"))
    with pytest.raises(NoHistory, match="the pre-commit hook refused"):
        done(work, READINGS)


def test_somebody_interrupts_a_hook(work: Work, monkeypatch: pytest.MonkeyPatch) -> None:
    hook(work, "pre-commit")
    before = state(work)

    def interrupted(*_: Any) -> None:
        assert (work.folder / PROFILE).read_bytes() != before[1]
        raise KeyboardInterrupt

    monkeypatch.setattr(writing._Writer, "_hook", interrupted)
    with pytest.raises(KeyboardInterrupt):
        done(work, READINGS)
    assert state(work) == before


# two at once ----------------------------------------------------------------------------------------------------------


def test_somebody_commits_in_between(work: Work, monkeypatch: pytest.MonkeyPatch) -> None:
    made = writing._Writer._commits

    def late(self: Any, *words: Any) -> list[str]:
        commits = made(self, *words)
        work.write("other.txt", "x")
        work.commit("in between")
        return commits

    monkeypatch.setattr(writing._Writer, "_commits", late)
    content = (work.folder / PROFILE).read_bytes()
    with pytest.raises(NoHistory, match="somebody committed in between; nothing was changed"):
        done(work, READINGS)
    assert work.git("log", "-1", "--format=%s").strip() == "in between"
    assert (work.folder / PROFILE).read_bytes() == content
    assert work.git("status", "--porcelain") == ""


def test_a_visit_that_was_planned_on_an_older_commit(work: Work) -> None:
    visit = planned(work, READINGS)
    work.write("other.txt", "x")
    work.commit("in between")
    with Repository(work.folder) as repository, pytest.raises(NoHistory, match="somebody committed in between"):
        write(repository, visit)


def test_another_visit_is_being_written(work: Work) -> None:
    visit = planned(work, READINGS)
    with Repository(work.folder) as repository, writing._alone(repository.folder):
        for refused in (check, write):
            with pytest.raises(NoHistory, match="another visit is being written"):
                refused(repository, visit)
    assert done(work, READINGS) == []


def test_two_processes_at_once(work: Work, tmp_path: Path) -> None:
    hook(work, "pre-commit", "sleep 1.5")
    files = []
    for index, value in enumerate((170, 171)):
        files.append(tmp_path / f"{index}.toml")
        files[-1].write_text(READINGS.replace("170", str(value)))
    running = [_command(work, file) for file in files]
    ends = [(one.wait(60), one.stderr.read().decode() if one.stderr else "") for one in running]
    assert sorted(status for status, _ in ends) == [0, 2]
    said = next(text for status, text in ends if status)
    assert "another visit is being written" in said or "somebody committed in between" in said
    assert len(work.git("log", "--format=%h").split()) == 3
    assert work.git("status", "--porcelain") == ""
    winner = next(value for value, (status, _) in zip((170, 171), ends, strict=True) if not status)
    assert f"value = {winner}" in work.git("show", f"HEAD~1:{PROFILE}")


def _command(work: Work, readings: Path) -> subprocess.Popen[bytes]:
    root = Path(__file__).parents[2]
    return subprocess.Popen(
        [sys.executable, "-m", "settingslint", "visit", str(work.folder / PROFILE), str(readings)], cwd=work.folder,
        env={**os.environ, **ENVIRONMENT, "PYTHONPATH": str(root)}, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE,
        start_new_session=True,
    )  # fmt: skip


# cut off --------------------------------------------------------------------------------------------------------------


class _Killer:
    """Kills this process before the call of that number, of all that it watches; the last point is after the last."""

    def __init__(self, at: int) -> None:
        self.left = at

    def point(self) -> None:
        if self.left == 0:
            os.kill(os.getpid(), signal.SIGKILL)
        self.left -= 1

    def watch(self, owner: Any, name: str) -> None:
        real = getattr(owner, name)

        def watched(*words: Any, **more: Any) -> Any:
            self.point()
            return real(*words, **more)

        setattr(owner, name, watched)


def killed_at(work: Work, at: int) -> bool:
    """Record the visit in a child that is killed at a point; return whether it was."""
    child = os.fork()
    if child == 0:
        status = 1
        try:
            repository, readings = read(work, READINGS)
            visit = plan(repository, work.folder, work.folder / PROFILE, readings, TODAY, "R. Holm")
            killer = _Killer(at)
            killer.watch(git, "_run")
            for owner, names in (
                (os, ("fsync", "replace")),
                (shutil, ("copymode", "rmtree")),
                (Path, ("write_bytes", "mkdir")),
            ):
                for name in names:
                    killer.watch(owner, name)
            write(repository, visit)
            killer.point()
            status = 0
        finally:
            os._exit(status)
    _, status = os.waitpid(child, 0)
    assert os.WIFSIGNALED(status) or os.WEXITSTATUS(status) == 0
    return os.WIFSIGNALED(status)


def whole(work: Work, base: str, texts: dict[str, bytes]) -> str:
    """Assert that the profile is whole and both commits exist or none; return which."""
    head = work.git("rev-parse", "HEAD").strip()
    assert (work.folder / PROFILE).read_bytes() in texts.values()
    work.git("fsck", "--no-dangling")
    if head == base:
        return "none"
    assert work.git("rev-parse", "HEAD~2").strip() == base
    assert work.git("show", f"HEAD:{PROFILE}").encode() == texts["as left"]
    assert work.git("show", f"HEAD~1:{PROFILE}").encode() == texts["as found"]
    return "both"


def texts_of(work: Work) -> dict[str, bytes]:
    visit = planned(work, READINGS)
    return {"last": visit.old, **{step.label: step.text for step in visit.steps}}


def _again(work: Work, base: str, texts: dict[str, bytes]) -> None:
    """The same visit, run again, ends as if nothing had happened."""
    assert done(work, READINGS) == []
    assert whole(work, base, texts) == "both"
    assert (work.folder / PROFILE).read_bytes() == texts["as left"]
    assert work.git("status", "--porcelain") == ""
    assert list((work.folder / ".git/settingslint-visit").iterdir()) == [work.folder / ".git/settingslint-visit/lock"]


@pytest.mark.parametrize("hooks", [False, True], ids=["no hooks", "hooks"])
def test_killed_at_every_point(work: Work, hooks: bool) -> None:
    if hooks:
        hook(work, "pre-commit")
        hook(work, "commit-msg")
    base = work.git("rev-parse", "HEAD").strip()
    texts = texts_of(work)
    kept = work.folder.parent / "kept"
    shutil.copytree(work.folder, kept, symlinks=True)
    ends: dict[str, int] = {"none": 0, "both": 0}
    for at in range(MOST_POINTS):
        if not killed_at(work, at):
            break
        end = whole(work, base, texts)
        ends[end] += 1
        if end == "both" or at % 4 == 0:
            _again(work, base, texts)
        shutil.rmtree(work.folder)
        shutil.copytree(kept, work.folder, symlinks=True)
    else:
        raise AssertionError("it never came to its end")
    assert whole(work, base, texts) == "both"
    assert ends["none"] > 15  # most of the work happens before anybody sees it
    assert ends["both"] >= 4  # moved, put in place, index


def test_killed_at_random_moments(work: Work, tmp_path: Path) -> None:
    hook(work, "pre-commit", "sleep 0.05")
    base = work.git("rev-parse", "HEAD").strip()
    texts = texts_of(work)
    readings = tmp_path / "readings.toml"
    readings.write_text(READINGS)
    kept = tmp_path / "kept"
    shutil.copytree(work.folder, kept, symlinks=True)
    start = time.monotonic()
    assert _command(work, readings).wait(60) == 0
    lasts = time.monotonic() - start
    chance = random.Random(5)
    for _ in range(8):
        shutil.rmtree(work.folder)
        shutil.copytree(kept, work.folder, symlinks=True)
        running = _command(work, readings)
        time.sleep(lasts * (0.5 + 0.55 * chance.random()))
        if running.poll() is None:
            os.killpg(running.pid, signal.SIGKILL)
        running.wait(60)
        whole(work, base, texts)
        (work.folder / ".git/index.lock").unlink(missing_ok=True)  # as git itself says after such an end
        _again(work, base, texts)
