"""What `settingslint check` does, without the parser of its options."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final

from settingslint.api import FORMS, Estate, Look, Severity, parts
from settingslint.checking.workers import how_many
from settingslint.cli.common import CANNOT, bar, day, fail, git_says, in_colour, print_problems, screen_width, write
from settingslint.files.finding import PORTFOLIO_FILE, control_files, is_control_file, is_control_folder
from settingslint.files.names import shown
from settingslint.model.values import Unreadable
from settingslint.output import BY
from settingslint.output.control import control_text
from settingslint.starter.completeness import doubts_of

FORM: Final = "text"
STOP_AT: Final = "outage"


def check_paths(
    paths: Sequence[Path],
    outputs: Sequence[tuple[str, Path | None]] = ((FORM, None),),
    stop_at: str = STOP_AT,
    new_since: str | None = None,
    as_of: str | None = None,
    no_memory: bool = False,
    not_checked: bool = False,
    full: bool = False,
    by: str = "",
    weakening: str = "show",
) -> int:
    """Check what lies at the paths, write what there is to say, and return the exit status.

    `outputs` are the forms with the file that each goes to, or None for the screen; the others as `check` has them.
    """
    forms = [form for form, _ in outputs]
    for one in forms:
        if one not in FORMS:
            fail(f"--form {one}: there are {', '.join(FORMS)}")
    if sum(file is None for _, file in outputs) > 1:
        fail("several --form: put --to FILE behind each; one of them may go to the screen")
    files = [os.path.realpath(file) for _, file in outputs if file is not None]
    if double := next((file for file in files if files.count(file) > 1), None):
        fail(f"--to {double}: two forms can't go to one file")
    if stop_at != "nothing" and stop_at not in set(Severity):
        fail(f"--stop-at {stop_at}: there are {', '.join(Severity)} and nothing")
    if by and by not in BY:
        fail(f"--by {by}: there are {', '.join(BY)}")
    if weakening not in ("show", "stop"):
        fail(f"--weakening {weakening}: there are show and stop")
    if weakening == "stop" and new_since is None:
        fail("--weakening stop needs --new-since REV")
    asked = paths or [Path()]
    for path in asked:
        if not path.exists():
            fail(f"{path} does not exist")
    least = None if stop_at == "nothing" else Severity(stop_at)
    if any(path.name == PORTFOLIO_FILE for path in asked):
        fail(f"{PORTFOLIO_FILE} is read with every check: name its folder")
    asked = [file for path in asked for file in (control_files(path) if is_control_folder(path) else [path])]
    controls = [path for path in asked if is_control_file(path)]
    if controls and forms != ["text"]:
        fail("a control file has the form text only: check it without --form, and apart from profiles")
    status = max((_control(path, least) for path in controls), default=0)
    asked = [path for path in asked if path not in controls]
    if not asked:
        return status
    estate = Estate(asked[0], day(as_of))
    with bar() as progress, git_says("--new-since"):
        report = estate.check(asked, new_since=new_since, remember=not no_memory, workers=how_many(), progress=progress)
    here = estate.root.resolve()
    narrow = all(path.resolve() != here and here in path.resolve().parents for path in asked)
    look = Look(screen_width(), in_colour(), not_checked, full, by, narrow)
    for one, target in outputs:
        write(parts(one, report, look if target is None else replace(look, width=80, colour=False)), target)
    return max(status, report.exit_status(least, weakening == "stop"))


def paired(forms: Sequence[str], files: Sequence[Path], order: Sequence[str]) -> list[tuple[str, Path | None]]:
    """Return each form with the file that was named behind it, or None where none was.

    `order` has "form" and "to" as they were given. A single form has its file in either place.
    """
    if len(forms) < 2 and len(files) < 2:
        return [(forms[0] if forms else FORM, files[0] if files else None)]
    ways, rest, made = iter(forms), iter(files), list[tuple[str, Path | None]]()
    for word in order:
        if word == "form":
            made.append((next(ways), None))
        elif made and made[-1][1] is None:
            made[-1] = made[-1][0], next(rest)
        else:
            fail(f"--to {next(rest)}: put each --to behind its --form, one for one")
    return made


def _control(path: Path, least: Severity | None) -> int:
    """Print what a control file lacks, contradicts or can't prove, and return the exit status."""
    try:
        doubts = doubts_of(path)
    except Unreadable as unread:
        print_problems(unread.problems)
        return CANNOT
    write(control_text(shown(path), doubts, Look(screen_width(), in_colour())), None)
    return int(least is not None and any(one.severity.at_least(least) for one in doubts))
