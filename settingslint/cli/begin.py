"""`settingslint begin`."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from settingslint.cli.common import CANNOT, ask, complain, fail, say, say_no_portfolio, units_of
from settingslint.files.whole import put
from settingslint.history.start import start_repository
from settingslint.starter.example import write_example
from settingslint.starter.new import NotEmpty, make_folder, starting_files, write_files
from settingslint.starter.questions import NotAnswered, make
from settingslint.units import System

INTERRUPTED = 130
"""Exit status where somebody pressed Ctrl-C, as shells have it."""


def register(app: typer.Typer) -> None:
    """Add the command to the application."""

    @app.command(short_help="A new portfolio; or a control file, by questions.")
    def begin(
        folder: Annotated[Path, typer.Argument(help="An empty folder; with --control, the portfolio's folder.")],
        control: Annotated[
            str | None, typer.Option(help="Ask questions and write a control file of this name.")
        ] = None,
        units: Annotated[str | None, typer.Option(help="us or metric, for the new files or the answers.")] = None,
        example: Annotated[
            bool, typer.Option("--example", help="The example portfolio with two years of history.")
        ] = False,
    ) -> None:
        """Make a new portfolio with a commented control file and profile, or describe a control by questions."""
        if control is not None and example:
            fail("--control or --example: name one")
        if example and units is not None:
            fail("the example has its own units: leave --units out")
        system = units_of(folder, units)
        if control is not None:
            _describe(folder, control, system or "us")
            return
        if example:
            _example(folder)
            return
        try:
            make_folder(folder)
            write_files(folder, starting_files(date.today(), system or "us"))
        except NotEmpty:
            fail(f"{folder} is not an empty folder; nothing was changed")
        except OSError as error:
            fail(f"can't make {folder}: {error.strerror or error}")
        try:
            made = start_repository(folder)
        except OSError as error:
            fail(f"made {folder}, without a git repository ({error.strerror or error}): run git init there")
        say(f"made {folder}: portfolio.toml, controls/my-control.toml, sites/first-site/boiler-1.toml")
        say("and README.md, .ci/check, schemas, .gitignore")
        say("a git repository too" if made else "it is in a git repository already")
        say(f"next: settingslint check {folder}")
        say(f"and what to find out next: settingslint questions {folder}")


def _example(folder: Path) -> None:
    try:
        make_folder(folder)
        commits = write_example(folder)
    except NotEmpty:
        fail(f"{folder} is not an empty folder; nothing was changed")
    except OSError as error:
        fail(f"can't make {folder}: {error.strerror or error}")
    say(f"made {folder}: an invented estate, its history in {commits} commits")
    say(f"next: settingslint check {folder}")


def _describe(folder: Path, name: str, system: System) -> None:
    if not name.replace("-", "").replace("_", "").isalnum():
        fail("a control's name has letters, digits and hyphens")
    file = folder / "controls" / f"{name}.toml"
    if file.exists():
        fail(f"{file} exists; nothing was changed")

    def answered(question: str) -> str:
        if sys.stdin.isatty():
            return ask(question)
        say(question)
        return sys.stdin.readline().strip()

    say_no_portfolio(folder)
    say("Empty answers mean: not known. What is not known is not checked.")
    try:
        text = make(name, answered, system)
    except NotAnswered as error:
        fail(f"{error}: nothing was written")
    except (KeyboardInterrupt, typer.Abort) as stopped:  # the prompt makes one of both, Ctrl-C and the end of input
        complain("nothing was written")
        pressed = isinstance(stopped, KeyboardInterrupt) or isinstance(stopped.__context__, KeyboardInterrupt)
        raise typer.Exit(INTERRUPTED if pressed else CANNOT) from None
    try:
        put(file, text, root=folder, new=True)
    except OSError as error:
        fail(f"can't write {error.filename or file}: {error.strerror}")
    say(f"written: {file}")
    say(f"next: settingslint check {file}, which says what is still missing or unproved")
