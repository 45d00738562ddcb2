"""All forms: the same inputs give the same bytes, whatever the order of sets and folders."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from settingslint.output import FORMS, Look, render
from tests.output.reports import ordinary
from tests.rules.kit import control_data, profile_data
from tests.strategies import text_of

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize("form", FORMS)
def test_the_frame_or_the_numbers_are_there(form: str) -> None:
    out = render(form, ordinary(), Look(10**6))
    assert "store-too-warm" in out
    assert form == "csv" or "has not seen the boiler" in out or "Not seen by this tool: the boiler" in out


def test_an_unknown_form_is_refused() -> None:
    with pytest.raises(KeyError):
        render("html", ordinary(), Look())


def make_portfolio(folder: Path, names: list[str]) -> None:
    (folder / "controls").mkdir(parents=True)
    (folder / "controls" / "kit.toml").write_text(text_of(control_data()), encoding="utf-8")
    for number, name in enumerate(names):
        data = profile_data()
        data["plant"]["name"] = name
        data["settings"]["tank_setpoint"] = 118 + number
        data["settings"]["high_limit"] = 192
        del data["building"]
        file = folder / "sites" / f"site-{number % 2}" / f"{name.lower().replace(' ', '-')}.toml"
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text_of(data), encoding="utf-8")


def run(folder: Path, seed: str, *more: str) -> bytes:
    command = [
        sys.executable,
        "-m",
        "settingslint",
        "check",
        ".",
        "--as-of",
        "2026-11-25",
        "--stop-at",
        "nothing",
        *more,
    ]
    done = subprocess.run(
        command, cwd=folder, capture_output=True, env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)},
        check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.mark.parametrize("form", FORMS)
def test_byte_for_byte(form: str, tmp_path: Path) -> None:
    names = [f"Boiler {number}" for number in range(5)]
    make_portfolio(tmp_path / "one", names)
    make_portfolio(tmp_path / "two", names[::-1])
    for index, name in enumerate(names):  # the same files, made in another order
        file = f"sites/site-{index % 2}/{name.lower().replace(' ', '-')}.toml"
        other = tmp_path / "two" / file
        other.parent.mkdir(parents=True, exist_ok=True)
        for old in (tmp_path / "two").rglob(other.name):
            old.unlink()
        other.write_bytes((tmp_path / "one" / file).read_bytes())
    (tmp_path / "one" / "portfolio.toml").write_text('format = 1\nname = "P"\n', encoding="utf-8")
    (tmp_path / "two" / "portfolio.toml").write_text('format = 1\nname = "P"\n', encoding="utf-8")
    first = run(tmp_path / "one", "1", "--form", form)
    assert len(first) > 1000
    assert first == run(tmp_path / "one", "2", "--form", form) == run(tmp_path / "two", "3", "--form", form)
