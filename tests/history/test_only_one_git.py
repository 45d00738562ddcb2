"""Only a repository that a person could mean is opened, and in one way: nothing that it names is run.

Each attack is shown to work on git itself, so that the test tests the guard.
"""

from __future__ import annotations

import ast
import os
import shlex
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

import settingslint
from settingslint.history import NoHistory, git
from settingslint.history.place import place_of
from settingslint.history.repository import Repository
from tests.history.kit import ENVIRONMENT, Work, started
from tests.history.test_hostile import run

if sys.platform == "win32":
    pytest.skip("needs shell scripts", allow_module_level=True)

PROFILE = "sites/mill/boiler-1.toml"
READINGS = """
serial = "K-1"
[visit]
why = "autumn service"
role = "gas-licensed technician"
[found]
heating_setpoint = 170
"""
READING = (
    ["check", ".", "--no-memory"], ["check", ".", "--no-memory", "--new-since", "HEAD"], ["notes"],
    ["notes", "--worktree"], ["timeline", PROFILE], ["sheet", PROFILE, "--form", "markdown"],
    ["report", ".", "--to", "../pages"], ["visit", PROFILE, "../readings.toml", "--dry-run"],
)  # fmt: skip


class Trap:
    """A program that leaves a mark; `sprung` are the marks so far, each told once."""

    def __init__(self, folder: Path) -> None:
        self.mark = folder / "ran"
        self.program = folder / "program"
        self.program.write_text(f'#!/bin/sh\necho "$0 $*" >> "{self.mark}"\n', encoding="utf-8")
        self.program.chmod(0o755)

    def sprung(self) -> str:
        """Return what ran since the last question."""
        said = self.mark.read_text(encoding="utf-8") if self.mark.exists() else ""
        self.mark.unlink(missing_ok=True)
        return said

    def hooks(self, folder: Path) -> None:
        """Put it in a folder as every hook that a commit has."""
        folder.mkdir(exist_ok=True)
        for name in ("pre-commit", "commit-msg", "post-commit", "post-index-change", "reference-transaction"):
            shutil.copy(self.program, folder / name)


@pytest.fixture
def trap(tmp_path: Path) -> Trap:
    (tmp_path / "readings.toml").write_text(READINGS, encoding="utf-8")
    return Trap(tmp_path)


@pytest.fixture
def work(tmp_path: Path) -> Work:
    work = started(tmp_path / "estate")
    work.profile(changes={"settings.heating_setpoint": 150})
    work.commit("set point lowered")
    return work


def plain_git(folder: Path, *words: str, **extra: str) -> str:
    """Run git as anybody would and return what it prints."""
    done = subprocess.run(
        ["git", *words], cwd=folder, env={**os.environ, **ENVIRONMENT, **extra}, capture_output=True, check=False
    )
    return done.stdout.decode(errors="replace")


def quiet(folder: Path, trap: Trap, **extra: str) -> None:
    """Assert that no command that reads runs the program."""
    trap.sprung()
    for command in READING:
        done = run(command, folder, **extra)
        assert "Traceback" not in done.stderr, (command, done.stderr)
        assert not trap.sprung(), command


# a folder that looks like a repository --------------------------------------------------------------------------------


def looks_like_one(folder: Path, config: str, trap: Trap, top: Path | None = None) -> Path:
    """Make a folder look like a repository of itself with a history of its own, as its owner could commit it."""
    (folder / "refs/heads").mkdir(parents=True)
    (folder / "objects/info").mkdir(parents=True)
    (folder / "HEAD").write_text("ref: refs/heads/forged\n", encoding="utf-8")
    (folder / "refs/keep").write_text("x", encoding="utf-8")
    (folder / "config").write_text("[core]\n\trepositoryformatversion = 0\n\tbare = false\n\tworktree = .\n")
    names = [one for one in ("portfolio.toml", "controls", "sites") if (folder / one).exists()]
    own = ("--git-dir=.", f"--work-tree={top or folder}")
    plain_git(folder, *own, "add", "-f", *names)
    plain_git(folder, *own, "commit", "-q", "--allow-empty", "-m", "forged", "--no-verify")
    trap.hooks(folder / "hooks")
    with (folder / "config").open("a", encoding="utf-8") as stream:
        stream.write(config)
    return folder


