"""`settingslint questions`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from settingslint.api import Estate, Look
from settingslint.checking.workers import how_many
from settingslint.cli.common import CANNOT, bar, day, fail, need_profiles, print_problems, screen_width, write
from settingslint.report.questions import FORMS, render


def register(app: typer.Typer) -> None:
    """Add the command to the application."""

    @app.command(short_help="What to find out next, most important first.")
    def questions(
        paths: Annotated[list[Path] | None, typer.Argument(help="Portfolio, site folders or profiles.")] = None,
        form: Annotated[str, typer.Option(help="text, json, csv or html.")] = "text",
        to: Annotated[Path | None, typer.Option(help="Write to this file.")] = None,
        every: Annotated[
            bool, typer.Option("--all", help="Text, html: every question, not only the first ten.")
        ] = False,
        as_of: Annotated[str | None, typer.Option(help="Date to judge by, like 2026-03-12; today if none.")] = None,
    ) -> None:
        """Ask for missing facts, most important first: by the worst finding that the answer decides."""
        if form not in FORMS:
            fail(f"--form {form}: there are {', '.join(FORMS)}")
        asked = paths or [Path()]
        for path in asked:
            if not path.exists():
                fail(f"{path} does not exist")
        need_profiles(asked)
        with bar() as progress:
            found = Estate(asked[0], day(as_of)).questions(asked, remember=True, workers=how_many(), progress=progress)
        print_problems(found.problems)
        width = screen_width() if to is None else 80
        write(render(form, found, Look(width, every=every)), to)
        raise typer.Exit(CANNOT if found.problems else 0)
