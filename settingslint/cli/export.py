"""`settingslint export`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from settingslint.api import Estate
from settingslint.cli.common import CANNOT, complain, day, fail, need_profiles, print_problems, units_of, write
from settingslint.files.finding import found, root_of
from settingslint.files.reader import Reader
from settingslint.model.values import Unreadable
from settingslint.sheets.give import not_carried, questions_text, table_text


def register(app: typer.Typer) -> None:
    """Add the command to the application."""

    @app.command(short_help="The portfolio as one table.")
    def export(
        folder: Annotated[Path, typer.Argument(help="Folder of the portfolio, or of a site.")] = Path(),
        to: Annotated[Path | None, typer.Option(help="Write to this file.")] = None,
        questions: Annotated[
            bool,
            typer.Option(help="Only what is missing, to fill in: a column for each question."),
        ] = False,
        units: Annotated[
            str | None, typer.Option(help="us or metric, for all numbers; the portfolio's if none, else us.")
        ] = None,
    ) -> None:
        """Write the records as one table for a spreadsheet, a row for each boiler; import reads it again."""
        if not folder.exists():
            fail(f"{folder} does not exist")
        system = units_of(folder, units) or "us"
        need_profiles([folder])
        reader, profiles, there = Reader(root_of(folder), day(None)), [], found(folder)
        reader.problems += there.problems
        for file in there.profiles:
            try:
                profiles.append(reader.profile(file))
            except Unreadable as unread:
                reader.problems += unread.problems
        if questions:
            asked = Estate(folder).questions([folder])
            open_ = {place for question in asked.asked for place in question.plants}
            profiles = [one for one in profiles if (one.site, one.name) in open_]
            write(questions_text(profiles, [question.name for question in asked.asked], system), to)
            print_problems(asked.problems)
            raise typer.Exit(CANNOT if asked.problems or reader.problems else 0)
        write(table_text(profiles, system), to)
        for kind, count in not_carried(profiles).items():
            complain(f"skipped: {kind} ({count})")
        print_problems(reader.problems)
        raise typer.Exit(CANNOT if reader.problems else 0)
