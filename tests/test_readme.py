"""The README tells the truth: its excerpt is what the program prints, its commands and files exist.

`python -m tests.test_readme` writes its first excerpt anew.
"""

from __future__ import annotations

import re
import tomllib
from datetime import date
from pathlib import Path
from typing import Final
from xml.etree import ElementTree

import typer

import settingslint
from settingslint.checking.check import check
from settingslint.cli import app
from settingslint.model.control_file import control_from
from settingslint.model.profile import profile_from
from settingslint.model.source import parse
from settingslint.model.validate import check_schema
from settingslint.output import Look, render
from tests.picture import FILE, drawn

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


def first_things() -> str:
    """Return what a check of the example says to do first: the first three."""
    printed = render("text", check([ROOT / "profiles"], date(2026, 11, 25)), Look())
    begun = printed[printed.index("do first") :]
    end = re.search(r"^ *(4\. |and \d|by site)", begun, re.MULTILINE)
    assert end is not None
    return begun[: end.start()]


def test_the_excerpt_is_what_check_prints() -> None:
    excerpt = next(block for block in blocks("text") if block.startswith("do first"))
    assert excerpt == first_things(), "python -m tests.test_readme writes it anew"
    assert excerpt.count("fix: ") == 3


def test_it_is_short_and_the_first_result_is_in_the_first_screen() -> None:
    assert len(README.splitlines()) <= 350
    assert README.splitlines().index("do first") < 24


def test_the_picture_is_what_the_program_draws() -> None:
    assert f"]({FILE.relative_to(ROOT).as_posix()})" in README
    assert FILE.read_text(encoding="utf-8") == drawn(), "python -m tests.picture draws it anew"
    root = ElementTree.fromstring(drawn())
    assert root.tag == "{http://www.w3.org/2000/svg}svg" and len(list(root.iter())) > 40
    script = [one.tag for one in root.iter() if one.tag.endswith(("script", "image", "foreignObject"))]
    assert script == [] and "url(" not in drawn()


def test_every_proof_that_it_names_is_there() -> None:
    names = re.findall(r"`(tests/[\w/.]+)`", README)
    assert len(names) > 12
    assert [name for name in names if not (ROOT / name).exists()] == []


def test_every_command_is_in_the_table_and_the_other_way_round() -> None:
    table = set(re.findall(r"^\| `([a-z-]+)", README, re.MULTILINE))
    real = set(typer.main.get_command(app()).commands)  # type: ignore[attr-defined]
    assert real == table


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


if __name__ == "__main__":
    anew = re.sub(r"(?<=```text\n)do first\n.*?(?=```)", lambda _: first_things(), README, count=1, flags=re.DOTALL)
    (ROOT / "README.md").write_text(anew, encoding="utf-8", newline="\n")