@pytest.fixture
def clone(work: Work, trap: Trap, tmp_path: Path) -> Path:
    """Return a plain clone whose portfolio's folder looks like a repository, with a monitor and with hooks."""
    source = Work(tmp_path / "source")
    shutil.copytree(work.folder, source.folder / "boilers", ignore=shutil.ignore_patterns(".git"))
    source.commit("the real one")
    looks_like_one(source.folder / "boilers", f"\tfsmonitor = {trap.program}\n", trap)
    source.git("add", "-f", "boilers")
    source.git("commit", "-q", "-m", "a stranger's")
    source.git("clone", "-q", ".", str(tmp_path / "clone"))
    trap.sprung()
    return tmp_path / "clone/boilers"


def test_a_committed_folder_that_looks_like_a_repository_is_none(clone: Path, trap: Trap, tmp_path: Path) -> None:
    plain_git(clone, "status")
    assert trap.sprung(), "git would have run it: without this the test shows nothing"
    place = place_of(clone)
    assert place is not None and (place.top, place.folder) == (clone.parent, clone.parent / ".git")
    quiet(clone, trap)
    assert "the real one" in run(["notes"], clone).stdout + run(["notes", "HEAD~1"], clone).stdout
    assert "forged" not in run(["timeline", PROFILE], clone).stdout
    before = plain_git(clone, "--git-dir=.", "rev-parse", "refs/heads/forged")
    real = plain_git(clone.parent, "--git-dir=.git", "rev-parse", "HEAD")
    done = run(["visit", PROFILE, str(tmp_path / "readings.toml")], clone)
    # nothing is written in a folder that any git may take for a repository's own
    assert done.returncode == 2 and "nothing was changed" in done.stderr, done.stderr
    assert not trap.sprung()
    assert plain_git(clone, "--git-dir=.", "rev-parse", "refs/heads/forged") == before
    assert plain_git(clone.parent, "--git-dir=.git", "rev-parse", "HEAD") == real


def test_one_in_a_folder_of_a_site(work: Work, trap: Trap) -> None:
    looks_like_one(work.folder / "sites/mill", f"\tfsmonitor = {trap.program}\n", trap)
    plain_git(work.folder / "sites/mill", "status")
    assert trap.sprung()
    quiet(work.folder, trap)
    quiet_there = run(["check", ".", "--no-memory"], work.folder / "sites/mill")
    assert "Traceback" not in quiet_there.stderr and not trap.sprung()


@pytest.mark.parametrize("how", ["file", "link", "file below", "link below", "broken", "commondir"])
def test_a_dot_git_that_names_files_of_a_work_tree(work: Work, trap: Trap, how: str) -> None:
    """As an archive may bring it; git itself never keeps a `.git`."""
    real, top = work.folder / ".git", work.folder
    forged = looks_like_one(top / "forged", f"\tfsmonitor = {trap.program}\n", trap, top)
    if "below" in how:
        top = work.folder / "sites/mill"
    elif how != "commondir":
        real.rename(work.folder.parent / "gone")
    if how.startswith("file"):
        (top / ".git").write_text(f"gitdir: {os.path.relpath(forged, top)}\n", encoding="utf-8")
    elif how.startswith("link"):
        (top / ".git").symlink_to(os.path.relpath(forged, top))
    elif how == "broken":
        (top / ".git").mkdir()
        for one in forged.iterdir():
            shutil.move(one, top / one.name)
    else:
        (real / "commondir").write_text("../forged\n", encoding="utf-8")
    plain_git(top, "status")
    assert trap.sprung(), "git would have run it"
    with pytest.raises(NoHistory, match=r"not opened|can't be read"):
        place_of(top)
    quiet(work.folder, trap)
    said = " ".join(run(["check", str(top), "--no-memory"], work.folder).stdout.split())
    visited = run(["visit", PROFILE, "../readings.toml"], work.folder)
    if "below" in how:  # the portfolio is in the repository around it, and that is the one that counts
        assert "history were not checked" not in said and visited.returncode == 0
    else:
        assert "Rules that look into the history were not checked" in said and visited.returncode == 2
    assert not trap.sprung()


