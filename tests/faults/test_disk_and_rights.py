"""A disk without room, folders that may not be read or written, a clock set back: what was there is there still.

No room: the size of files is limited for the program and for the git that it runs (RLIMIT_FSIZE), which cuts a file off
in the middle as a full disk does. Rights: whoever runs the tests as root gives up the capabilities that let root pass
over them (CAP_DAC_OVERRIDE, CAP_DAC_READ_SEARCH: capabilities(7)) in the program that is tested.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Final

import pytest

from settingslint.files import whole
from settingslint.history.visit import plan
from settingslint.model.values import Unreadable
from tests.faults.test_faults import CODE, HOME
from tests.history.kit import ENVIRONMENT, Work, started
from tests.history.test_visit import PROFILE, READINGS, done, planned, read
from tests.history.test_visit_cut_off import _again, texts_of
from tests.history.test_visit_cut_off import whole as one_or_none

if sys.platform != "linux":
    pytest.skip("needs the limits and capabilities of Linux", allow_module_level=True)

PR_CAPBSET_DROP: Final = 24
PASS_OVER_RIGHTS: Final = (1, 2)
OTHER: Final = "sites/pump-house/boiler-1.toml"


@pytest.fixture
def work(tmp_path: Path) -> Work:
    """Return a portfolio of two plants under git."""
    made = started(tmp_path / "estate")
    for path in (OTHER, "controls/example-a.toml"):
        made.write(path, (HOME / path).read_bytes())
    made.commit("another plant")
    return made


def as_anybody() -> None:
    import ctypes

    for capability in PASS_OVER_RIGHTS:
        ctypes.CDLL(None).prctl(PR_CAPBSET_DROP, capability, 0, 0, 0)


def no_room_beyond(size: int) -> Callable[[], None]:
    def limit() -> None:
        import resource

        resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)

    return limit


def run(
    work: Work, *words: str, before: Callable[[], None] = as_anybody, env: Mapping[str, str] | None = None
) -> tuple[int, str, str]:
    """Run the program; return status, standard output, and standard error, in which no fault of the program stands."""
    own = {**ENVIRONMENT, "PYTHONPATH": CODE, "XDG_CACHE_HOME": str(work.folder.parent / "cache")}
    result = subprocess.run(
        [sys.executable, "-m", "settingslint", *words], cwd=work.folder, capture_output=True, text=True, check=False,
        preexec_fn=before, env={**os.environ, **own, **(env or {})},
    )  # fmt: skip
    assert "Traceback" not in result.stderr, result.stderr
    return result.returncode, result.stdout, result.stderr


@contextmanager
def rights(path: Path, mode: int) -> Iterator[None]:
    """Give a file or folder other rights for a while."""
    before = path.stat().st_mode
    path.chmod(mode)
    try:
        yield
    finally:
        path.chmod(before)


def everything(folder: Path) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


# what may not be read -------------------------------------------------------------------------------------------------

LOOK: Final = ("check", ".", "--as-of", "2026-11-25", "--stop-at", "nothing", "--full")


@pytest.mark.parametrize(
    ("what", "mode", "told", "read"),
    [
        (PROFILE, 0, PROFILE, True),
        ("sites/mill", 0, "sites/mill", True),
        ("sites/mill", 0o444, PROFILE, True),
        ("controls/kit.toml", 0, "controls/kit.toml", True),
        ("controls", 0, "controls/kit.toml", False),
        ("sites", 0, "sites", False),
        ("portfolio.toml", 0, "portfolio.toml", True),
    ],
)
def test_what_may_not_be_read_is_told_and_the_others_are_checked(
    work: Work, what: str, mode: int, told: str, read: bool
) -> None:
    assert run(work, *LOOK)[0] == 0
    with rights(work.folder / what, mode):
        status, out, err = run(work, *LOOK, "--form", "text")
    assert status == 2
    assert f"{told}:1:1: " in out and ": Permission denied" in out, out
    assert ("Old Pump House" in out) == read
    assert err == ""


def test_a_repository_that_may_not_be_read(work: Work) -> None:
    """What needs no history is checked; what needs it says so."""
    with rights(work.folder / ".git", 0):
        status, out, _ = run(work, *LOOK)
        assert status == 0 and "Rules that look into the history were not checked" in " ".join(out.split())
        for words in (("notes",), ("timeline", PROFILE), ("check", ".", "--new-since", "HEAD")):
            status, _, err = run(work, *words)
            assert (status, err.count("\n")) == (2, 1) and "git" in err, words


def test_links_in_a_circle(work: Work) -> None:
    (work.folder / "sites/mill/boiler-1.toml").unlink()
    (work.folder / "sites/mill/boiler-1.toml").symlink_to("boiler-1.toml")
    (work.folder / "sites/round").symlink_to("round")
    status, out, _ = run(work, *LOOK)
    assert status == 2 and "Old Pump House" in out and f"{PROFILE}:1:1: " in out


# what may not be written ----------------------------------------------------------------------------------------------


def test_a_portfolio_that_may_only_be_read_is_checked_as_ever(work: Work, tmp_path: Path) -> None:
    plain = run(work, *LOOK)
    before = everything(work.folder)
    for folder in (work.folder, *work.folder.rglob("*")):
        folder.chmod(0o555 if folder.is_dir() else 0o444)
    (tmp_path / "cache").mkdir(exist_ok=True)
    (tmp_path / "cache").chmod(0o555)
    assert run(work, *LOOK) == plain
    assert run(work, "notes")[0] == 0
    (tmp_path / "readings.toml").write_text(READINGS)
    for words in (
        ("visit", PROFILE, str(tmp_path / "readings.toml")), ("calculate", PROFILE, "--write"), ("begin", "new"),
        ("report", ".", "--to", "pages"), (*LOOK, "--form", "json", "--to", "out.json"),
        ("sheet", PROFILE, "--to", "sheet.html"),
    ):  # fmt: skip
        status, _, err = run(work, *words)
        assert (status, err.count("\n")) == (2, 1), (words, err)
        assert "can't write" in err or "can't make" in err, err
    assert everything(work.folder) == before


@pytest.mark.parametrize(
    ("what", "says"),
    [("sites/mill", "sites/mill; nothing was changed"), (".git", "can't write in"),
     (".git/objects", "insufficient permission"), (".git/refs/heads", "the branch could not be moved")],
)  # fmt: skip
def test_a_visit_where_a_folder_may_not_be_written(work: Work, tmp_path: Path, what: str, says: str) -> None:
    (tmp_path / "readings.toml").write_text(READINGS)
    head, text = work.git("rev-parse", "HEAD"), (work.folder / PROFILE).read_bytes()
    with rights(work.folder / what, 0o555):
        status, _, err = run(work, "visit", PROFILE, str(tmp_path / "readings.toml"))
    assert status == 2 and says in err
    assert (work.git("rev-parse", "HEAD"), (work.folder / PROFILE).read_bytes()) == (head, text)
    assert work.git("status", "--porcelain") == ""
    _again(work, head.strip(), texts_of(work))


def test_a_visit_that_is_committed_and_not_finished_is_no_success(work: Work, tmp_path: Path) -> None:
    """Somebody's git takes the index meanwhile: the commits are there, what is left is said, a second run does it."""
    (tmp_path / "readings.toml").write_text(READINGS)
    lock = work.folder / ".git/index.lock"
    hook = work.folder / ".git/hooks/commit-msg"
    hook.write_text("#!/bin/sh\ntouch .git/index.lock\n")
    hook.chmod(0o755)
    status, _, err = run(work, "visit", PROFILE, str(tmp_path / "readings.toml"))
    assert status == 2 and f"git add {PROFILE} mends it" in err and f"{lock} is there" in err
    hook.unlink()
    status, _, err = run(work, "visit", PROFILE, str(tmp_path / "readings.toml"))
    assert status == 2 and f"nothing was changed: {lock} is there" in err
    lock.unlink()
    status, out, _ = run(work, "visit", PROFILE, str(tmp_path / "readings.toml"))
    assert status == 0 and "recorded already" in out
    assert work.git("status", "--porcelain") == ""


