"""`settingslint check`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from settingslint.cli.common import (
    CANNOT,
    bar,
    day,
    fail,
    git_says,
    in_colour,
    print_problems,
    screen_width,
    write,
)

if TYPE_CHECKING:
    from settingslint.rules.base import Severity


def register(app: typer.Typer) -> None:
    """Add the command to the application."""

    @app.command(short_help="Findings with proof, way out and caution; coverage.")
    def check(
        paths: Annotated[
            list[Path] | None,
            typer.Argument(help="Folders, profiles; control files, or a folder of them, alone; this folder if none."),
        ] = None,
        form: Annotated[
            list[str] | None,
            typer.Option(help="text, json, sarif, junit, markdown or csv. Several: --form A --to FILE --form B ..."),
        ] = None,
        to: Annotated[
            list[Path] | None, typer.Option(help="File for the form before it, in place of the screen.")
        ] = None,
        stop_at: Annotated[
            str,
            typer.Option(help="Least severity with exit status 1: danger, damage, outage, waste, record; or nothing."),
        ] = "outage",
        new_since: Annotated[
            str | None,
            typer.Option(help="Only what this git revision did not have counts; what it had is counted in one line."),
        ] = None,
        as_of: Annotated[
            str | None, typer.Option(help="Judge temporary values and proofs on this date, like 2026-03-12; or today.")
        ] = None,
        no_memory: Annotated[
            bool, typer.Option("--no-memory", help="Work everything out anew; remember nothing.")
        ] = False,
        not_checked: Annotated[
            bool, typer.Option("--not-checked", help="Text: name every rule that was not checked, and why, at length.")
        ] = False,
    ) -> None:
        """Say what the controls really do with the settings, what is wrong, and what could not be checked.

        Exit status: 0 nothing at or above --stop-at; 1 findings; 2 a file could not be read or checked, or wrong usage.
        """
        from settingslint.api import FORMS, Estate, Look, Severity, parts
        from settingslint.portfolio import PORTFOLIO_FILE, control_files, is_control_file, is_control_folder
        from settingslint.workers import how_many

        forms, files = form or ["text"], list(to or [])
        for one in forms:
            if one not in FORMS:
                fail(f"--form {one}: there are {', '.join(FORMS)}")
        if len(files) > len(forms) or (len(forms) > 1 and len(files) < len(forms) - 1):
            fail("several --form need a --to each; one of them may go to the screen")
        if stop_at != "nothing" and stop_at not in set(Severity):
            fail(f"--stop-at {stop_at}: there are {', '.join(Severity)} and nothing")
        asked = paths or [Path()]
        for path in asked:
            if not path.exists():
                fail(f"{path} does not exist")
        least = None if stop_at == "nothing" else Severity(stop_at)
        if any(path.name == PORTFOLIO_FILE for path in asked):
            fail(f"{PORTFOLIO_FILE} holds for a whole portfolio and is read with every check: name its folder")
        asked = [file for path in asked for file in (control_files(path) if is_control_folder(path) else [path])]
        controls = [path for path in asked if is_control_file(path)]
        if controls and forms != ["text"]:
            fail("a control file is told in text only; check the profiles apart")
        status = max((_control(path, least) for path in controls), default=0)
        asked = [path for path in asked if path not in controls]
        if not asked:
            raise typer.Exit(status)
        estate = Estate(asked[0], day(as_of))
        with bar() as progress, git_says("--new-since"):
            report = estate.check(
                asked, new_since=new_since, remember=not no_memory, workers=how_many(), progress=progress
            )
        look = Look(screen_width(), in_colour(), not_checked)
        for index, one in enumerate(forms):
            target = files[index] if index < len(files) else None
            write(parts(one, report, look if target is None else Look(every=not_checked)), target)
        raise typer.Exit(max(status, report.exit_status(least)))


def _control(path: Path, least: Severity | None) -> int:
    """Print what a control file lacks, contradicts or can't prove, and return the exit status."""
    from settingslint.model.values import Unreadable
    from settingslint.output import Look
    from settingslint.output.control import control_text
    from settingslint.portfolio import shown
    from settingslint.starter.completeness import doubts_of

    try:
        doubts = doubts_of(path)
    except Unreadable as unread:
        print_problems(unread.problems)
        return CANNOT
    write(control_text(shown(path), doubts, Look(screen_width(), in_colour())), None)
    return int(least is not None and any(one.severity.at_least(least) for one in doubts))
