"""`settingslint explain`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from settingslint.cli.common import fail, screen_width, write
from settingslint.output.explain import cautions, chapter, explained, listed, named, names, nearest
from settingslint.plain import in_lines
from settingslint.rules import all_rules


def register(app: typer.Typer) -> None:
    """Add the command to the application."""

    @app.command(short_help="What a rule looks for; all rules; all cautions.")
    def explain(
        rule: Annotated[
            str | None, typer.Argument(help="Name of a rule, setting or fact; none lists all rules.")
        ] = None,
        form: Annotated[str, typer.Option(help="text; or markdown: all rules as a chapter.")] = "text",
        all_names: Annotated[
            bool, typer.Option("--names", help="List all settings and facts, as a table or a mapping file names them.")
        ] = False,
        all_cautions: Annotated[bool, typer.Option("--cautions", help="Print every caution in full.")] = False,
        to: Annotated[Path | None, typer.Option(help="Write to this file.")] = None,
    ) -> None:
        """Explain a rule: what it looks for, formula, facts, an example, source and caution. Or list all rules."""
        if all_names and all_cautions:
            fail("--names or --cautions: name one")
        if form not in ("text", "markdown"):
            fail(f"--form {form}: there are text and markdown")
        if form == "markdown":
            if rule is not None:
                fail("--form markdown is about all rules: name no rule")
            write(chapter(), to)
            return
        if all_cautions:
            write(cautions(screen_width()), to)
            return
        if all_names:
            write(names(screen_width()), to)
            return
        if rule is None:
            write(listed(screen_width()), to)
            return
        one = next((one for one in all_rules() if one.name == rule), None)
        if one is None and named(rule) != rule:
            write(in_lines([named(rule)]), to)
            return
        if one is None:
            fail(f"there is no rule {rule}{nearest(rule)}")
        write(explained(one, screen_width()), to)
