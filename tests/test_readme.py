"""The README tells the truth: its excerpt is what the program prints, its commands and files exist."""

from __future__ import annotations

import re
import tomllib
from datetime import date
from pathlib import Path
from typing import Final

import typer

import settingslint
from settingslint.checking.check import check
from settingslint.cli import app
from settingslint.model.control_file import control_from
from settingslint.model.profile import profile_from
from settingslint.model.source import parse
from settingslint.model.validate import check_schema
from settingslint.output import Look, render

ROOT: Final = Path(__file__).parents[1]
README: Final = (ROOT / "README.md").read_text(encoding="utf-8")


def blocks(language: str) -> list[str]:
    return re.findall(rf"```{language}\n(.*?)```", README, re.DOTALL)


def test_the_two_set_up_commands() -> None:
    assert README.count("python3 -m venv .venv && .venv/bin/pip install . && ") >= 1
    shell = [line for block in blocks("sh") for line in block.splitlines()]
    assert (
        "python3 -m venv .venv && .venv/bin/pip install . && .venv/bin/settingslint check profiles --stop-at nothing"
        in shell
    )
    assert "python3 -m venv .venv && .venv/bin/pip install '.[test]' && .venv/bin/pytest" in shell


def test_the_excerpt_is_what_check_prints() -> None:
    excerpt = next(block for block in blocks("text") if "do first" in block)
    report = check([ROOT / "profiles"], date(2026, 11, 25))
    printed = render("text", report, Look()).splitlines()
    lost = [line for line in excerpt.splitlines() if line and not any(line.endswith(one) and one for one in printed)]
    assert lost == []


def test_every_command_is_in_the_table_and_the_other_way_round() -> None:
    table = set(re.findall(r"^\| `([a-z-]+)", README, re.MULTILINE))
    real = set(typer.main.get_command(app()).commands)  # type: ignore[attr-defined]
    assert real <= table


def test_the_profile_and_the_control_file_are_valid() -> None:
    profile = next(block for block in blocks("toml") if "[plant]" in block)
    source = parse(profile.encode(), "README profile")
    check_schema(source, "profile")
    assert profile_from(source).control == "example-a"
    control = next(block for block in blocks("toml") if "[control]" in block)
    source = parse(control.encode(), "README control")
    check_schema(source, "control")
    assert control_from(source).rows["heating_maximum_rate"].treatments
    for block in blocks("toml"):
        tomllib.loads(block)


def test_no_dead_links() -> None:
    for target in re.findall(r"\]\((?!https?:|#)([^)#]+)", README):
        assert any((folder / target).exists() for folder in (ROOT, Path(settingslint.__file__).parents[1])), target
