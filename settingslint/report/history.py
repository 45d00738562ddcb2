"""What git adds to the pages: the commit of each plant, its timeline, since when its findings stand, what drifted."""

from __future__ import annotations

import itertools
import os
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Final

from settingslint.rules.base import Finding
from settingslint.rules.past import Past
from settingslint.rules.plant import Plant

if TYPE_CHECKING:
    from settingslint.history.snapshots import Snapshots
    from settingslint.history.timeline import Stretch, Timeline
    from settingslint.history.walk import Moment
    from settingslint.rules.rule import Rule

NONE: Final = "no history"
Key = tuple[str, str]
"""A finding's rule, and what it is about."""
Since = tuple[str, str]
"""The day from which a finding stands, and the number of days; or why that is not known, and nothing."""


@dataclass(frozen=True, slots=True)
class Told:
    """What git knows of one plant. Without a repository, or where no commit has the plant, `line` is None.

    `stamp` says which state of the record the page shows; `since` from when the findings stand that were asked for,
    and for how many days.
    """

    stamp: str = ""
    line: Timeline | None = None
    since: Mapping[Key, Since] = field(default_factory=dict)


class History:
    """Looks into the past of the plants of one portfolio. A process that was forked opens git for itself."""

    def __init__(self, root: Path | None = None, as_of: date | None = None, commit: str = "") -> None:
        """Name the portfolio; without one there is no past."""
        self._root = root
        self._as_of = as_of or date.today()
        self.commit = commit
        self._opened: tuple[int, Snapshots, str] | None = None

    def close(self) -> None:
        """End what this process opened."""
        if self._opened is not None and self._opened[0] == os.getpid():
            self._opened[1].repository.__exit__(None, None, None)
        self._opened = None

    def past(self, plant: Plant, findings: Sequence[Finding] = ()) -> Told:
        """Return what git knows of a plant, and since when some of its findings stand."""
        if self._root is None:
            return Told()
        from settingslint.history import NoHistory
        from settingslint.history.timeline import timeline

        try:
            snapshots, head = self._open()
            path = Path(plant.profile.path)
            rel = snapshots.rel(path)
            stamp = _stamp(snapshots, head, rel)
            plant.look_back(partial(_past_of, snapshots, head, rel))
            line = timeline(snapshots, path, self._as_of)
            return Told(stamp, line, self._since(plant, findings, snapshots, head, rel) if findings else {})
        except NoHistory as error:
            return Told(str(error))

    def _open(self) -> tuple[Snapshots, str]:
        from settingslint.history.repository import Repository
        from settingslint.history.snapshots import Snapshots

        if self._opened is None or self._opened[0] != os.getpid():
            assert self._root is not None
            repository = Repository(self._root)
            self._opened = os.getpid(), Snapshots(repository, self._root), repository.resolve("HEAD")
        return self._opened[1:]

    def _since(
        self, plant: Plant, findings: Sequence[Finding], snapshots: Snapshots, head: str, rel: str
    ) -> dict[Key, Since]:
        from settingslint.history.walk import moments

        states = list(_states(moments(snapshots, head, rel, self._as_of), plant, snapshots, self._as_of))
        return {(one.rule, one.at): _words(states, one, self._as_of) for one in findings}


@contextmanager
def history_of(root: Path, as_of: date) -> Iterator[History]:
    """Yield what git adds to the pages of a portfolio; nothing where it lies in no repository with a commit."""
    from settingslint.history import NoHistory

    try:
        from settingslint.history.repository import Repository

        with Repository(root) as repository:
            head = repository.commit(repository.resolve("HEAD"))
    except NoHistory:
        yield History()
        return
    history = History(root, as_of, head.short)
    try:
        yield history
    finally:
        history.close()


def _stamp(snapshots: Snapshots, head: str, rel: str) -> str:
    """Return the last commit that touched a profile, and whether the file is as that one left it."""
    from settingslint.history.snapshots import joined
    from settingslint.history.stamp import stamp_of

    repository = snapshots.repository
    ids = repository.touching(head, joined(snapshots.prefix, rel))
    if not ids:
        return "in no commit yet"
    return stamp_of(snapshots, repository.commit(head), snapshots.root / rel, repository.commit(ids[-1]).short)


# since when -----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _State:
    """A plant from one day to another; None where it could not be read."""

    begin: date
    end: date
    plant: Plant | None

    def has(self, finding: Finding, on: date) -> bool:
        """Return whether a rule finds the same of this state on a day."""
        from settingslint.checking.look import run

        return self.plant is not None and any(
            draft.at == finding.at for draft in run(_rule(finding.rule), self.plant.on(on)).drafts
        )


def _rule(name: str) -> Rule:
    from settingslint.rules import all_rules

    return next(rule for rule in all_rules() if rule.name == name)


def _past_of(snapshots: Snapshots, commit: str, rel: str, plant: Plant) -> Past | None:
    from settingslint.history.past import past_at

    return past_at(snapshots, commit, rel, plant.profile)


def _states(found: Sequence[Moment], plant: Plant, snapshots: Snapshots, as_of: date) -> Iterator[_State]:
    """Yield the states of a plant, oldest first; the last is the plant as it is."""

    for index, moment in enumerate(found):
        begin = min(moment.commit.on, as_of)
        if index == len(found) - 1:
            changed = moment.plant is None or moment.plant.profile.settings != plant.profile.settings
            if changed:
                yield _State(begin, as_of, moment.plant)
            yield _State(as_of if changed else begin, as_of, plant)
            return
        then = moment.plant
        if then is not None:
            then.look_back(partial(_past_of, snapshots, moment.commit.id, moment.rel))
        yield _State(begin, max(begin, min(found[index + 1].commit.on, as_of)), then)


def first_day(states: Sequence[_State], finding: Finding) -> date | None:
    """Return the day from which a finding stands without a break; None where no state has it today."""
    first: date | None = None
    for state in reversed(states):
        if not state.has(finding, state.end):
            break
        if state.has(finding, state.begin):
            first = state.begin
            continue
        without, having = state.begin, state.end  # time brought it: look for the day
        while (having - without).days > 1:
            middle = without + timedelta(days=(having - without).days // 2)
            without, having = (without, middle) if state.has(finding, middle) else (middle, having)
        return having
    return first


def _words(states: Sequence[_State], finding: Finding, as_of: date) -> Since:
    if _rule(finding.rule).scope != "plant":
        return "not looked up: about several plants", ""
    first = first_day(states, finding)
    if first is None:
        return "not told by the history", ""
    oldest = ", the first record" if first == states[0].begin else ""
    if any(state.plant is None and state.end == first for state in states):
        oldest = " or earlier"  # what was before can't be read
    return f"{first}{oldest}", str((as_of - first).days)


# what a timeline says for the tables of the portfolio -----------------------------------------------------------------


def drift(line: Timeline) -> list[tuple[str, Stretch, Stretch, Stretch | None]]:
    """Return setting, as left, as found otherwise, and as left then (None where it stayed as found); latest first."""
    found = [
        (name, before, one, next(iter(stretches[index + 2 :]), None))
        for name, stretches in line.settings.items()
        for index, (before, one) in enumerate(itertools.pairwise(stretches))
        if one.found
    ]
    return sorted(found, key=lambda each: each[2].begin, reverse=True)


def firing_changed(line: Timeline) -> date | None:
    """Return the day of the last change of a firing setting; None where the history has none."""
    from settingslint.vocabulary.settings import FIRING

    days = [one.begin for name, all_ in line.settings.items() if name in FIRING for one in all_[1:] if not one.through]
    return max(days, default=None)
