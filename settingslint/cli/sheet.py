"""`settingslint sheet`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from settingslint.cli.common import CANNOT, day, fail, one_profile, print_problems, say, write
from settingslint.files.finding import found, root_of
from settingslint.files.reader import Reader
from settingslint.model.values import Unreadable
from settingslint.output.plain import plural
from settingslint.report.papers import FORMS, KINDS, papers
from settingslint.rules.plant import Plant


def register(app: typer.Typer) -> None:
    """Add the command to the application."""

    @app.command(short_help="Papers to print: visit sheet, as-left record, handover.")
    def sheet(
        profiles: Annotated[list[Path], typer.Argument(help="Profiles, or folders of them.")],
        kind: Annotated[str, typer.Option(help="visit, as-left or handover.")] = "visit",
        form: Annotated[str, typer.Option(help="html, markdown, or csv (kind visit) to fill in.")] = "html",
        paper: Annotated[str | None, typer.Option(help="a4 or letter; by the profile's units if none.")] = None,
        to: Annotated[Path | None, typer.Option(help="Write to this file.")] = None,
        as_of: Annotated[str | None, typer.Option(help="Date to judge by, like 2026-03-12; today if none.")] = None,
    ) -> None:
        """Make papers to print: the visit sheet, the as-left record, or the handover sheet for the people there.

        The visit sheet lists every setting in the control's order of entry, with what was left last and empty boxes.
        """
        if kind not in KINDS:
            fail(f"--kind {kind}: there are {', '.join(KINDS)}")
        if form not in FORMS or (form == "csv" and kind != "visit"):
            fail(f"--form {form}: there are {', '.join(FORMS)}; csv is for --kind visit")
        if paper not in (None, "a4", "letter"):
            fail(f"--paper {paper}: there are a4 and letter")
        for path in profiles:
            if not path.is_dir():
                one_profile(path, must_exist=False)
        there = [found(path) for path in profiles]
        files = list(dict.fromkeys(file for one in there for file in one.profiles))
        if not files:
            fail("no profile found there")
        if form == "csv" and len(files) > 1:
            fail(f"--form csv is for one boiler, and {len(files)} profiles are there: name one")
        if form == "html" and to is None and sys.stdout.isatty():
            fail("html needs a file: name one with --to")
        reader = Reader(root_of(files[0]), day(as_of))
        reader.problems += [problem for one in there for problem in one.problems]
        plants: list[tuple[Path, Plant]] = []
        for file in files:
            try:
                plants.append((file, reader.plant(file)))
            except Unreadable as unread:
                reader.problems += unread.problems
        print_problems(reader.problems)
        if plants:
            write(papers(kind, form, plants, reader.portfolio, paper), to)
            if to is not None:
                say(f"{plural(len(plants), 'plant')}, {kind}, {form}: {to}")
        raise typer.Exit(CANNOT if reader.problems else 0)
