"""What several commands share: dates, files to write, problems, and the end of the program."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final, NoReturn, TypeVar

from settingslint.model.values import Problem
from settingslint.plain import Plain, in_lines, plain

if TYPE_CHECKING:
    from settingslint.rules.plant import Plant
    from settingslint.units import System

T = TypeVar("T")
CANNOT = 2
"""Exit status where a file could not be read or checked, or the usage was wrong."""


FIRST_YEAR, LAST_YEAR = 1900, 2099
"""As the dates of profiles go."""


def say(line: str) -> None:
    """Print a line on standard output."""
    write(in_lines([line]), None)


def complain(line: str) -> None:
    """Print a line on standard error."""
    print(plain(line), file=sys.stderr)


def ask(question: str) -> str:
    """Put a question on the terminal and return the answer, empty for none.

    Raises:
        typer.Abort: where somebody ends the program instead; what follows begins on a line of its own.
    """
    import typer

    return str(_put(lambda: typer.prompt(plain(question), default="", show_default=False)))


def confirmed(question: str) -> bool:
    """Put a question on the terminal that is answered with yes or no; see `ask`."""
    import typer

    return _put(lambda: typer.confirm(plain(question)))


def _put(question: Callable[[], T]) -> T:
    import typer

    try:
        return question()
    except typer.Abort:
        complain("")
        raise


def fail(message: str) -> NoReturn:
    """End the program with one line on standard error and status 2."""
    complain(f"settingslint: {message}")
    sys.exit(CANNOT)


@contextmanager
def git_says(option: str) -> Iterator[None]:
    """End the program with one line where what is asked of git can't be told."""
    try:
        yield
    except Exception as error:
        from settingslint.history import NoHistory

        if not isinstance(error, NoHistory):
            raise
        fail(f"{option}: {error}")


def one_profile(path: Path, must_exist: bool = True) -> None:
    """End the program with one line where a path is no single profile."""
    from settingslint.files.finding import PORTFOLIO_FILE, is_control_file

    if path.is_dir():
        fail(f"{path} is a folder: name one profile")
    if must_exist and not path.exists():
        fail(f"{path} does not exist")
    if path.name == PORTFOLIO_FILE:
        fail(f"{path} is the file of the whole portfolio: name one profile, below sites/")
    if is_control_file(path):
        fail(f"{path} is a control file: name one profile, or run settingslint check {path}")


def need_profiles(paths: Iterable[Path]) -> None:
    """End the program with one line where no path is a profile or holds one."""
    from settingslint.files.finding import profile_files
    from settingslint.files.names import shown

    asked = list(paths)
    if not any(profile_files(path) for path in asked):
        print_problems([Problem(shown(asked[0]), 1, 1, "no profile found here")])
        sys.exit(CANNOT)


def say_no_portfolio(folder: Path) -> None:
    """Say on standard error where a folder that files are made for is no portfolio, and how it becomes one."""
    from settingslint.files.finding import PORTFOLIO_FILE, root_of

    if (folder / PORTFOLIO_FILE).is_file():
        return
    root = root_of(folder)
    if (root / PORTFOLIO_FILE).is_file():
        complain(f"note: {folder} is part of the portfolio {root}")
        return
    empty = not folder.is_dir() or not any(folder.iterdir())
    lines = 'format = 1, name = "...", units = "us" or "metric"'
    begin = f"settingslint begin {folder} makes one"
    way = begin if empty else f"write it there: {lines}; or, in an empty folder, {begin}"
    complain(f"note: no {PORTFOLIO_FILE} in {folder}: {way}")


def units_of(folder: Path, given: str | None) -> System | None:
    """Return the unit system that was typed, else the one that the portfolio of a folder names, else None."""
    from settingslint.files.finding import PORTFOLIO_FILE, root_of
    from settingslint.files.names import shown
    from settingslint.model.source import parse, read_bytes
    from settingslint.model.values import Unreadable

    word: object = given
    file = root_of(folder) / PORTFOLIO_FILE
    if given is None and file.is_file():
        try:
            word = parse(read_bytes(file, shown(file)), shown(file)).data.get("units")
        except Unreadable as unread:
            print_problems(unread.problems)
            sys.exit(CANNOT)
    if word is None:
        return None
    if word not in ("us", "metric"):
        fail("--units is us or metric" if given is not None else f"{file}: units is us or metric")
    return "us" if word == "us" else "metric"


def day(text: str | None) -> date:
    """Return the date of an `--as-of`, today where none was given."""
    if text is None:
        return date.today()
    try:
        asked = date.fromisoformat(text)
    except ValueError:
        fail(f"--as-of expects a date like 2026-03-12, found {text!r}")
    if not FIRST_YEAR <= asked.year <= LAST_YEAR:
        fail(f"--as-of expects a date from {FIRST_YEAR} to {LAST_YEAR}, as profiles have them; found {text!r}")
    return asked


def print_problems(problems: Iterable[Problem]) -> None:
    """Print problems on standard error, a line each."""
    for one in problems:
        complain(f"{one.file}:{one.line}:{one.column}: unreadable: {one.message}")


def plant_at(profile: Path, as_of: date) -> tuple[Plant, tuple[Problem, ...]]:
    """Return the plant of a profile, and what could not be read of its portfolio; the program ends where there is none.

    Problems are printed.
    """
    from settingslint.api import Estate, Unreadable

    one_profile(profile, must_exist=False)
    estate = Estate(profile, as_of)
    try:
        plant = estate.plant(profile)
    except Unreadable as unread:
        print_problems([*estate.problems, *unread.problems])
        sys.exit(CANNOT)
    print_problems(estate.problems)
    return plant, estate.problems


LONG: Final = 1.5
"""Seconds after which work is long enough for a bar."""
BAR: Final = 30
"""Characters."""


@contextmanager
def bar() -> Iterator[Callable[[int, int], None] | None]:
    """Yield what shows on standard error how far long work is, or None where that is no terminal."""
    if not sys.stderr.isatty() or os.environ.get("TERM") == "dumb":
        yield None
        return
    begun = last = time.monotonic()

    def show(done: int, total: int) -> None:
        nonlocal last
        now = time.monotonic()
        if now - begun > LONG and now - last > 0.1:
            last = now
            sys.stderr.write(f"\r[{'=' * (done * BAR // total):{BAR}}] {done:,} of {total:,} plants")
            sys.stderr.flush()

    try:
        yield show
    finally:
        if last > begun:
            sys.stderr.write("\r\x1b[K")
            sys.stderr.flush()


def screen_width() -> int:
    """Return the width of the terminal, between 60 and 100, or 80 in a pipe."""
    if not sys.stdout.isatty():
        return 80
    import shutil

    return min(100, max(60, shutil.get_terminal_size().columns))


def in_colour() -> bool:
    """Return whether standard output is a terminal that wants colour."""
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def write(text: Plain | Iterable[Plain], to: Path | None) -> None:
    """Write text, whole or in pieces, to a file, or to standard output where none is named.

    A reader that goes away is no error.
    """
    if to is not None:
        from settingslint.files.whole import put

        try:
            put(to, text)
        except OSError as error:
            fail(f"can't write {error.filename or to}: {error.strerror}")
        return
    try:
        for piece in [text] if isinstance(text, str) else text:
            if type(piece) is not Plain:
                raise TypeError("text that is printed goes through the gate: settingslint.plain")
            sys.stdout.buffer.write(piece.encode("utf-8"))
        sys.stdout.flush()
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except OSError as error:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # what is left to write is let go
        fail(f"can't write what there is to say: {error.strerror}")
