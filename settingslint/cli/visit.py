"""`settingslint visit`."""

from __future__ import annotations

import shlex
import sys
from collections.abc import Callable
from datetime import date
from functools import partial
from pathlib import Path
from typing import Annotated

import typer

from settingslint.cli.common import (
    CANNOT,
    ask,
    complain,
    confirmed,
    fail,
    one_profile,
    print_problems,
    say,
    screen_width,
    write,
)
from settingslint.files.finding import root_of
from settingslint.history import NoHistory
from settingslint.history.asking import ask_readings
from settingslint.history.readings import Readings, read_readings, readings_of
from settingslint.history.repository import Repository
from settingslint.history.visit import plan, standing
from settingslint.history.writing import check, who
from settingslint.history.writing import write as commit
from settingslint.model.values import Unreadable
from settingslint.output.plain import plural
from settingslint.output.visit import drift_text, plan_text
from settingslint.plain import as_toml
from settingslint.rules.plant import Plant

HELP = """Record a visit: compare what was found with what was left last, and commit both. READINGS is a TOML file:

\b
serial, units      both optional; the serial of another boiler is refused
[visit]            on, by, role, why, kind, occasion, work_order, read_back
[found]            what the control showed first, as in heating_setpoint = 170
[left]             what was typed: { value = 164, read_back = 164, why = "..." }
[combustion.high]  and other facts, as in a profile

or a CSV with the columns setting, found, left, read back, why, until, then, watched by. The column setting has names,
the control's labels, or serial, visit.role, combustion.high.o2 and the like, with the value under left.

Give a reason where a setting changed that can hurt people or the plant.
"""


def register(app: typer.Typer) -> None:
    """Add the command to the application."""

    @app.command(help=HELP, short_help="Record a visit: as found, then as left.")
    def visit(
        profile: Annotated[Path, typer.Argument(help="One boiler's profile, committed and unchanged.")],
        readings: Annotated[
            Path | None, typer.Argument(help="TOML or CSV; - is standard input; none: the program asks.")
        ] = None,
        dry_run: Annotated[bool, typer.Option("--dry-run", help="Show both commits and write nothing.")] = False,
    ) -> None:
        one_profile(profile)
        if readings is None and not sys.stdin.isatty():
            fail("name a file of readings, or - for standard input; questions need a terminal")
        try:
            _visit(profile, readings, dry_run)
        except Unreadable as unread:
            print_problems(unread.problems)
            raise typer.Exit(CANNOT) from None
        except NoHistory as error:
            first, *more = str(error).split("\n")
            for line in more:
                complain(f"  {line}")
            fail(first)
        except typer.Abort:
            complain("nothing was written")
            raise typer.Exit(CANNOT) from None


def _visit(path: Path, file: Path | None, dry_run: bool) -> None:
    today = date.today()
    root = root_of(path)
    with Repository(root) as repository:
        by = who(repository)
        plant = standing(repository, root, path, today)
        part = partial(_keep, repository.folder, path, whole=False)
        asked = _asked(plant, today, by, part) if file is None else ""
        try:
            readings = _readings(plant, file, asked)
            if not readings.says_something:
                if file is not None:
                    fail("nothing was read: nothing is written")
                say("nothing was read: nothing is written")
                return
            made = plan(repository, root, path, readings, today, by)
            check(repository, made)
            write(drift_text(made, screen_width()), None)
            if made.recorded is not None:
                unfinished = commit(repository, made)
                _remark(unfinished)
                say(f"recorded already in {made.recorded[:10]}; nothing to add")
                raise typer.Exit(CANNOT if unfinished else 0)
            if not made.steps:
                say("the profile says all of it already: nothing to record")
                return
            if dry_run:
                write(plan_text(made), None)
                say("dry run: nothing was written")
                return
            if asked and not confirmed(f"Write {plural(len(made.steps), 'commit')}?"):
                say("nothing was written")
                _keep(repository.folder, path, asked)
                return
            ran: list[str] = []
            remarks = commit(repository, made, ran)
        except BaseException:
            _keep(repository.folder, path, asked)
            raise
        _remark(remarks)
        say(f"committed: {', then '.join(step.label for step in made.steps)}, on {made.branch}")
        for line in ran:
            say(line)
        if remarks:
            raise typer.Exit(CANNOT)
        say(f"next: settingslint check {shlex.quote(str(path))}")


def _remark(lines: list[str]) -> None:
    for line in lines:
        complain(f"note: {line}")


def _asked(plant: Plant, today: date, by: str, keep: Callable[[str], None]) -> str:
    return ask_readings(plant, ask, say, today, by, keep)


def _readings(plant: Plant, file: Path | None, asked: str) -> Readings:
    control, system = plant.control, plant.profile.system
    if file is None:
        return readings_of(asked.encode(), "answers", control, system, is_csv=False)
    if str(file) == "-":
        return readings_of(sys.stdin.buffer.read(1_000_001), "standard input", control, system)
    return read_readings(file, control, system)


def _keep(folder: Path, profile: Path, text: str, whole: bool = True) -> None:
    """Keep answers that somebody has typed and that did not become commits; `whole` if the questions came to an end."""
    if not text:
        return
    from settingslint.files.whole import put

    kept = folder / f"settingslint-readings-{profile.stem}.toml"
    try:
        put(kept, as_toml(text), own=True, edit=True)
    except OSError:
        write(as_toml(text), None)
        return
    again = shlex.join(["settingslint", "visit", str(profile), str(kept)])
    if not whole:
        complain(f"the settings answered so far are kept in {kept}; add the others there, then:")
    complain(f"your answers are kept: {again}")