# no room --------------------------------------------------------------------------------------------------------------


def test_no_room_for_a_changed_profile(work: Work) -> None:
    before = everything(work.folder / "sites")
    status, _, err = run(work, "calculate", PROFILE, "--write", before=no_room_beyond(300))
    assert (status, err) == (2, f"settingslint: can't write {PROFILE}: File too large\n")
    assert everything(work.folder / "sites") == before
    assert run(work, "calculate", PROFILE, "--write")[0] == 0
    assert everything(work.folder / "sites") != before


def test_no_room_for_a_visit(work: Work, tmp_path: Path) -> None:
    """At whatever size files are cut off: both commits or none, a whole profile, and the same visit again ends well."""
    base = work.git("rev-parse", "HEAD").strip()
    texts = texts_of(work)
    (tmp_path / "readings.toml").write_text(READINGS)
    kept = tmp_path / "kept"
    shutil.copytree(work.folder, kept, symlinks=True)
    length = max(map(len, texts.values()))
    ends = []
    for size in (0, 30, 150, 300, 700, 1200, length - 1, length):
        status, _, err = run(work, "visit", PROFILE, str(tmp_path / "readings.toml"), before=no_room_beyond(size))
        ends.append(one_or_none(work, base, texts))
        assert (status == 0) == (ends[-1] == "both"), (size, err)
        assert status == 0 or err, size
        (work.folder / ".git/index.lock").unlink(missing_ok=True)
        _again(work, base, texts)
        shutil.rmtree(work.folder)
        shutil.copytree(kept, work.folder, symlinks=True)
    assert ends[0] == "none" and ends[-1] == "both", ends


