"""`settingslint explain`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from settingslint.cli.common import fail, screen_width, write
from settingslint.output.explain import chapter, explained, listed, named, names, nearest
from settingslint.plain import in_lines
from settingslint.rules import all_rules


def register(app: typer.Typer) -> None:
    """Add the command to the application."""

    @app.command(short_help="What a rule looks for; or all rules.")
    def explain(
        rule: Annotated[str | None, typer.Argument(help="A rule's name, or a setting's; all rules if none.")] = None,
        form: Annotated[str, typer.Option(help="text, or markdown for a chapter on all rules.")] = "text",
        all_names: Annotated[
            bool, typer.Option("--names", help="The names of all settings and facts, as mapping files use them.")
        ] = False,
        to: Annotated[Path | None, typer.Option(help="Write to this file instead of the screen.")] = None,
    ) -> None:
        """Explain a rule: what it looks for, formula, facts, an example, source and caution. Or list all rules."""
        if form not in ("text", "markdown"):
            fail(f"--form {form}: there are text and markdown")
        if form == "markdown":
            if rule is not None:
                fail("--form markdown writes the chapter on all rules; name none")
            write(chapter(), to)
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
