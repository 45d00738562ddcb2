"""`settingslint take-in`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from settingslint.cli.common import CANNOT, fail, print_problems, say_no_portfolio, units_of


def register(app: typer.Typer) -> None:
    """Add the command to the application."""

    @app.command(name="take-in", short_help="Profiles from a spreadsheet.")
    def take_in(
        file: Annotated[Path, typer.Argument(help="A spreadsheet, saved as CSV.")],
        into: Annotated[Path, typer.Option(help="Folder of the portfolio.")] = Path(),
        units: Annotated[
            str | None, typer.Option(help="us or metric: what numbers without a unit mean; else the portfolio's.")
        ] = None,
        control: Annotated[str | None, typer.Option(help="Control of rows that name none.")] = None,
        mapping: Annotated[
            Path | None, typer.Option(help="TOML file: which column is what, and what words in cells mean.")
        ] = None,
        write_mapping: Annotated[
            Path | None, typer.Option(help="Write only such a file, with suggestions, to edit.")
        ] = None,
        decimal: Annotated[str | None, typer.Option(help="point or comma, where the numbers leave a doubt.")] = None,
        source: Annotated[str, typer.Option("--from", help="Where the facts come from.")] = "owner said",
        take_good: Annotated[
            bool, typer.Option("--take-good", help="Write the good rows though others are wrong.")
        ] = False,
    ) -> None:
        """Make profiles of a spreadsheet's rows. What exists is never overwritten; run twice, it changes nothing."""
        from settingslint.files.whole import put_new
        from settingslint.model.values import Unreadable
        from settingslint.output.plain import plural
        from settingslint.sheets.mapping import NAMES, Mapped, read_mapping, write_mapping_file
        from settingslint.sheets.read import read_table
        from settingslint.sheets.take import stated_system, take
        from settingslint.vocabulary.facts import SOURCES

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
                system = units_of(into, typer.prompt("Numbers without a unit are us or metric?"))
            else:
                fail("say --units us or --units metric: what numbers without a unit mean")
        if system is not None and units is None:
            typer.echo(f"numbers without a unit: {system}")
        taken = take(
            table, into, system=system or "us", control=control, mapping=mapped.columns, words=mapped.words,
            decimal="point" if decimal == "point" else "comma" if decimal == "comma" else None, source=source,
        )  # fmt: skip
        if write_mapping:
            if write_mapping.exists() and write_mapping != mapping:
                fail(f"{write_mapping} exists; nothing was changed")
            try:
                write_mapping_file(write_mapping, taken.columns, taken.unread, mapped.words)
            except OSError as error:
                fail(f"can't write {write_mapping}: {error.strerror}")
            typer.echo(f"written: {write_mapping}, and no profile; fill in what stands empty there")
            unsaid = " --units us or metric" if system is None else ""
            typer.echo(f"next: settingslint take-in {file} --into {into} --mapping {write_mapping}{unsaid}")
            return
        for column in taken.columns:
            if column.target:
                typer.echo(f"taken: {column.header} as {column.target}")
        for line in taken.left:
            typer.echo(f"left: {line}")
        if taken.converted:
            count = plural(len(taken.converted), "cell")
            typer.echo(f"note: {count} in another unit than their column, converted: {taken.converted[0]}")
        for line in taken.guessed:
            typer.echo(f"guessed: {line}")
        if any(column.header and column.target is None and column.header not in mapped.columns
               for column in taken.columns):  # fmt: skip
            typer.echo(f"names for a mapping file: {NAMES}; --write-mapping FILE makes one to edit")
        print_problems(taken.problems)
        good = not taken.problems or take_good
        if good:
            for path, text in taken.profiles.items():
                try:
                    path.parent.mkdir(parents=True, exist_ok=True)
                    put_new(path, text)
                except OSError as error:
                    fail(f"can't write {path}: {error.strerror}; run it again for what is not written yet")
                typer.echo(f"written: {path.as_posix()}")
        elif taken.profiles:
            typer.echo(f"nothing written: mend the wrong rows, or --take-good for the other {len(taken.profiles)}")
        typer.echo(f"{len(taken.profiles) if good else 0} profiles written, {len(taken.unchanged)} already there")
        say_no_portfolio(into)
        raise typer.Exit(CANNOT if taken.problems else 0)
