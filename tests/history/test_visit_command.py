"""`settingslint visit` as people run it: files, standard input, a terminal; odd names, worktrees and signatures."""

from __future__ import annotations

import os
import select
import shlex
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from settingslint.history import NoHistory
from tests.history.kit import ENVIRONMENT, Work, started
from tests.history.test_visit import PROFILE, READINGS, done, state

ROOT = Path(__file__).parents[2]
ENVIRON = {**os.environ, **ENVIRONMENT, "PYTHONPATH": str(ROOT), "COLUMNS": "100"}
COMMAND = [sys.executable, "-m", "settingslint", "visit"]


@pytest.fixture
def work(tmp_path: Path) -> Work:
    return started(tmp_path / "estate")


def run(work: Work, *words: str, given: str = "") -> tuple[int, str, str]:
    """Run the command in the portfolio's folder."""
    ended = subprocess.run(
        [*COMMAND, *words], cwd=work.folder, env=ENVIRON, input=given.encode(), capture_output=True, check=False
    )
    return ended.returncode, ended.stdout.decode(), ended.stderr.decode()


def test_from_a_file_and_again(work: Work, tmp_path: Path) -> None:
    file = tmp_path / "readings.toml"
    file.write_text(READINGS)
    before = state(work)
    status, out, _ = run(work, PROFILE, str(file), "--dry-run")
    assert status == 0
    assert state(work) == before
    assert "Limits\n  high limit: recorded as 206 F, found at 210 F\n  caution: Limits, low-water" in out
    assert out.index("Limits\n") < out.index("Heating\n")  # what can hurt comes first
    assert out.count("+++ ") == 2
    status, out, err = run(work, PROFILE, str(file))
    assert (status, err) == (0, "")
    assert out.endswith(f"committed: as found, then as left, on main\nnext: settingslint check {PROFILE}\n")
    assert 'by = "R. Holm"' in work.git("show", f"HEAD:{PROFILE}")
    after = state(work)
    status, out, _ = run(work, PROFILE, str(file))
    assert (status, out.splitlines()[-1]) == (0, f"recorded already in {after[0][:10]}; nothing to add")
    assert state(work) == after


@pytest.mark.parametrize("text", [READINGS, "setting,found\nserial,K-1\nheating_setpoint,170\n"], ids=["TOML", "CSV"])
def test_from_standard_input(work: Work, text: str) -> None:
    status, _, err = run(work, PROFILE, "-", given=text)
    assert (status, err) == (0, "")
    assert "value = 170" in work.git("show", f"HEAD~1:{PROFILE}")


def test_what_is_refused_is_one_line_and_status_2(work: Work) -> None:
    status, _, err = run(work, PROFILE, "-", given=READINGS.replace("K-1", "K-2"))
    assert status == 2
    assert err == (
        "standard input:2:10: unreadable: the readings are of serial K-2, the profile is of K-1: another boiler\n"
    )
    status, _, err = run(work, PROFILE)
    assert (status, err) == (
        2, "settingslint: name a file of readings, or - for standard input; questions need a terminal\n",
    )  # fmt: skip
    (work.folder / PROFILE).write_text("changed")
    status, _, err = run(work, PROFILE, "-", given=READINGS)
    assert (status, err.startswith(f"settingslint: {PROFILE} has changes that are not committed")) == (2, True)
    assert run(work, "none.toml", "-", given=READINGS)[0] == 2
    assert run(work, PROFILE, "none.toml")[0] == 2


@pytest.mark.parametrize("text", ["", "[visit]\n", 'serial = "K-1"\n[visit]\nby = "N. Body"\nwhy = "x"\n[found]\n'])
def test_readings_that_read_nothing_are_no_visit(work: Work, text: str) -> None:
    before = state(work)
    for words in ([], ["--dry-run"]):
        status, out, err = run(work, PROFILE, "-", *words, given=text)
        assert (status, out, err) == (2, "", "settingslint: nothing was read: nothing is written\n")
    assert state(work) == before


