"""`settingslint check`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


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
        from settingslint.cli.check_paths import check_paths

        raise typer.Exit(check_paths(paths or [], form, to, stop_at, new_since, as_of, no_memory, not_checked))
