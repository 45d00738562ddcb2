"""`settingslint check`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer
from typer.core import TyperCommand

from settingslint.cli.check_paths import STOP_AT, check_paths, paired


class _Ordered(TyperCommand):
    """Remembers in which order --form and --to were given, which the parser's values do not tell."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """See `TyperCommand`."""
        _, _, order = self.make_parser(ctx).parse_args(args=list(args))
        ctx.meta[ORDER] = [one.name for one in order if one.name in ("form", "to")]
        return super().parse_args(ctx, args)


ORDER = "settingslint.order"


def register(app: typer.Typer) -> None:
    """Add the command to the application."""

    @app.command(cls=_Ordered, short_help="What is wrong, worst first, and what to ask next.")
    def check(
        context: typer.Context,
        paths: Annotated[
            list[Path] | None,
            typer.Argument(help="Folders or profiles, or control files; none: here."),
        ] = None,
        form: Annotated[
            list[str] | None,
            typer.Option(help="text, json, sarif, junit, markdown, csv; may repeat."),
        ] = None,
        to: Annotated[list[Path] | None, typer.Option(help="Write the --form before it to this file.")] = None,
        stop_at: Annotated[
            str,
            typer.Option(help="Exit 1 from here up: danger, damage, outage, waste, record; nothing: never."),
        ] = STOP_AT,
        new_since: Annotated[
            str | None,
            typer.Option(help="Show only what is new since this git revision."),
        ] = None,
        weakening: Annotated[
            str, typer.Option(help="With --new-since: show what it weakens; stop: exit 1.", show_default=False)
        ] = "show",
        as_of: Annotated[
            str | None,
            typer.Option(help="Date to judge by, like 2026-03-12; today if none."),
        ] = None,
        no_memory: Annotated[
            bool, typer.Option("--no-memory", help="Check everything again; remember nothing.")
        ] = False,
        full: Annotated[
            bool, typer.Option("--full", help="Text: every finding with proof, caution and source.")
        ] = False,
        by: Annotated[str, typer.Option(help="Text: every finding in one line, by rule, site or plant.")] = "",
        not_checked: Annotated[
            bool, typer.Option("--not-checked", help="Text, csv: every rule that was not checked, and why.")
        ] = False,
    ) -> None:
        """Check settings: what is wrong, what to fix first, what to ask, what could not be checked.

        Exit status: 0; 1 findings from --stop-at up; 2 a file could not be checked, or wrong usage.
        """
        outputs = paired(form or [], to or [], context.meta[ORDER])
        status = check_paths(
            paths or [], outputs, stop_at, new_since, as_of, no_memory, not_checked, full, by, weakening
        )
        raise typer.Exit(status)