@pytest.mark.parametrize("words", [("report", ".", "--to", "pages"), ("sheet", PROFILE, "--to", "sheet.html"),
                                   ("begin", "new"), ("begin", "new", "--example")])  # fmt: skip
def test_no_room_for_what_is_made(work: Work, words: tuple[str, ...]) -> None:
    before = everything(work.folder / "sites")
    status, _, err = run(work, *words, before=no_room_beyond(100))
    assert (status, err.count("\n")) == (2, 1), err
    assert "can't write" in err or "can't make" in err, err
    assert everything(work.folder / "sites") == before


def test_no_room_for_profiles_from_a_spreadsheet(work: Work, tmp_path: Path) -> None:
    """The one that found no room is not there at all; the same again writes the others."""
    table = tmp_path / "table.csv"
    rows = [f"Site {n},Boiler 1{' of the long name' * 4 * (n == 2)},kit,{n + 150}" for n in range(4)]
    table.write_text("\n".join(["site,name,control,heating_setpoint", *rows]) + "\n")
    mapping = tmp_path / "mapping.toml"
    mapping.write_text("[columns]\n")
    status, _, err = run(work, "import", str(table), "--units", "us", before=no_room_beyond(200))
    assert (status, err.count("\n")) == (2, 1) and "File too large; run it again" in err, err
    there = [one for one in (work.folder / "sites").glob("site-*/*") if one.is_file()]
    assert sorted(one.parent.name for one in there) == ["site-0", "site-1"]
    status, out, _ = run(work, "import", str(table), "--units", "us")
    assert status == 0 and "2 profiles written, 2 already there" in out
    assert len(list((work.folder / "sites").glob("site-*/*"))) == 4
    status, _, err = run(
        work, "import", str(table), "--units", "us", "--mapping", str(mapping), "--write-mapping", str(mapping),
        before=no_room_beyond(20),
    )  # fmt: skip
    assert (status, err) == (2, f"settingslint: can't write {mapping}: File too large\n")
    assert mapping.read_text() == "[columns]\n"


