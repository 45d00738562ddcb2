"""What breaks around the program: files that vanish, full disks, no git, odd locales. A clear line, a right status."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from datetime import date
from pathlib import Path
from typing import Final

import pytest

import settingslint
from settingslint.checking.check import check
from settingslint.files import finding

HOME: Final = Path(__file__).parents[2] / "profiles"
AS_OF: Final = date(2026, 11, 25)
CODE: Final = str(Path(settingslint.__file__).parents[1])


@pytest.fixture
def estate(tmp_path: Path) -> Path:
    """Return a portfolio of two plants."""
    folder = tmp_path / "estate"
    for name in ("pump-house/boiler-1.toml", "harbour-rooms/boiler-1.toml"):
        (folder / "sites" / name).parent.mkdir(parents=True)
        shutil.copy(HOME / "sites" / name, folder / "sites" / name)
    shutil.copytree(HOME / "controls", folder / "controls")
    (folder / "portfolio.toml").write_text('format = 1\nname = "Estate"\n', encoding="utf-8")
    return folder


def run(
    folder: Path, *arguments: str, stdout: str | None = None, **environment: str
) -> subprocess.CompletedProcess[str]:
    """Run the program in a folder, with standard output to a file where one is named."""
    own = {"PATH": os.environ["PATH"], "HOME": str(folder), "XDG_CACHE_HOME": str(folder / "cache"), "PYTHONPATH": CODE}
    env = {**own, **environment}
    command = [sys.executable, "-m", "settingslint", *arguments]
    with open(stdout, "w", encoding="utf-8") if stdout else open(os.devnull, encoding="utf-8") as out:
        result = subprocess.run(
            command, cwd=folder, env=env, stdout=out if stdout else subprocess.PIPE, stderr=subprocess.PIPE, check=False
        )
    said, told = (result.stdout or b"").decode("utf-8"), result.stderr.decode("utf-8")
    assert "Traceback" not in told, told
    return subprocess.CompletedProcess(command, result.returncode, said, told)


LOOK: Final = ("check", ".", "--as-of", "2026-11-25", "--full")


def test_a_file_that_vanishes_between_listing_and_reading(estate: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = finding.found
    gone = estate / "sites" / "gone.toml"
    monkeypatch.setattr(
        "settingslint.checking.check.found", lambda path: finding.Found([*real(path).profiles, gone], [])
    )
    report = check([estate], AS_OF)
    assert [one.message for one in report.problems] == ["does not exist"]
    assert len(report.results) == 2
    assert report.exit_status(None) == 2


@pytest.mark.parametrize(
    ("error", "words"), [(PermissionError(13, "Permission denied"), "Permission denied"), (OSError(5, "I/O"), "I/O")]
)
def test_a_file_that_may_not_be_read(estate: Path, monkeypatch: pytest.MonkeyPatch, error: OSError, words: str) -> None:
    real = Path.open

    def denied(self: Path, *arguments: object, **more: object) -> object:
        if self.parent.name == "pump-house":
            raise error
        return real(self, *arguments, **more)  # type: ignore[call-overload]

    monkeypatch.setattr(Path, "open", denied)
    report = check([estate], AS_OF)
    assert [one.message for one in report.problems] == [f"can't be read: {words}"]
    assert len(report.results) == 1
    assert report.exit_status(None) == 2


def test_a_folder_that_is_no_portfolio(tmp_path: Path) -> None:
    result = run(tmp_path, "check", ".")
    assert (result.returncode, "no profile found here" in result.stdout + result.stderr) == (2, True)
    assert run(tmp_path, "check", "nowhere").returncode == 2


def test_a_full_disk(estate: Path) -> None:
    """`/dev/full` takes nothing: what could not be written ends with status 2 and one line."""
    to_screen = run(estate, *LOOK, stdout="/dev/full")
    assert to_screen.returncode == 2
    assert "No space left on device" in to_screen.stderr
    assert to_screen.stderr.count("\n") == 1


def test_a_cache_that_is_no_folder(estate: Path) -> None:
    (estate / "cache").write_text("in the way", encoding="utf-8")
    assert run(estate, *LOOK).returncode == 0
    assert (estate / "cache").read_text(encoding="utf-8") == "in the way"


def test_no_git_on_the_path(estate: Path) -> None:
    """What needs no history works; what needs it says in one line what is missing."""
    assert run(estate, *LOOK, PATH="/nonexistent").returncode == 0
    for command in (["notes"], ["timeline", "sites/pump-house/boiler-1.toml"], ["check", "--new-since", "HEAD"]):
        result = run(estate, *command, PATH="/nonexistent")
        assert result.returncode == 2, command
        assert "git" in result.stderr
        assert result.stderr.count("\n") <= 2


@pytest.mark.parametrize(
    "environment",
    [{"LC_ALL": "C", "PYTHONUTF8": "0"}, {"LC_ALL": "C.UTF-8"}, {"TZ": "Pacific/Kiritimati"}, {"TZ": "nonsense"},
     {"PYTHONHASHSEED": "1"}, {"PYTHONIOENCODING": "ascii"}],
)  # fmt: skip
def test_the_same_answer_in_every_locale_and_time_zone(estate: Path, environment: dict[str, str]) -> None:
    file = estate / "sites" / "pump-house" / "boiler-1.toml"
    text = file.read_text(encoding="utf-8").replace("Old Pump House", "Altes Pumpenhaus Süd \N{SNOWMAN}")
    file.write_text(text, encoding="utf-8")
    plain = run(estate, *LOOK)
    assert "Süd \N{SNOWMAN}" in plain.stdout
    assert run(estate, *LOOK, **environment).stdout == plain.stdout


def test_a_clock_set_back(estate: Path) -> None:
    """Dates that lie ahead are told; nothing that was remembered of a later day is given for an earlier one."""
    today = run(estate, *LOOK).stdout
    early = run(estate, "check", ".", "--as-of", "2020-01-01")
    assert early.returncode in (0, 1)
    assert early.stdout == run(estate, "check", ".", "--as-of", "2020-01-01", "--no-memory").stdout
    assert run(estate, *LOOK).stdout == today


def test_a_reader_that_goes_away(estate: Path) -> None:
    command = f"{sys.executable} -m settingslint check . --as-of 2026-11-25 | head -1"
    result = subprocess.run(
        ["bash", "-c", command], cwd=estate, capture_output=True, text=True, check=False,
        env={**os.environ, "XDG_CACHE_HOME": str(estate / "cache"), "PYTHONPATH": CODE},
    )  # fmt: skip
    assert result.stderr == ""
