"""What several commands share: dates, files to write, problems, and the end of the program."""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Iterable
from datetime import date
from pathlib import Path
from typing import NoReturn

import typer

from settingslint.model.values import Problem
from settingslint.output.plain import plain

CANNOT = 2
"""Exit status where a file could not be read or checked, or the usage was wrong."""


def fail(message: str) -> NoReturn:
    """End the program with one line on standard error and status 2."""
    typer.echo(f"settingslint: {plain(message)}", err=True)
    raise typer.Exit(CANNOT)


def day(text: str | None) -> date:
    """Return the date of an `--as-of`, today where none was given."""
    if text is None:
        return date.today()
    try:
        return date.fromisoformat(text)
    except ValueError:
        fail(f"--as-of expects a date like 2026-03-12, found {text!r}")


def print_problems(problems: Iterable[Problem]) -> None:
    """Print problems on standard error, a line each."""
    for one in problems:
        typer.echo(f"{plain(one.file)}:{one.line}:{one.column}: unreadable: {plain(one.message)}", err=True)


def screen_width() -> int:
    """Return the width of the terminal, between 60 and 100, or 80 in a pipe."""
    return min(100, max(60, shutil.get_terminal_size().columns)) if sys.stdout.isatty() else 80


def in_colour() -> bool:
    """Return whether standard output is a terminal that wants colour."""
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def write(text: str, to: Path | None) -> None:
    """Write text to a file, or to standard output where none is named. A reader that goes away is no error."""
    if to is not None:
        try:
            to.write_text(text, encoding="utf-8", newline="\n")
        except OSError as error:
            fail(f"can't write {to}: {error.strerror}")
        return
    try:
        sys.stdout.buffer.write(text.encode("utf-8", "backslashreplace"))
        sys.stdout.flush()
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
