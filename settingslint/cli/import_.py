"""`settingslint import`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from settingslint.cli.common import CANNOT, ask, fail, print_problems, say, say_no_portfolio, units_of
from settingslint.files.whole import put, put_bytes
from settingslint.model.values import Unreadable
from settingslint.output.plain import plural
from settingslint.sheets.mapping import NAMES, Mapped, read_mapping, write_mapping_file
from settingslint.sheets.read import read_table
from settingslint.sheets.take import Taken, stated_system, take
from settingslint.vocabulary.facts import SOURCES


def register(app: typer.Typer) -> None:
    """Add the command to the application."""

    @app.command(name="import", short_help="Profiles from a spreadsheet.")
    def import_(
        file: Annotated[Path, typer.Argument(help="A spreadsheet saved as CSV.")],
        into: Annotated[Path, typer.Option(help="Folder of the portfolio.")] = Path(),
        units: Annotated[
            str | None, typer.Option(help="us or metric, for numbers without a unit; the portfolio's if none.")
        ] = None,
        control: Annotated[str | None, typer.Option(help="Control for rows without one.")] = None,
        mapping: Annotated[
            Path | None, typer.Option(help="TOML file: what each column is, what words in cells mean.")
        ] = None,
        write_mapping: Annotated[Path | None, typer.Option(help="Write only such a file, to edit; no profile.")] = None,
        decimal: Annotated[str | None, typer.Option(help="point or comma, where the numbers do not tell.")] = None,
        source: Annotated[str, typer.Option("--from", help="Source of the facts.")] = "owner said",
        skip_wrong: Annotated[
            bool, typer.Option("--skip-wrong", help="Write the good rows and skip the wrong ones.")
        ] = False,
        fill: Annotated[bool, typer.Option("--fill", help="Fill in what is missing in profiles that exist.")] = False,
    ) -> None:
        """Make profiles from a spreadsheet, one for each row. What is recorded stays; a second run changes nothing."""
        if decimal not in (None, "point", "comma"):
            fail("--decimal is point or comma")
        if source not in SOURCES:
            fail(f"--from is one of {', '.join(SOURCES)}")
        try:
            table = read_table(file, str(file))
            mapped = read_mapping(mapping) if mapping else Mapped({}, {})
        except Unreadable as unread:
            print_problems(unread.problems)
            raise typer.Exit(CANNOT) from None
        system = units_of(into, units) or stated_system(table, mapped.columns)
        if system is None and write_mapping is None:
            if sys.stdin.isatty():
                system = units_of(into, ask("Numbers without a unit: us or metric?"))
            else:
                fail("name --units us or --units metric, for numbers without a unit")
        if system is not None and units is None:
            say(f"numbers without a unit: {system}")
        taken = take(
            table, into, system=system or "us", control=control, mapping=mapped.columns, words=mapped.words,
            decimal="point" if decimal == "point" else "comma" if decimal == "comma" else None, source=source,
            fill=fill,
        )  # fmt: skip
        if write_mapping:
            _write_mapping(write_mapping, taken, mapped, mapping)
            unsaid = " --units us or metric" if system is None else ""
            say(f"next: settingslint import {file} --into {into} --mapping {write_mapping}{unsaid}")
            return
        _tell(taken, mapped)
        print_problems(taken.problems)
        good = not taken.problems or skip_wrong
        if good:
            _write_profiles(taken, into)
        elif taken.profiles or taken.filled:
            others = len(taken.profiles) + len(taken.filled)
            say(f"nothing written: correct the wrong rows, or --skip-wrong writes the other {others}")
        filled = f"{len(taken.filled) if good else 0} filled in, " if fill else ""
        say(f"{len(taken.profiles) if good else 0} profiles written, {filled}{len(taken.unchanged)} already there")
        say_no_portfolio(into)
        raise typer.Exit(CANNOT if taken.problems else 0)


def _write_mapping(file: Path, taken: Taken, mapped: Mapped, given: Path | None) -> None:
    """Write a mapping file with suggestions."""
    if file.exists() and file != given:
        fail(f"{file} exists; nothing was changed")
    try:
        write_mapping_file(file, taken.columns, taken.unread, mapped.words)
    except OSError as error:
        fail(f"can't write {error.filename or file}: {error.strerror}")
    say(f"written: {file}, and no profile; fill in what is empty there")


def _tell(taken: Taken, mapped: Mapped) -> None:
    """Say which column was matched to what, what was skipped and what is guessed."""
    for column in taken.columns:
        if column.target:
            say(f"matched: {column.header} as {column.target}")
    for line in taken.skipped:
        say(f"skipped: {line}")
    if taken.converted:
        count = plural(len(taken.converted), "cell")
        say(f"note: {count} in another unit than their column, converted: {taken.converted[0]}")
    for line in taken.guessed:
        say(f"guessed: {line}")
    open_ = [one for one in taken.columns if one.header and one.target is None and one.header not in mapped.columns]
    if open_:
        say(f"names for a mapping file: {NAMES}; --write-mapping FILE makes one to edit")


def _write_profiles(taken: Taken, into: Path) -> None:
    """Write the new profiles."""
    for path, text in taken.profiles.items():
        try:
            put(path, text, root=into, new=True)
        except OSError as error:
            why = f"can't write {error.filename or path}: {error.strerror}"
            fail(f"{why}; run it again for what is not written yet")
        say(f"written: {path.as_posix()}")
    for path, (filled, names) in taken.filled.items():
        try:
            put_bytes(path, filled.encode("utf-8"), root=into, edit=True)
        except OSError as error:
            fail(f"can't write {error.filename or path}: {error.strerror}; run it again for what is not written yet")
        say(f"filled in: {path.as_posix()}: {', '.join(names)}")
