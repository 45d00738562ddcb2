"""`settingslint report`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from settingslint.api import Estate
from settingslint.checking.workers import how_many
from settingslint.cli.common import CANNOT, day, fail, need_profiles, print_problems, say
from settingslint.output.plain import plural
from settingslint.report.history import history_of
from settingslint.report.pages import write_report
from settingslint.rules.plant import Plant


def register(app: typer.Typer) -> None:
    """Add the command to the application."""

    @app.command(short_help="Static pages with pictures.")
    def report(
        to: Annotated[Path, typer.Option(help="Folder for the pages.")],
        paths: Annotated[list[Path] | None, typer.Argument(help="Portfolio, site folders or profiles.")] = None,
        as_of: Annotated[str | None, typer.Option(help="Date to judge by, like 2026-03-12; today if none.")] = None,
    ) -> None:
        """Write static pages: one for the portfolio; a page with pictures and a visit sheet for each plant."""
        asked = paths or [Path()]
        for path in asked:
            if not path.exists():
                fail(f"{path} does not exist")
        need_profiles(asked)
        plants: dict[str, Plant] = {}
        estate = Estate(asked[0], day(as_of))
        result = estate.check(asked, keep=plants)
        try:
            with history_of(estate.root, estate.as_of) as history:
                changed, faults = write_report(result, plants, to, history, how_many())
        except OSError as error:
            fail(f"can't write {error.filename or to}: {error.strerror}")
        problems = [*result.problems, *faults]
        print_problems(problems)
        counts = f"{plural(len(result.results), 'plant')}, {plural(changed, 'file')} written or changed"
        say(f"{counts}: {to / 'index.html'}")
        raise typer.Exit(CANNOT if problems else 0)