def test_readings_of_combustion_or_facts_alone_are_a_visit(work: Work) -> None:
    status, out, _ = run(work, PROFILE, "-", given='serial = "K-1"\n[combustion.high]\no2 = 5.4\n')
    assert status == 0 and "committed: as left" in out


def test_the_hook_of_the_readme_lets_the_commit_as_found_through_and_looks_at_the_one_as_left(
    work: Work, tmp_path: Path
) -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8").splitlines()
    (line,) = [one for one in readme if one.startswith('[ "$SETTINGSLINT_VISIT_STEP" = ')]
    program, seen = tmp_path / "settingslint", tmp_path / "seen"
    program.write_text(f'#!/bin/sh\necho "$SETTINGSLINT_VISIT_STEP: $*" >> {seen}\n')
    hook = work.folder / ".git/hooks/pre-commit"
    hook.parent.mkdir(exist_ok=True)
    hook.write_text(f"#!/bin/sh\nPATH={tmp_path}:$PATH\n{line}\n")
    for one in (program, hook):
        one.chmod(0o755)
    done(work, READINGS)
    assert seen.read_text() == "as left: check . --new-since HEAD\n"


ODD = ('sites/a b/boil\'er "1".toml', "sites/-x/ü,1.toml", "sites/x/line\nbreak.toml", "sites/caf\udce9.toml")
"""The last is the byte E9 alone, which is not UTF-8."""


@pytest.mark.parametrize("name", ODD)
def test_odd_names(work: Work, name: str) -> None:
    work.profile(name, {"plant.name": "Boiler 9"})
    work.commit()
    done(work, READINGS, name)
    assert work.git("status", "--porcelain") == ""
    assert len(work.git("log", "--format=%h", "--", name).split()) == 3


def test_in_a_linked_worktree(work: Work, tmp_path: Path) -> None:
    work.git("worktree", "add", "-q", "-b", "visits", str(tmp_path / "other"))
    other = Work(tmp_path / "other")
    before = work.git("rev-parse", "main")
    done(other, READINGS)
    assert work.git("rev-parse", "main") == before
    assert len(other.git("log", "--format=%h", "main..visits").split()) == 2
    assert other.git("status", "--porcelain") == ""


def test_commits_are_signed_where_the_person_signs(work: Work, tmp_path: Path) -> None:
    program = tmp_path / "sign"
    said = 'echo "[GNUPG:] BEGIN_SIGNING H8" >&2\necho "[GNUPG:] SIG_CREATED " >&2\n'
    program.write_text(f'#!/bin/sh\ncat > /dev/null\n{said}echo "invented signature"\n')
    program.chmod(0o755)
    work.git("config", "gpg.program", str(program))
    work.git("config", "commit.gpgSign", "true")
    done(work, READINGS)
    for revision in ("HEAD", "HEAD~1"):
        assert "gpgsig invented signature" in work.git("cat-file", "commit", revision)


def test_a_signature_that_fails_stops_everything(work: Work, tmp_path: Path) -> None:
    work.git("config", "gpg.program", str(tmp_path / "none"))
    work.git("config", "commit.gpgSign", "true")
    before = state(work)
    with pytest.raises(NoHistory):
        done(work, READINGS)
    assert state(work) == before


TERMINAL = pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")


