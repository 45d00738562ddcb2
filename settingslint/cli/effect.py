"""`settingslint effect`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from settingslint.cli.common import CANNOT, day, fail, plant_at, screen_width, write
from settingslint.output.effect import effect_data, effect_text
from settingslint.output.plain import json_text


def register(app: typer.Typer) -> None:
    """Add the command to the application."""

    @app.command(short_help="What each setting runs at, and why; the supply line.")
    def effect(
        profile: Annotated[Path, typer.Argument(help="One boiler's profile.")],
        form: Annotated[str, typer.Option(help="text or json.")] = "text",
        as_of: Annotated[str | None, typer.Option(help="Date to judge by, like 2026-03-12; today if none.")] = None,
    ) -> None:
        """Show what each setting was set to, read back and runs at, and why; the supply line beside what is needed."""
        if form not in ("text", "json"):
            fail(f"--form {form}: there are text and json")
        plant, problems = plant_at(profile, day(as_of))
        if form == "json":
            write(json_text(effect_data(plant)), None)
        else:
            write(effect_text(plant, screen_width()), None)
        raise typer.Exit(CANNOT if problems else 0)
