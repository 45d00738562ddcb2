"""Words that are not said: in help, in what commands print, in templates and new files, in the README."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import pytest
from typer.testing import CliRunner

import settingslint
from settingslint.cli import COMMANDS, app
from tests.rules.test_words import UNSAID

ROOT: Final = Path(__file__).parents[1]
PACKAGE: Final = Path(settingslint.__file__).parent
ROOMS: Final = ("cli", "sheets", "starter", "workout", "output", "report")
"""The rooms whose texts are looked at one by one; what rules say is looked at beside them."""
OTHER_PEOPLES: Final = {"sheets/match.py": "the headers of other people's tables"}
TALL: Final = 24
"""Lines of a terminal."""

KEYS: Final = frozenset({"stored", "remedy"})
"""Keys of JSON, which stay."""


def wrong(text: str) -> list[str]:
    """Return what of a text is not said, as the list of words has it that rules are held to."""
    flat = " ".join(text.split())
    found = UNSAID.finditer(flat) if flat not in KEYS else ()
    return [f"...{flat[max(0, one.start() - 30) : one.end() + 20]}..." for one in found]


def texts_of(file: Path) -> Iterator[str]:
    """Yield the texts of a module, its documentation aside."""
    tree = ast.parse(file.read_text(encoding="utf-8"))
    silent = {id(one.value) for one in ast.walk(tree) if isinstance(one, ast.Expr)}
    for one in ast.walk(tree):
        if isinstance(one, ast.Constant) and isinstance(one.value, str) and id(one) not in silent:
            yield one.value


def help_of(*words: str) -> str:
    done = CliRunner().invoke(app(), [*words, "--help"], env={"COLUMNS": "80"}, terminal_width=80)
    assert done.exit_code == 0
    return done.output


@pytest.mark.parametrize("command", COMMANDS)
def test_the_help_of_a_command(command: str) -> None:
    text = help_of(command)
    assert wrong(text) == []
    assert len(text.splitlines()) <= TALL, "one screen"


def test_the_list_of_commands() -> None:
    assert wrong(help_of()) == []


@pytest.mark.parametrize("room", ROOMS)
def test_what_commands_print(room: str) -> None:
    found = {
        f"{file.relative_to(PACKAGE)}: {one}"
        for file in (PACKAGE / room).rglob("*.py")
        if file.relative_to(PACKAGE).as_posix() not in OTHER_PEOPLES
        for text in texts_of(file)
        for one in wrong(text)
    }
    assert sorted(found) == []


@pytest.mark.parametrize("folder", ["report/templates", "starter/files"])
def test_templates_and_new_files(folder: str) -> None:
    found = [
        f"{file.name}: {one}"
        for file in sorted((PACKAGE / folder).iterdir())
        if file.suffix in (".html", ".md", ".toml", ".sh", ".js") and file.name != "history.toml"
        for one in wrong(re.sub(r"\{[%{#].*?[%}#]\}|<[^>]*>", " ", file.read_text(encoding="utf-8"), flags=re.DOTALL))
    ]
    assert found == []


def test_the_readme() -> None:
    own = re.sub(r"```text\n.*?```", "", (ROOT / "README.md").read_text(encoding="utf-8"), flags=re.DOTALL)
    assert wrong(own) == []


@pytest.mark.parametrize(
    "text",
    ["the way out", "what was\n asked for", "a store of 144 F", "120 F is the most", "it hangs on it", "least 122 F",
     "obeyed", "a tempering valve", "Worked out from", "take-in", "it stands at 4 F"],
)  # fmt: skip
def test_it_is_noticed(text: str) -> None:
    assert len(wrong(text)) == 1


@pytest.mark.parametrize(
    "text", ["at most 4 F", "the most important", "outdoor", "understand at once", "workout", "restore"]
)
def test_other_words_are_left_alone(text: str) -> None:
    assert wrong(text) == []
