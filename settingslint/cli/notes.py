"""`settingslint notes`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from settingslint.api import Estate, Look
from settingslint.cli.common import CANNOT, fail, in_colour, say, screen_width, write
from settingslint.history import NoHistory
from settingslint.output.notes import FORMS, render_notes


def register(app: typer.Typer) -> None:
    """Add the command to the application."""

    @app.command(short_help="What commits changed, and what it does to the house.")
    def notes(
        revisions: Annotated[
            str | None, typer.Argument(metavar="[REV..REV]", help="Two revisions, or one; the last commit if none.")
        ] = None,
        worktree: Annotated[bool, typer.Option(help="What is not committed yet.")] = False,
        form: Annotated[str, typer.Option(help="text, markdown, html or json.")] = "text",
        to: Annotated[Path | None, typer.Option(help="Write to this file.")] = None,
        portfolio: Annotated[Path, typer.Option(help="Folder of the portfolio.")] = Path(),
    ) -> None:
        """Say what commits changed at each plant, what it does to the house, and what it asks for.

        Exit status: 0, or 2 where a file could not be read or checked, or for wrong usage.
        """
        if form not in FORMS:
            fail(f"--form {form}: there are {', '.join(FORMS)}")
        if not portfolio.exists():
            fail(f"{portfolio} does not exist")
        try:
            found = Estate(portfolio).notes(revisions, worktree=worktree)
        except NoHistory as why:
            fail(str(why))
        look = Look(screen_width(), in_colour()) if to is None else Look()
        write(render_notes(form, found, look), to)
        if to is not None:
            say(f"change notes, {form}: {to}")
        raise typer.Exit(CANNOT if found.problems else 0)