def test_the_callers_variables_name_another_repository(work: Work, trap: Trap, tmp_path: Path) -> None:
    other = started(tmp_path / "other")
    trap.hooks(other.folder / ".git/hooks")
    other.git("config", "core.fsmonitor", str(trap.program))
    forged = str(other.folder / ".git")
    plain_git(work.folder, "status", GIT_DIR=forged)
    assert trap.sprung()
    quiet(work.folder, trap, GIT_DIR=forged)
    assert "GIT_DIR names another repository" in run(["notes"], work.folder, GIT_DIR=forged).stderr
    for name, value in (
        ("GIT_COMMON_DIR", forged), ("GIT_WORK_TREE", str(other.folder)), ("GIT_INDEX_FILE", f"{forged}/index"),
        ("GIT_OBJECT_DIRECTORY", f"{forged}/objects"), ("GIT_CONFIG_PARAMETERS", f"'core.fsmonitor={trap.program}'"),
        ("GIT_EXTERNAL_DIFF", str(trap.program)), ("GIT_PAGER", str(trap.program)), ("GIT_EDITOR", str(trap.program)),
        ("GIT_SSH_COMMAND", str(trap.program)), ("GIT_ASKPASS", str(trap.program)),
        ("GIT_ALTERNATE_OBJECT_DIRECTORIES", f"{forged}/objects"), ("GIT_NAMESPACE", "x"),
        ("GIT_CEILING_DIRECTORIES", str(work.folder.parent)),
    ):  # fmt: skip
        quiet(work.folder, trap, **{name: value})
        assert "lowered" in run(["notes"], work.folder, **{name: value}).stdout, name
    before = other.git("rev-parse", "HEAD")
    readings = str(tmp_path / "readings.toml")
    named = {"GIT_WORK_TREE": str(other.folder), "GIT_INDEX_FILE": f"{forged}/index", "GIT_COMMON_DIR": forged}
    assert run(["visit", PROFILE, readings], work.folder, **named).returncode == 0
    assert other.git("rev-parse", "HEAD") == before and not trap.sprung()
    assert "Visit-Step" in work.git("log", "-1", "--format=%B") and work.git("status", "--porcelain") == ""


