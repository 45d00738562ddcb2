"""The past of a plant for the rules that look into it: what earlier commits left. Git is opened when a rule asks."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from functools import cached_property
from pathlib import Path
from time import time_ns
from typing import TYPE_CHECKING, Final

from settingslint.model.profile import Profile
from settingslint.model.values import Value, kind_of
from settingslint.rules.past import Left, Past
from settingslint.rules.plant import Plant

if TYPE_CHECKING:
    from settingslint.history.snapshots import Snapshots

STEP: Final = "Visit-Step"
REASON: Final = "Visit-Reason"
DATE: Final = "Visit-Date"
BY: Final = "Visit-By"
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
    snapshots.know(rel, now)
    states: list[Left] = []
    visited: Value | None = None
    for moment in moments(snapshots, start, rel, EPOCH, controls=False):
        if moment.plant is None:
            continue
        profile, commit = moment.plant.profile, moment.commit
        on = profile.fact_value("visit.on")
        day = on if on != visited and isinstance(on, date) and on <= commit.on else commit.on
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

    def __init__(self, root: Path, revision: str = "HEAD") -> None:
        self._root = root
        self._revision = revision
        self._opened: tuple[Snapshots, str] | None = None
        self._none = False

    def __reduce__(self) -> tuple[type[Looker], tuple[Path, str]]:
        return Looker, (self._root, self._revision)  # a copy, also in another process, opens git for itself

    @cached_property
    def id(self) -> str:
        """What identifies the whole history, read without git; empty where there is no repository."""
        folder = _git_folder(self._root)
        return "" if folder is None else _head(folder) + (" cut" if _text(_common(folder) / "shallow") else "")

    def past(self, plant: Plant) -> Past | None:
        """Return a plant's past, or None where there is no history: no repository, no commit, no git."""
        from settingslint.history import NoHistory

        try:
            snapshots, start = self._open()
            return past_at(snapshots, start, snapshots.rel(Path(plant.profile.path)), plant.profile)
        except NoHistory:
            return None

    def why_not(self) -> str:
        """Return why there is no history to look into, or an empty string where there is one."""
        from settingslint.history import NoHistory

        if not self.id:
            return "the portfolio lies in no git repository with a commit"
        try:
            snapshots, _ = self._open()
        except NoHistory as error:
            return str(error)
        return "this clone is shallow: git fetch --unshallow" if snapshots.repository.cut else ""

    def touched(self, since: str) -> frozenset[str] | None:
        """Return the files, as they are shown, that commits of one of two histories touched and not of both."""
        from settingslint.history import NoHistory

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
        from settingslint.history import NoHistory

        if self._opened is not None:
            return self._opened
        if self._none or not self.id:
            raise NoHistory("no repository")  # without the cost of importing what reads one
        self._none = True
        try:
            from settingslint.history.repository import Repository
            from settingslint.history.snapshots import Snapshots
        except ImportError as error:  # GitPython without git
            raise NoHistory(str(error)) from None
        repository = Repository(self._root)
        self._opened = Snapshots(repository, self._root), repository.resolve(self._revision)
        self._none = False
        return self._opened


ID_LENGTH: Final = 40


def _git_folder(root: Path) -> Path | None:
    """Return the folder in which git keeps the repository around a folder, or None."""
    for folder in (root.resolve(), *root.resolve().parents):
        git = folder / ".git"
        if git.is_dir():
            return git
        if git.is_file():
            return folder / _text(git).removeprefix("gitdir:").strip()
    return None


def _text(file: Path) -> str:
    try:
        return file.read_text(encoding="utf-8", errors="replace").strip()
    except OSError:
        return ""


def _common(git: Path) -> Path:
    """Return the folder that several working trees of one repository share."""
    return git / (_text(git / "commondir") or ".")


def _head(git: Path) -> str:
    """Return the id of the last commit, or what else git says of it; never the same for two different commits."""
    name = _text(git / "HEAD")
    if not name.startswith("ref: "):
        return name
    name = name.removeprefix("ref: ")
    loose = _text(_common(git) / name)
    packed = (line.partition(" ") for line in _text(_common(git) / "packed-refs").split("\n"))
    id_ = loose or next((id_ for id_, _, ref in packed if ref == name), "")
    return id_ if len(id_) == ID_LENGTH else f"unknown {time_ns()}"
