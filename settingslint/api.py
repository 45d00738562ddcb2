"""For Python programs: open a portfolio, check it, look at one plant, compare it with the past.

The commands are made of this and of nothing else:

    from settingslint.api import Estate, render

    estate = Estate("profiles")
    report = estate.check()                             # findings and coverage of every plant
    for result in report.results:
        print(result.plant, result.worst(), len(result.not_checked))
    print(render("json", report))                       # as `settingslint check --form json`
    plant = estate.plant("profiles/sites/quay/boiler-1.toml")
    print(plant.effects["heating_setpoint"].effective)  # what it runs at, SI
    for note in estate.notes("HEAD~3..HEAD").notes:     # change notes of three commits
        print(note.path)

Values are SI: degrees Celsius, kelvin, watts, litres, seconds. What can't be read is in `problems`; nothing is printed,
and nothing is written but what is remembered for the next check, where that is asked for.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING

from settingslint.checking.check import Check, Progress
from settingslint.checking.memory import folder_for
from settingslint.checking.report import Report
from settingslint.files.finding import root_of
from settingslint.files.reader import Reader
from settingslint.history.past import Looker
from settingslint.model.values import Problem, Unreadable
from settingslint.output import FORMS, Look, parts
from settingslint.output import render as _render
from settingslint.rules.base import Severity
from settingslint.rules.plant import Plant

if TYPE_CHECKING:
    from settingslint.checking.questions import Questions
    from settingslint.history.notes import Notes
    from settingslint.history.timeline import Timeline

__all__ = ["FORMS", "Estate", "Look", "Plant", "Problem", "Report", "Severity", "Unreadable", "parts", "render"]


def render(form: str, report: Report, look: Look | None = None) -> str:
    """Return a report in one of `FORMS`; `look` is width and colour of the screen, for text.

    Raises:
        KeyError: for another form.
    """
    return _render(form, report, look or Look())


class Estate:
    """A portfolio, opened: the folder that holds portfolio.toml or `controls/`, found from any path in it."""

    def __init__(self, path: str | PathLike[str] = ".", as_of: date | None = None) -> None:
        """Open the portfolio around a path.

        Args:
            path: its folder, a folder in it or a profile.
            as_of: the date on which temporary values, acceptances and readings are judged; today where None.
        """
        self.path = Path(path)
        self.root = root_of(self.path)
        self.as_of = as_of or date.today()
        self._reader: Reader | None = None

    @property
    def reader(self) -> Reader:
        """Reads its files; made when first needed."""
        if self._reader is None:
            self._reader = Reader(self.root, self.as_of, history=Looker(self.root))
        return self._reader

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What could not be read so far of portfolio.toml, the weather file and the controls."""
        return tuple(self.reader.problems)

    def plant(self, profile: str | PathLike[str]) -> Plant:
        """Return the plant of a profile, every setting resolved.

        Raises:
            Unreadable: where the profile or its control can't be used; `problems` of it says why.
        """
        return self.reader.plant(Path(profile))

    def check(
        self,
        paths: Sequence[str | PathLike[str]] | None = None,
        *,
        new_since: str | None = None,
        remember: bool = False,
        workers: int = 1,
        progress: Progress | None = None,
        keep: dict[str, Plant] | None = None,
    ) -> Report:
        """Return what the rules say of all plants below some paths.

        Args:
            paths: folders or profiles of this portfolio; the path that it was opened with where None.
            new_since: a revision; what it had already is told apart from what is new.
            remember: use and keep results in the user's folder for such things.
            workers: processes that work at once.
            progress: told the number of plants done and of all.
            keep: filled with the plants by their path as it is shown; nothing is remembered then.

        Raises:
            NoHistory: of `settingslint.history`, where `new_since` names no commit that can be read.
        """
        asked = [Path(path) for path in paths] if paths else [self.path]
        reader = Reader(self.root, self.as_of, history=Looker(self.root))
        check = Check(reader, None, folder_for(self.root) if remember else None, workers)
        report = check.report(asked, progress, keep)
        if new_since is None:
            return report
        from settingslint.history.since import compared

        return compared(check, report, asked, new_since)

    def questions(
        self,
        paths: Sequence[str | PathLike[str]] | None = None,
        *,
        remember: bool = False,
        workers: int = 1,
        progress: Progress | None = None,
    ) -> Questions:
        """Return what to find out next about all plants below some paths, that which matters most first.

        Args:
            paths: as `check` has them, and the others too.
        """
        from settingslint.checking.questions import questions_of

        return questions_of(self.check(paths, remember=remember, workers=workers, progress=progress))

    def notes(self, revisions: str | None = None, *, worktree: bool = False) -> Notes:
        """Return the change notes between two states.

        Args:
            revisions: `REV..REV`, or one `REV` for what that commit changed; the last commit where None.
            worktree: compare the files as they are with one revision, the last commit where None.

        Raises:
            NoHistory: of `settingslint.history`, where they name no commit that can be read.
        """
        from settingslint.history.notes import notes
        from settingslint.history.repository import Repository

        with Repository(self.root) as repository:
            return notes(repository, self.root, revisions, worktree)

    def timeline(self, profile: str | PathLike[str]) -> Timeline:
        """Return every value that one plant's settings had, up to the file as it is now.

        Raises:
            NoHistory: of `settingslint.history`, where no commit has the profile.
        """
        from settingslint.history.repository import Repository
        from settingslint.history.snapshots import Snapshots
        from settingslint.history.timeline import timeline

        with Repository(self.root) as repository:
            return timeline(Snapshots(repository, self.root), Path(profile), self.as_of)