def test_only_what_counts_of_the_callers_variables_reaches_git(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("GIT_DIR", "GIT_TRACE", "GIT_AUTHOR_NAME", "GIT_EXEC_PATH", "GIT_CONFIG_KEY_0", "GIT_TEMPLATE_DIR"):
        monkeypatch.setenv(name, "x")
    reads = {name for name in git.environment() if name.startswith("GIT_")} - set(ENVIRONMENT)
    assert reads == {"GIT_EXEC_PATH", "GIT_CONFIG_KEY_0"}
    assert "GIT_AUTHOR_NAME" in git.environment(own=True) and "GIT_DIR" not in git.environment(own=True)


def test_a_git_in_a_relative_folder_of_the_path_is_none(
    work: Work, trap: Trap, monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.copy(trap.program, work.folder / "git")
    monkeypatch.chdir(work.folder)
    monkeypatch.setenv("PATH", f".{os.pathsep}{os.environ['PATH']}")
    plain_git(work.folder, "status")
    assert trap.sprung()
    with pytest.raises(NoHistory, match="git is not on the path"):
        Repository(work.folder)
    assert not trap.sprung()


# repositories that a person means -------------------------------------------------------------------------------------


def _linked(work: Work) -> Path:
    work.git("worktree", "add", "-q", "../linked")
    return work.folder.parent / "linked"


def _submodule(work: Work) -> Path:
    outer = Work(work.folder.parent / "outer")
    outer.git("-c", "protocol.file.allow=always", "submodule", "--quiet", "add", work.folder.as_uri(), "boilers")
    outer.commit()
    return outer.folder / "boilers"


def _apart(work: Work) -> Path:
    work.git("init", "-q", "--separate-git-dir", "../apart.git")
    return work.folder


def _bare_and_work_trees(work: Work) -> Path:
    home = work.folder.parent / "home"
    work.git("clone", "-q", "--bare", ".", str(home / ".bare"))
    (home / ".git").write_text("gitdir: ./.bare\n", encoding="utf-8")
    plain_git(home, "worktree", "add", "-q", "main")
    return home / "main"


def _link(work: Work) -> Path:
    (work.folder / ".git").rename(work.folder.parent / "kept.git")
    (work.folder / ".git").symlink_to("../kept.git")
    return work.folder


def _below(work: Work) -> Path:
    outer = Work(work.folder.parent / "outer")
    shutil.copytree(work.folder, outer.folder / "boilers", ignore=shutil.ignore_patterns(".git"))
    outer.commit("set point lowered")
    return outer.folder / "boilers"


@pytest.mark.parametrize("make", [_linked, _submodule, _apart, _bare_and_work_trees, _link, _below])
def test_repositories_that_a_person_means_are_opened(
    work: Work, trap: Trap, tmp_path: Path, make: Callable[[Work], Path]
) -> None:
    folder = make(work)
    with Repository(folder) as repository:
        assert repository.resolve("HEAD") == plain_git(folder, "rev-parse", "HEAD").strip()
        assert str(repository.folder) == plain_git(folder, "rev-parse", "--absolute-git-dir").strip()
    plain_git(folder, "checkout", "-q", "-b", "own")
    done = run(["visit", PROFILE, str(tmp_path / "readings.toml")], folder)
    assert done.returncode == 0, done.stderr
    assert "Visit-Step" in plain_git(folder, "log", "-1", "--format=%B")
    assert plain_git(folder, "status", "--porcelain") == ""


def test_files_that_are_kept_elsewhere(work: Work, tmp_path: Path) -> None:
    (tmp_path / "elsewhere").mkdir()
    work.git("config", "core.worktree", str(tmp_path / "elsewhere"))
    with pytest.raises(NoHistory, match="not opened"):
        Repository(work.folder)
    work.git("config", "--unset", "core.worktree")
    work.git("config", "core.bare", "true")
    with pytest.raises(NoHistory, match="lies in a bare repository"):
        Repository(work.folder)


def test_a_repository_of_somebody_else_is_not_opened(work: Work, monkeypatch: pytest.MonkeyPatch) -> None:
    if git.version(git.program()) < (2, 36):
        pytest.skip("this git does not look at the owner")
    monkeypatch.setenv("GIT_TEST_ASSUME_DIFFERENT_OWNER", "1")
    Repository(work.folder).close()
    monkeypatch.setattr(git, "WHERE", (*git.WHERE, "GIT_TEST_ASSUME_DIFFERENT_OWNER"))
    with pytest.raises(NoHistory, match="dubious ownership"):
        Repository(work.folder)


# what a configuration names -------------------------------------------------------------------------------------------


def _monitor(work: Work, trap: Trap) -> None:
    work.git("config", "core.fsmonitor", str(trap.program))


def _included(work: Work, trap: Trap) -> None:
    work.write("more.config", f"[core]\n\tfsmonitor = {trap.program}\n")
    work.git("config", "include.path", "../more.config")


def _included_if(work: Work, trap: Trap) -> None:
    work.write("more.config", f"[core]\n\tfsmonitor = {trap.program}\n")
    work.git("config", f"includeIf.gitdir:{work.folder.parent}/.path", "../more.config")


def _of_the_work_tree(work: Work, trap: Trap) -> None:
    work.git("config", "extensions.worktreeConfig", "true")
    work.git("config", "--worktree", "core.fsmonitor", str(trap.program))


def _hooks_path(work: Work, trap: Trap) -> None:
    trap.hooks(work.folder / "hooks")
    work.git("config", "core.hooksPath", "hooks")
    work.git("config", "core.fsmonitor", str(trap.program))


def _filter(work: Work, trap: Trap) -> None:
    work.write(".gitattributes", "*.toml filter=evil diff=evil\n")
    work.git("config", "filter.evil.clean", str(trap.program))
    work.git("config", "diff.external", str(trap.program))
    (work.folder / PROFILE).touch()


def _signing(work: Work, trap: Trap) -> None:
    for name in ("gpg.program", "core.editor", "core.pager", "core.sshCommand", "core.askPass", "credential.helper"):
        work.git("config", name, str(trap.program))
    work.git("config", "commit.gpgSign", "true")
    work.git("config", "alias.var", f"!{trap.program}")


@pytest.mark.parametrize("arm", [_monitor, _included, _included_if, _of_the_work_tree, _hooks_path, _filter, _signing])
def test_no_reading_runs_what_ones_own_configuration_names(
    work: Work, trap: Trap, arm: Callable[[Work, Trap], None]
) -> None:
    arm(work, trap)
    plain_git(work.folder, "status")
    plain_git(work.folder, "commit", "-q", "--allow-empty", "-m", "x")
    assert trap.sprung(), "git would have run it"
    work.git("-c", "core.fsmonitor=", "-c", "core.hooksPath=/dev/null", "checkout", "-q", "--", ".", check=False)
    trap.sprung()
    quiet(work.folder, trap)


@pytest.mark.parametrize("arm", [_monitor, _included, _of_the_work_tree])
def test_a_visit_runs_no_monitor(work: Work, trap: Trap, tmp_path: Path, arm: Callable[[Work, Trap], None]) -> None:
    arm(work, trap)
    done = run(["visit", PROFILE, str(tmp_path / "readings.toml")], work.folder)
    assert done.returncode == 0, done.stderr
    assert not trap.sprung()


def test_hooks_of_a_template_come_as_git_init_brings_them_and_none_is_run(trap: Trap, tmp_path: Path) -> None:
    trap.hooks(tmp_path / "hooks")
    (tmp_path / "template").mkdir()
    (tmp_path / "hooks").rename(tmp_path / "template/hooks")
    own = tmp_path / ".gitconfig"
    own.write_text(f"[init]\n\ttemplateDir = {tmp_path}/template\n", encoding="utf-8")
    for words in (["begin", "new"], ["begin", "example", "--example"]):
        done = run(words, tmp_path, HOME=str(tmp_path), GIT_CONFIG_GLOBAL=str(own), GIT_TEMPLATE_DIR=str(tmp_path))
        assert done.returncode == 0, done.stderr
    assert (tmp_path / "new/.git/hooks/pre-commit").exists()
    assert not trap.sprung()
    assert plain_git(tmp_path / "example", "status", "--porcelain", GIT_CONFIG_GLOBAL=os.devnull) == ""


# nothing is fetched ---------------------------------------------------------------------------------------------------


def _ext(work: Work, trap: Trap) -> None:
    work.git("config", "remote.origin.url", f"ext::{trap.program}")
    work.git("config", "protocol.ext.allow", "always")


def _any_protocol(work: Work, trap: Trap) -> None:
    work.git("config", "remote.origin.url", f"ext::{trap.program}")
    work.git("config", "protocol.allow", "always")
    work.git("config", "protocol.ext.allow", "always")


def _instead_of(work: Work, trap: Trap) -> None:
    work.git("config", "remote.origin.url", "https://example.org/x")
    work.git("config", f"url.ext::{trap.program} .insteadOf", "https://example.org/")
    work.git("config", "protocol.ext.allow", "always")


def _foreign(work: Work, trap: Trap) -> None:
    work.git("config", "remote.origin.url", "anything")
    work.git("config", "remote.origin.vcs", "own")
    work.git("config", "protocol.own.allow", "always")
    work.git("config", "alias.remote-own", f"!{trap.program}")


def _nameless(work: Work, trap: Trap) -> None:
    work.git("config", "remote.origin.url", "::anything")
    work.git("config", "alias.remote-", f"!{trap.program}")
    work.git("config", "protocol.allow", "always")


def _upload_pack(work: Work, trap: Trap) -> None:
    work.git("config", "remote.origin.url", work.folder.as_uri())
    work.git("config", "remote.origin.uploadpack", str(trap.program))


def _ssh(work: Work, trap: Trap) -> None:
    work.git("config", "remote.origin.url", "ssh://localhost/x")
    work.git("config", "core.sshCommand", str(trap.program))


FETCHES = [_ext, _any_protocol, _instead_of, _foreign, _nameless, _upload_pack, _ssh]


def fetches_lazily(folder: Path) -> str:
    """Write a git that does not know how to do without fetching, as those before 2.45; return the path to find it."""
    real = shutil.which("git")
    assert real is not None
    folder.mkdir()
    (folder / "git").write_text(f'#!/bin/sh\nunset GIT_NO_LAZY_FETCH\nexec {shlex.quote(real)} "$@"\n')
    (folder / "git").chmod(0o755)
    return f"{folder}{os.pathsep}{os.environ['PATH']}"


@pytest.mark.parametrize("old", [False, True])
@pytest.mark.parametrize("arm", FETCHES)
def test_a_missing_object_is_not_fetched(
    work: Work, trap: Trap, tmp_path: Path, arm: Callable[[Work, Trap], None], old: bool
) -> None:
    arm(work, trap)
    path = fetches_lazily(tmp_path / "bin") if old else os.environ["PATH"]
    work.git("config", "core.repositoryFormatVersion", "1")
    work.git("config", "extensions.partialClone", "origin")
    work.git("config", "remote.origin.promisor", "true")
    lost = work.git("rev-parse", f"HEAD~1:{PROFILE}").strip()
    (work.folder / ".git/objects" / lost[:2] / lost[2:]).unlink()
    plain_git(work.folder, "cat-file", "-p", lost)
    ran = trap.sprung()
    assert ran or arm is _nameless, "git would have run it"
    quiet(work.folder, trap, PATH=path, GIT_ALLOW_PROTOCOL="ext:ssh:file:own", GIT_PROTOCOL_FROM_USER="1")
    said = run(["check", ".", "--no-memory"], work.folder).stdout
    assert "earlier states that can't be read (partial clone)" in " ".join(said.split())


# hooks of a visit -----------------------------------------------------------------------------------------------------


def test_a_visit_says_which_hooks_ran(work: Work, trap: Trap, tmp_path: Path) -> None:
    readings = str(tmp_path / "readings.toml")
    trap.hooks(work.folder / ".git/hooks")
    assert "hooks" not in run(["visit", PROFILE, readings, "--dry-run"], work.folder).stdout
    assert not trap.sprung()
    done = run(["visit", PROFILE, readings], work.folder)
    assert done.returncode == 0, done.stderr
    names = "pre-commit, commit-msg, reference-transaction, post-index-change, post-commit"
    assert f"hooks run: {names} (in .git/hooks)\n" in done.stdout
    ran = {line.split()[0].rpartition("/")[2] for line in trap.sprung().splitlines()}
    assert ran == set(names.split(", "))


def test_without_hooks_none_is_named(work: Work, trap: Trap, tmp_path: Path) -> None:
    done = run(["visit", PROFILE, str(tmp_path / "readings.toml")], work.folder)
    assert done.returncode == 0 and "hooks" not in done.stdout


@pytest.mark.parametrize("name", ["index.lock", "HEAD.lock", "refs/heads/main.lock", "packed-refs.lock"])
def test_a_lock_that_was_left_is_named_with_what_to_do(work: Work, trap: Trap, tmp_path: Path, name: str) -> None:
    lock = work.folder / ".git" / name
    lock.touch()
    head = work.git("rev-parse", "HEAD")
    for more in ([], ["--dry-run"]):
        done = run(["visit", PROFILE, str(tmp_path / "readings.toml"), *more], work.folder)
        assert done.returncode == 2
        assert f"nothing was changed: {lock} is there" in done.stderr
        assert "If no other git runs here, remove that file and run it again" in done.stderr
    assert work.git("rev-parse", "HEAD") == head and not list((work.folder / ".git").glob("*/made"))
    lock.unlink()
    assert run(["visit", PROFILE, str(tmp_path / "readings.toml")], work.folder).returncode == 0


# nothing goes around --------------------------------------------------------------------------------------------------

RUNS = frozenset({"system", "popen", "fork", "forkpty", "startfile"})


def goes_around(text: str) -> list[str]:
    """Return what a module's text has that could start a program."""
    found = []
    for node in ast.walk(ast.parse(text)):
        names: list[str] = []
        if isinstance(node, ast.Import):
            names = [one.name for one in node.names]
        elif isinstance(node, ast.ImportFrom):
            names = [node.module or "", *(f"{node.module}.{one.name}" for one in node.names)]
        elif isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == "os":
            names = [f"os.{node.attr}"]
        elif isinstance(node, ast.Constant) and node.value in ("subprocess", "git.Repo"):
            names = [str(node.value)]
        for name in names:
            first, _, last = name.partition(".")
            runs = first == "os" and (last in RUNS or last.startswith(("exec", "spawn", "posix_spawn")))
            if (
                first in ("subprocess", "git", "gitdb", "pty", "dulwich", "pygit2")
                or "create_subprocess" in name
                or runs
            ):
                found.append(name)
    return found


def test_nothing_else_of_the_package_runs_git() -> None:
    package = Path(settingslint.__file__).parent
    around = {
        file.relative_to(package).as_posix(): found
        for file in package.rglob("*.py")
        if (found := goes_around(file.read_text(encoding="utf-8")))
    }
    assert around == {"history/git.py": ["subprocess"]}


@pytest.mark.parametrize(
    "text",
    [
        "import subprocess", "from subprocess import run", "from git import Repo", "import git.repo",
        "import os\nos.system('git')", "import os\nos.execvp('git', [])", "__import__('subprocess')",
        "from os import popen",
    ],
)  # fmt: skip
def test_what_goes_around_is_noticed(text: str) -> None:
    assert goes_around(text)


def test_every_start_of_git_has_an_environment_of_its_own() -> None:
    tree = ast.parse(Path(git.__file__).read_text(encoding="utf-8"))
    starts = [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and ast.unparse(node.func) in ("subprocess.run", "subprocess.Popen")
    ]
    uses = [
        node for node in ast.walk(tree) if isinstance(node, ast.Attribute) and ast.unparse(node.value) == "subprocess"
    ]
    assert len(starts) == 2
    assert {one.attr for one in uses} == {"run", "Popen", "PIPE", "DEVNULL"}
    assert all("env" in {word.arg for word in start.keywords} for start in starts)
