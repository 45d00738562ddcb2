"""From the oldest git that serves to the newest: hooks run as `git commit` runs them, and an older git is named.

The whole of `tests/history` runs with any git that comes first on the path, as DEVELOPERS.md tells. Here the git that
is there is made to look older: it tells another version and refuses what that version lacked (from memory
of the release notes of git: `git hook` came with 2.36, `rev-parse --end-of-options` with 2.30).
"""

from __future__ import annotations

import os
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from settingslint.history import NoHistory
from settingslint.history.repository import Repository
from settingslint.history.start import start_repository
from tests.history.kit import ENVIRONMENT, Work, started
from tests.history.test_visit import PROFILE, READINGS, done, state

if sys.platform == "win32":
    pytest.skip("needs a shell script as git", allow_module_level=True)


@pytest.fixture
def work(tmp_path: Path) -> Work:
    return started(tmp_path / "estate")


def older(folder: Path, version: str, refused: str) -> str:
    """Write a git that says it is of some version and refuses a word, and return the path on which it is first."""
    real = shutil.which("git")
    assert real is not None
    folder.mkdir()
    shim = folder / "git"
    shim.write_text(
        f"#!/bin/sh\n"
        f'if [ "$*" = version ]; then echo "git version {version}"; exit 0; fi\n'
        f'for word in "$@"; do\n'
        f'  if [ "$word" = {refused} ]; then echo "git: {refused} is not known here" >&2; exit 1; fi\n'
        f"done\n"
        f'exec {shlex.quote(real)} "$@"\n'
    )
    shim.chmod(0o755)
    return f"{folder}{os.pathsep}{os.environ['PATH']}"


@pytest.fixture(params=["git as it is", "git without hook run"])
def either(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    if request.param != "git as it is":
        monkeypatch.setenv("PATH", older(tmp_path / "bin", "2.30.2", "hook"))
    return str(request.param)


def hook(work: Work, name: str, text: str) -> None:
    path = work.folder / ".git/hooks" / name
    path.write_text(f"#!/bin/sh\n{text}\n")
    path.chmod(0o755)


LOOK = """\
echo "$0 $#" | sed 's|.*/||'
git rev-parse --show-toplevel --git-dir --show-prefix
git ls-files -- '*.toml'
git diff --cached --name-only -- 'sites/*.toml'
echo "<$LC_ALL>" "$(cat)\""""
"""What a hook may ask: who it is, where it stands, what its patterns match, in which language, what is on its input."""


@pytest.mark.usefixtures("either")
def test_a_hook_of_a_visit_sees_what_a_hook_of_a_commit_sees(
    work: Work, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LC_ALL", "C.UTF-8")
    seen = tmp_path / "seen"
    for name in ("pre-commit", "commit-msg", "post-commit"):
        hook(work, name, f"({LOOK}) < /dev/stdin >> {shlex.quote(str(seen))}")
    done(work, READINGS)
    of_visit = seen.read_text().splitlines()
    seen.unlink()
    work.git("reset", "-q", "--hard", "HEAD~2")
    for _ in ("as found", "as left"):
        path = work.folder / PROFILE
        path.write_text(path.read_text() + "# more\n")
        work.git("add", PROFILE)
        work.git("commit", "-q", "-m", "by hand")
    by_hand = seen.read_text().splitlines()
    assert PROFILE in of_visit and "controls/kit.toml" in of_visit and "<C.UTF-8> " in of_visit
    assert of_visit.count("pre-commit 0") == of_visit.count("commit-msg 1") == 2
    assert set(of_visit) == set(by_hand)
    first = by_hand.index(
        "post-commit 0"
    )  # by hand there is one after each of the two commits, of a visit one at its end
    assert of_visit[:first] == by_hand[:first]


@pytest.mark.usefixtures("either")
@pytest.mark.parametrize("name", ["pre-commit", "prepare-commit-msg", "commit-msg"])
def test_a_hook_that_fails_stops_everything_and_is_heard(work: Work, name: str) -> None:
    hook(work, name, "echo 'git: hook is not a git command' >&2; exit 1")
    before = state(work)
    with pytest.raises(NoHistory, match=f"the {name} hook refused the commit 'as found'") as refused:
        done(work, READINGS)
    assert "git: hook is not a git command" in str(refused.value)
    assert state(work) == before


@pytest.mark.usefixtures("either")
def test_hooks_in_a_linked_worktree(work: Work, tmp_path: Path) -> None:
    work.git("worktree", "add", "-q", str(tmp_path / "other"), "-b", "other")
    hook(work, "pre-commit", f"(pwd; git symbolic-ref HEAD) >> {shlex.quote(str(tmp_path / 'seen'))}")
    other = Work.__new__(Work)
    other.folder, other.day = tmp_path / "other", 1
    done(other, READINGS)
    assert (tmp_path / "seen").read_text().splitlines() == [str(tmp_path / "other"), "refs/heads/other"] * 2


def test_a_hook_that_the_configuration_names_counts_where_git_heeds_it(work: Work) -> None:
    """Newer git runs hooks that are named in the configuration; git itself says here whether it does."""
    work.git("config", "hook.office.event", "pre-commit")
    work.git("config", "hook.office.command", "echo not today >&2; exit 1")
    heeds = subprocess.run(
        ["git", "commit", "-q", "--allow-empty", "-m", "x"], cwd=work.folder, env={**os.environ, **ENVIRONMENT},
        capture_output=True, check=False,
    ).returncode != 0  # fmt: skip
    before = state(work)
    if heeds:
        with pytest.raises(NoHistory, match="not today"):
            done(work, READINGS)
        assert state(work) == before
    else:
        assert done(work, READINGS) == []


def test_a_git_that_is_too_old_is_named(work: Work, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = state(work)
    monkeypatch.setenv("PATH", older(tmp_path / "bin", "2.29.2", "--end-of-options"))
    words = "git 2.29.2 is too old; what looks into the history needs 2.30 or newer"
    with Repository(work.folder) as repository, pytest.raises(NoHistory) as refused:
        repository.resolve("HEAD")
    assert str(refused.value) == words
    (tmp_path / "readings.toml").write_text(READINGS)
    for command in (
        ["visit", PROFILE, str(tmp_path / "readings.toml")], ["notes"], ["timeline", PROFILE],
        ["check", ".", "--new-since", "HEAD"],
    ):  # fmt: skip
        result = subprocess.run(
            [sys.executable, "-m", "settingslint", *command], cwd=work.folder, capture_output=True, text=True,
            check=False, env={**os.environ, **ENVIRONMENT, "PYTHONPATH": str(Path(__file__).parents[2])},
        )  # fmt: skip
        assert (result.returncode, result.stderr.count("\n"), words in result.stderr) == (2, 1, True), command
    monkeypatch.undo()
    assert state(work) == before


def test_a_new_portfolio_with_a_git_that_is_too_old(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", older(tmp_path / "bin", "2.27.0", "--initial-branch=main"))
    (tmp_path / "estate").mkdir()
    with pytest.raises(OSError, match=r"git 2\.27\.0 is too old"):
        start_repository(tmp_path / "estate")