def on_terminal(work: Work, words: list[str], answers: list[tuple[str, str]]) -> tuple[int, str]:
    """Run a command on a terminal and answer what it asks; return its status and what was shown."""
    import pty

    child, descriptor = pty.fork()
    if child == 0:
        os.chdir(work.folder)
        os.execve(sys.executable, [sys.executable, "-m", "settingslint", *words], ENVIRON)
    left = iter(answers)
    shown, new, wanted, end = "", "", next(left, None), time.monotonic() + 60
    while time.monotonic() < end:
        if not select.select([descriptor], [], [], 1)[0]:
            continue
        try:
            more = os.read(descriptor, 4096).decode()
        except OSError:
            break
        shown, new = shown + more, new + more
        if wanted is not None and wanted[0] in new and new.endswith(": "):
            os.write(descriptor, wanted[1].encode() if wanted[1] == END_OF_INPUT else f"{wanted[1]}\n".encode())
            new, wanted = "", next(left, None)
    else:
        os.kill(child, signal.SIGKILL)
    status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    assert wanted is None, f"never asked: {wanted}\n{shown}"
    return status, shown.replace("\r\n", "\n")


END_OF_INPUT = "\x04"
HEAD = [
    ("who was there [R. Holm]: ", "A. Sato"), ("serial number, as read off the boiler now: ", "K-1"),
    ("in which role", "gas"), ("why: ", "autumn service"), ("what for", "serv"), ("what brought it about", "routine"),
    ("work order: ", "W-7"),
]  # fmt: skip
ON = ("1/91 heating on", "on")
LEFT = ("left, where you typed it", "")


@TERMINAL
def test_questions_on_a_terminal(work: Work) -> None:
    """One setting is answered, then the end of the list, then yes."""
    yes = ("Write 1 commit? [y/N]: ", "y")
    status, shown = on_terminal(work, ["visit", PROFILE], [*HEAD, ON, LEFT, ("2/91 operating mode", "."), yes])
    assert status == 0, shown
    assert f"committed: as left, on main\nnext: settingslint check {PROFILE}\n" in shown
    assert 'by = "A. Sato"' in work.git("show", f"HEAD:{PROFILE}")
    assert work.git("log", "-1", "--format=%an;%(trailers:key=Visit-By,valueonly)").strip() == "R. Holm;A. Sato"


@TERMINAL
def test_nothing_answered_writes_nothing(work: Work) -> None:
    before = state(work)
    status, shown = on_terminal(work, ["visit", PROFILE], [*HEAD, ("1/91 heating on", ".")])
    assert (status, shown.splitlines()[-1]) == (0, "nothing was read: nothing is written")
    assert state(work) == before


@TERMINAL
@pytest.mark.parametrize("late", [False, True])
def test_the_end_of_input_writes_nothing(work: Work, late: bool) -> None:
    before = state(work)
    answers = [*HEAD, ON, LEFT, ("2/91 operating mode", "."), ("Write 1 commit? [y/N]: ", END_OF_INPUT)]
    status, shown = on_terminal(work, ["visit", PROFILE], answers if late else [*HEAD[:1], (HEAD[1][0], END_OF_INPUT)])
    assert (status, shown.splitlines()[-1]) == (2, "nothing was written")
    assert "Aborted" not in shown
    assert ("\nyour answers are kept: settingslint visit " in shown) == late
    assert state(work) == before


@TERMINAL
def test_the_end_of_input_amid_the_settings_keeps_those_that_were_answered(work: Work) -> None:
    before = state(work)
    status, shown = on_terminal(work, ["visit", PROFILE], [*HEAD, ON, LEFT, ("2/91 operating mode", END_OF_INPUT)])
    lines = shown.splitlines()
    assert (status, lines[-1]) == (2, "nothing was written")
    assert "so far are kept in" in shown and state(work) == before
    command = next(line for line in lines if line.startswith("your answers are kept: ")).partition(": ")[2]
    done = run(work, *shlex.split(command)[2:])
    assert done[0] == 0, done
    assert "heating_enabled = true" in work.git("show", f"HEAD:{PROFILE}")


def test_a_folder_and_a_file_that_is_not_there(work: Work) -> None:
    assert run(work, "sites", "-") == (2, "", "settingslint: sites is a folder: name one profile\n")
    assert run(work, "none.toml", "-") == (2, "", "settingslint: none.toml does not exist\n")
