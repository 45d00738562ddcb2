"""`settingslint timeline`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from settingslint.api import Estate, Look
from settingslint.cli.common import CANNOT, day, fail, one_profile, screen_width, write
from settingslint.history import NoHistory
from settingslint.model.values import nearest
from settingslint.output.timeline import FORMS, render_timeline
from settingslint.vocabulary.settings import SETTINGS


def register(app: typer.Typer) -> None:
    """Add the command to the application."""

    @app.command(short_help="Which value each setting had, when, by whom and why.")
    def timeline(
        profile: Annotated[Path, typer.Argument(help="One boiler's profile; it may be gone by now.")],
        setting: Annotated[str | None, typer.Argument(help="One setting; if none, all that ever changed.")] = None,
        form: Annotated[str, typer.Option(help="text, html or json.")] = "text",
        to: Annotated[Path | None, typer.Option(help="Write to this file.")] = None,
        as_of: Annotated[str | None, typer.Option(help="Date to count to, like 2026-03-12; today if none.")] = None,
    ) -> None:
        """Say which value each setting had, from when to when, by whom and why, and which changes nobody explains."""
        if form not in FORMS:
            fail(f"--form {form}: there are {', '.join(FORMS)}")
        if setting is not None and setting not in SETTINGS:
            fail(f"unknown setting {setting}{nearest(setting, SETTINGS)}")
        one_profile(profile, must_exist=False)
        try:
            line = Estate(profile, day(as_of)).timeline(profile)
        except NoHistory as why:
            fail(str(why))
        write(render_timeline(form, line, setting, Look(screen_width())), to)
        raise typer.Exit(CANNOT if line.problems else 0)
