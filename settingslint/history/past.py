"""The past of a plant for the rules that look into it: what earlier commits left. Git is opened when a rule asks."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final

from settingslint.model.profile import Profile
from settingslint.model.values import Value, kind_of
from settingslint.rules.plant import Left, Past, Plant

if TYPE_CHECKING:
    from settingslint.history.snapshots import Snapshots

STEP: Final = "Visit-Step"
REASON: Final = "Visit-Reason"
DATE: Final = "Visit-Date"
AS_FOUND: Final = "as found"
AS_LEFT: Final = "as left"
"""Trailers of the commits that a visit makes, and the two steps of a visit."""


def past_at(snapshots: Snapshots, start: str, rel: str, now: Profile) -> Past | None:
    """Return the states before the present one, oldest first; None in a shallow clone, where they may not be here.

    States at the end that are the same as the present one are the present one: it was committed already.

    Args:
        snapshots: of the portfolio.
        start: id of the commit from which to look back.
        rel: the profile's path from the portfolio's folder.
        now: the profile as it is.
    """
    from settingslint.history.snapshots import EPOCH
    from settingslint.history.walk import moments

    if snapshots.repository.cut:
        return None
    states: list[Left] = []
    visited: Value | None = None
    for moment in moments(snapshots, start, rel, EPOCH, controls=False):
        if moment.plant is None:
            continue
        profile, commit = moment.plant.profile, moment.commit
        on = profile.fact_value("visit.on")
        day = on if on != visited and isinstance(on, date) else commit.on
        visited = on
        kind = commit.trailers.get(STEP, AS_LEFT)
        typed = {name: entry.typed for name, entry in profile.settings.items() if entry.typed is not None}
        facts = {name: fact.value for name, fact in profile.facts.items()}
        states.append(Left(day, commit.author, kind, _spoken(typed, profile, now), _spoken(facts, profile, now)))
    typed = {name: entry.typed for name, entry in now.settings.items() if entry.typed is not None}
    facts = {name: fact.value for name, fact in now.facts.items()}
    while states and states[-1].kind != AS_FOUND and (states[-1].typed, states[-1].facts) == (typed, facts):
        states.pop()
    return Past(tuple(states))


def _spoken(values: Mapping[str, Value], then: Profile, now: Profile) -> dict[str, Value]:
    """Return values of another unit system as the present profile has them, where they mean the same."""
    from settingslint.history.changes import alike

    if then.system == now.system:
        return dict(values)
    spoken = dict(values)
    for name, value in values.items():
        entry, fact = now.settings.get(name), now.facts.get(name)
        present = entry.typed if entry else fact.value if fact else None
        if present is not None and alike(value, present, kind_of(name), then.system, now.system):
            spoken[name] = present
    return spoken


class Looker:
    """Looks up the past of plants of one portfolio; opens git at the first question, and only then."""

    def __init__(self, root: Path) -> None:
        self._root = root
        self._opened: tuple[Snapshots, str] | None = None
        self._none = False

    def past(self, plant: Plant) -> Past | None:
        """Return a plant's past, or None where there is no history: no repository, no commit, no git."""
        from settingslint.history.objects import NoHistory

        if self._none:
            return None
        try:
            snapshots, start = self._opened = self._opened or self._open()
            return past_at(snapshots, start, snapshots.rel(Path(plant.profile.path)), plant.profile)
        except NoHistory:
            self._none = self._opened is None
            return None

    def _open(self) -> tuple[Snapshots, str]:
        from settingslint.history.objects import NoHistory

        if not any((folder / ".git").exists() for folder in (self._root, *self._root.resolve().parents)):
            raise NoHistory("no repository")  # without the cost of importing what reads one
        try:
            from settingslint.history.repository import Repository
            from settingslint.history.snapshots import Snapshots
        except ImportError as error:  # GitPython without git
            raise NoHistory(str(error)) from None
        repository = Repository(self._root)
        return Snapshots(repository, self._root), repository.resolve("HEAD")
