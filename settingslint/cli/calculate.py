"""`settingslint calculate`."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from settingslint.cli.common import day, fail, plant_at, say, screen_width, write
from settingslint.files.whole import put_bytes
from settingslint.model.edit import NotEditable, propose, to_propose
from settingslint.output.workout import workout_text
from settingslint.workout import calculate as work


def register(app: typer.Typer) -> None:
    """Add the command to the application."""

    @app.command(short_help="Temperatures and times from the recorded facts.")
    def calculate(
        profile: Annotated[Path, typer.Argument(help="One boiler's profile.")],
        write_it: Annotated[
            bool, typer.Option("--write", help="Propose the values in the profile: not yet set at the boiler.")
        ] = False,
        as_of: Annotated[str | None, typer.Option(help="Date to judge by, like 2026-03-12; today if none.")] = None,
    ) -> None:
        """Calculate temperatures and times from the recorded facts, with the working. Never firing or limits.

        For a fact that nobody recorded it takes the usual value and says so. What endangers people is never assumed.
        """
        date = day(as_of)
        plant, _ = plant_at(profile, date)
        workout = work(plant)
        write(workout_text(workout, plant, screen_width()), None)
        if write_it:
            changed = to_propose(plant.profile, workout.settings)
            try:
                text = propose(plant.profile, workout.settings, date, workout.usual)
                put_bytes(profile, text.encode("utf-8"), edit=True)
            except NotEditable as error:
                fail(f"can't change {profile}: {error}")
            except OSError as error:
                fail(f"can't write {error.filename or profile}: {error.strerror}")
            say(f"{len(changed)} settings proposed in {profile}: not yet set at the boiler")
