"""A check of paths without options goes past the parser of options: it is quicker and says the same."""

from __future__ import annotations

import inspect
import subprocess
import sys
from pathlib import Path
from typing import Final

import pytest

import settingslint
from settingslint.cli import app
from settingslint.cli.check_paths import check_paths, paired

ROOT: Final = Path(__file__).parents[1]


def run(words: list[str], folder: Path, **environment: str) -> tuple[int, str, str]:
    done = subprocess.run(
        [sys.executable, "-m", "settingslint", *words], cwd=folder, capture_output=True, text=True, check=False,
        env={"PATH": "", "PYTHONPATH": ":".join(sys.path), "XDG_CACHE_HOME": str(folder / "cache"), **environment},
    )  # fmt: skip
    return done.returncode, done.stdout, done.stderr


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("plain")
    (made / "empty").mkdir()
    (made / "broken.toml").write_text("format = \n", encoding="utf-8")
    return made


PATHS: Final[dict[str, tuple[list[str], int]]] = {
    "a plant with findings": ([str(ROOT / "profiles" / "sites" / "linden-yard" / "boiler-1.toml")], 1),
    "two of a site": ([str(ROOT / "profiles" / "sites" / "linden-yard")], 1),
    "a control": ([str(next((ROOT / "profiles" / "controls").glob("*.toml")))], 0),
    "not there": (["nowhere.toml"], 2),
    "nothing below it": (["empty"], 2),
    "not TOML": (["broken.toml"], 2),
    "the portfolio's own file": ([str(ROOT / "profiles" / "portfolio.toml")], 2),
}


@pytest.mark.parametrize(("paths", "status"), PATHS.values(), ids=PATHS)
def test_with_and_without_the_parser_the_same_is_said(paths: list[str], status: int, folder: Path) -> None:
    plain = run(["check", *paths], folder)
    assert plain == run(["check", *paths, "--stop-at", "outage"], folder)
    assert plain[0] == status
    assert "Traceback" not in plain[2]


def test_what_no_option_says_is_the_same_with_and_without_the_parser() -> None:
    (command,) = app(("check",)).registered_commands
    assert command.callback is not None
    told = inspect.signature(command.callback).parameters
    plain = {name: one.default for name, one in inspect.signature(check_paths).parameters.items()}
    assert plain.pop("paths") is inspect.Parameter.empty and told["paths"].default is None
    assert list(plain.pop("outputs")) == paired(told["form"].default or [], told["to"].default or [], [])
    assert plain == {name: told[name].default for name in plain}
    assert set(told) == {"context", "paths", "form", "to", *plain}


def test_the_version_is_said_with_and_without_the_parser(folder: Path) -> None:
    plain = run(["--version"], folder)
    assert plain == run(["--version", "explain"], folder)
    assert plain == (0, f"settingslint {settingslint.__version__}\n", "")


def test_the_folder_is_checked_that_one_stands_in(folder: Path) -> None:
    status, said, _ = run(["check"], folder / "empty")
    assert status == 2
    assert "no profile found here" in said


LOADED: Final = """
import sys
from settingslint.cli import main
sys.argv = ["settingslint", *sys.argv[1:]]
try:
    main()
except SystemExit:
    print("parser" if "typer" in sys.modules else "no parser", file=sys.stderr)
"""


@pytest.mark.parametrize(
    ("words", "environment", "loaded"),
    [
        (["check", "nowhere.toml"], {}, "no parser"),
        (["check", "nowhere.toml", "--no-memory"], {}, "parser"),
        (["check", "nowhere.toml"], {"_SETTINGSLINT_COMPLETE": "complete_bash"}, "parser"),
        (["effect", "nowhere.toml"], {}, "parser"),
    ],
)
def test_when_the_parser_is_needed(words: list[str], environment: dict[str, str], loaded: str, folder: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", LOADED, *words], cwd=folder, capture_output=True, text=True, check=False,
        env={"PATH": "", "PYTHONPATH": ":".join(sys.path), **environment},
    )  # fmt: skip
    assert done.stderr.splitlines()[-1] == loaded
