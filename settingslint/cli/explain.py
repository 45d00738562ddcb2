"""`settingslint explain`."""

from __future__ import annotations

from typing import Annotated

import typer

from settingslint.cli.common import fail, screen_width, write


def register(app: typer.Typer) -> None:
    """Add the command to the application."""

    @app.command()
    def explain(rule: Annotated[str | None, typer.Argument(help="A rule's name; all of them if none.")] = None) -> None:
        """Explain a rule: what it looks for, formula, facts, an example, source and caution. Or list all rules."""
        from settingslint.output.explain import explained, listed, nearest
        from settingslint.rules import all_rules

        if rule is None:
            write(listed(screen_width()), None)
            return
        one = next((one for one in all_rules() if one.name == rule), None)
        if one is None:
            fail(f"there is no rule {rule}{nearest(rule)}")
        write(explained(one, screen_width()), None)
