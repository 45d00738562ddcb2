"""The past of a plant for the rules that look into it: what earlier commits left. Git is opened when a rule asks."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from functools import cached_property
from pathlib import Path
from time import time_ns
from typing import TYPE_CHECKING, Final

from settingslint.history import NoHistory
from settingslint.history.place import Place, place_of, text_of
from settingslint.model.profile import Profile
from settingslint.model.values import Value, kind_of
from settingslint.rules.past import AS_FOUND, AS_LEFT, Left, Past
from settingslint.rules.plant import Plant

if TYPE_CHECKING:
    from settingslint.history.snapshots import Snapshots
    from settingslint.history.walk import Moment

STEP: Final = "Visit-Step"
REASON: Final = "Visit-Reason"
DATE: Final = "Visit-Date"
BY: Final = "Visit-By"
"""Trailers of the commits that a visit makes."""
REFUSED: Final = "not valid today"
CUT: Final = "this clone is shallow: git fetch --unshallow"


def past_at(snapshots: Snapshots, start: str, rel: str, now: Profile) -> Past:
    """Return the states before the present one, oldest first, as far back as all of them can be read.

    One that the schema of today refuses is passed over; where nothing before it can be read, or it is what a visit
    found, that is said. States at the end that are the same as the present one are the present one: it was committed
    already. In a shallow clone there are none, since they may not be here.

    Args:
        snapshots: of the portfolio.
        start: id of the commit from which to look back.
        rel: the profile's path from the portfolio's folder.
        now: the profile as it is.
    """
    from settingslint.history.snapshots import EPOCH
    from settingslint.history.walk import GONE, moments

    repository = snapshots.repository
    if repository.cut:
        return Past((), repository.lacks, CUT)
    snapshots.know(rel, now)
    identity = (now.site, now.name, now.serial)
    try:
        found = moments(snapshots, start, rel, EPOCH, controls=False, beyond=False, now=identity)
    except NoHistory as error:
        return Past((), repository.lacks, str(error))
    lost = next((one for one in found if one.lost), None)
    refused: Moment | None = None
    states: list[Left] = []
    visited: Value | None = None
    for moment in found:
        if moment.profile is None:
            # between two states that can be read it hides nothing: what it changed is seen in the next one
            if moment.problem != GONE and (not states or moment.commit.trailers.get(STEP) == AS_FOUND):
                refused = moment
            continue
        profile, commit = moment.profile, moment.commit
        on, kind = profile.fact_value("visit.on"), commit.trailers.get(STEP, AS_LEFT)
        day, person = commit.on, commit.author
        if STEP in commit.trailers:
            day, person = _day(commit.trailers.get(DATE), commit.on), commit.trailers.get(BY, person)
        elif on != visited and isinstance(on, date) and on <= commit.on:
            day, person = on, str(profile.fact_value("visit.by") or person)
        visited = on
        typed = {name: entry.typed for name, entry in profile.settings.items() if entry.typed is not None}
        facts = {name: fact.value for name, fact in profile.facts.items()}
        typed, facts = _spoken(typed, profile, now), _spoken(facts, profile, now)
        states.append(Left(day, person, kind, typed, facts, profile.settings))
    typed = {name: entry.typed for name, entry in now.settings.items() if entry.typed is not None}
    facts = {name: fact.value for name, fact in now.facts.items()}
    while states and states[-1].kind != AS_FOUND and (states[-1].typed, states[-1].facts) == (typed, facts):
        states.pop()
    if lost is not None:
        return Past(tuple(states), repository.lacks, f"in {lost.commit.short}: {lost.problem}")
    if refused is not None:
        return Past(tuple(states), REFUSED, f"in {refused.commit.short}: {refused.problem}")
    return Past(tuple(states))


def _day(text: str | None, commit: date) -> date:
    """Return the day of a visit that a commit names, where that is no later than the commit; else the commit's."""
    try:
        return min(date.fromisoformat(text or ""), commit)
    except ValueError:
        return commit


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

    def __init__(self, root: Path, revision: str = "HEAD") -> None:
        self._root = root
        self._revision = revision
        self._opened: tuple[Snapshots, str] | None = None
        self._why = ""

    def __reduce__(self) -> tuple[type[Looker], tuple[Path, str]]:
        return Looker, (self._root, self._revision)  # a copy, also in another process, opens git for itself

    @cached_property
    def id(self) -> str:
        """What identifies the whole history, read without git; empty where there is no repository."""
        try:
            place = place_of(self._root)
        except NoHistory:
            return ""
        return "" if place is None else _head(place) + (" cut" if text_of(place.common / "shallow") else "")

    def past(self, plant: Plant) -> Past | None:
        """Return a plant's past, or None where there is no history: no repository, no commit, no git."""
        try:
            snapshots, start = self._open()
            return past_at(snapshots, start, snapshots.rel(Path(plant.profile.path)), plant.profile)
        except NoHistory:
            return None

    def why_not(self) -> str:
        """Return why there is no history to look into, or an empty string where there is one."""
        try:
            if place_of(self._root) is None or not self.id:
                return "the portfolio is not in a git repository"
            snapshots, _ = self._open()
        except NoHistory as error:
            return str(error)
        return CUT if snapshots.repository.cut else ""

    def touched(self, since: str) -> frozenset[str] | None:
        """Return the files, as they are shown, that commits of one of two histories touched and not of both."""
        try:
            snapshots, start = self._open()
            repository = snapshots.repository
            if repository.cut or len(since) != ID_LENGTH:
                return None
            ids = [*repository.walk(since, start), *repository.walk(start, since)]
            paths = repository.touched_by(ids)
        except NoHistory:
            return None
        begin = len(snapshots.prefix) + 1 if snapshots.prefix else 0
        return frozenset(snapshots.shown(path[begin:]) for path in paths if path.startswith(snapshots.prefix))

    def tracked(self) -> list[str]:
        """Return the paths, from the portfolio's folder, of all that holds or may hold a plant in the last commit."""
        from settingslint.history import NoHistory

        try:
            snapshots, start = self._open()
            return list(snapshots.plants(snapshots.repository.commit(start).tree))
        except NoHistory:
            return []

    def tracked_else(self) -> list[str]:
        """Return the paths of all other files of the last commit below the portfolio's folder."""
        from settingslint.history import NoHistory

        try:
            snapshots, start = self._open()
            return list(snapshots.others(snapshots.repository.commit(start).tree))
        except NoHistory:
            return []

    def named(self, path: str) -> tuple[str, str] | None:
        """Return site and name of a profile of the last commit, or None where it can't be read."""
        from settingslint.history import NoHistory

        try:
            snapshots, start = self._open()
            node = snapshots.node(snapshots.repository.commit(start).tree, path)
            identity = snapshots.identity(path, node)
        except NoHistory:
            return None
        return identity[:2] if identity is not None else None

    def _open(self) -> tuple[Snapshots, str]:
        if self._opened is not None:
            return self._opened
        if self._why or not self.id:
            raise NoHistory(
                self._why or "the portfolio is not in a git repository"
            )  # without the cost of importing what reads one
        from settingslint.history.repository import Repository
        from settingslint.history.snapshots import Snapshots

        try:
            repository = Repository(self._root)
            self._opened = Snapshots(repository, self._root), repository.resolve(self._revision)
        except NoHistory as error:
            self._why = str(error) or "the portfolio is not in a git repository"
            raise
        return self._opened


ID_LENGTH: Final = 40


def _head(place: Place) -> str:
    """Return the id of the last commit, or what else git says of it; never the same for two different commits."""
    name = text_of(place.folder / "HEAD")
    if not name.startswith("ref: "):
        return name
    name = name.removeprefix("ref: ")
    loose = text_of(place.common / name)
    packed = (line.partition(" ") for line in _packed(place).split("\n"))
    id_ = loose or next((id_ for id_, _, ref in packed if ref == name), "")
    return id_ if len(id_) == ID_LENGTH else f"unknown {time_ns()}"


def _packed(place: Place) -> str:
    try:
        return (place.common / "packed-refs").read_text(encoding="utf-8", errors="replace")
    except OSError:
        return ""