# cut off --------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("at", ["fsync", "replace"])
def test_killed_while_a_file_is_put_in_place(tmp_path: Path, at: str) -> None:
    file = tmp_path / "boiler-1.toml"
    file.write_text("as it was\n")
    child = os.fork()
    if child == 0:
        setattr(os, at, lambda *_, **more: os.kill(os.getpid(), signal.SIGKILL))
        whole.put_bytes(file, b"as it shall be\n" * 1000, edit=True)
        os._exit(0)
    assert os.WTERMSIG(os.waitpid(child, 0)[1]) == signal.SIGKILL
    assert file.read_text() == "as it was\n"
    assert [one for one in tmp_path.iterdir() if not one.name.startswith(".")] == [file]


def test_interrupted_while_a_file_is_put_in_place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "boiler-1.toml"
    file.write_text("as it was\n")
    file.chmod(0o640)

    def interrupt(*_: object, **more: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr(os, "replace", interrupt)
        with pytest.raises(KeyboardInterrupt):
            whole.put_bytes(file, b"as it shall be\n", edit=True)
    assert file.read_text() == "as it was\n"
    whole.put_bytes(file, b"as it\r\nshall be\n", edit=True)
    assert file.read_bytes() == b"as it\r\nshall be\n"
    assert file.stat().st_mode & 0o777 == 0o640
    assert list(tmp_path.iterdir()) == [file]


# the clock, the language ----------------------------------------------------------------------------------------------


def test_a_visit_with_a_clock_set_back(work: Work) -> None:
    """A date that lies ahead is refused, and a day before the last visit is said to be one."""
    repository, readings = read(work, READINGS)
    with repository, pytest.raises(Unreadable, match="the visit of 2026-11-24 is in the future"):
        plan(repository, work.folder, work.folder / PROFILE, readings, date(2020, 1, 1), "R. Holm")
    assert done(work, READINGS) == []
    repository, readings = read(work, READINGS.replace("on = 2026-11-24", "").replace("170", "171"))
    with repository:
        late = plan(repository, work.folder, work.folder / PROFILE, readings, date(2020, 1, 1), "R. Holm")
    assert late.remarks == ("the visit of 2020-01-01 is recorded after the one of 2026-11-24",)
    assert planned(work, READINGS).recorded is not None


def test_history_is_the_same_in_every_language_and_time_zone(work: Work, tmp_path: Path) -> None:
    (tmp_path / "readings.toml").write_text(READINGS.replace("autumn service", "Herbst: größer \N{SNOWMAN}"))
    assert run(work, "visit", PROFILE, str(tmp_path / "readings.toml"))[0] == 0
    day = ("--as-of", "2026-12-01")
    asked = (("notes",), ("timeline", PROFILE, *day), ("check", "--new-since", "HEAD~2", *day))
    plain = {words: run(work, *words) for words in asked}
    assert "größer \N{SNOWMAN}" in plain[asked[1]][1]
    for environment in (
        {"LC_ALL": "C", "PYTHONUTF8": "0"}, {"LC_ALL": "de_DE.UTF-8", "LANGUAGE": "de", "LANG": "de_DE.UTF-8"},
        {"LC_ALL": "tr_TR.UTF-8"}, {"TZ": "Pacific/Kiritimati"}, {"TZ": "America/Adak"},
    ):  # fmt: skip
        for words, answer in plain.items():
            assert run(work, *words, env=environment) == answer, (environment, words)


def test_no_git_on_the_path(work: Work, tmp_path: Path) -> None:
    (tmp_path / "readings.toml").write_text(READINGS)
    before = everything(work.folder)
    for words in (("visit", PROFILE, str(tmp_path / "readings.toml")), ("notes",), ("begin", str(tmp_path / "new"))):
        status, _, err = run(work, *words, env={"PATH": "/nonexistent"})
        assert status == 2 and "git is not on the path" in err, (words, err)
    assert run(work, *LOOK, env={"PATH": "/nonexistent"})[0] == 0
    assert run(work, "report", ".", "--to", str(tmp_path / "pages"), env={"PATH": "/nonexistent"})[0] == 0
    assert everything(work.folder) == before
