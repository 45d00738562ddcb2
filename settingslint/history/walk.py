"""What each commit did to each plant, from one commit to another or for one plant back to its beginning."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Final

from settingslint.files.finding import CONTROLS, PORTFOLIO_FILE
from settingslint.history.changes import Differences, differences
from settingslint.history.gone import gone_from, moved_from, one_plant
from settingslint.history.objects import Commit, Node
from settingslint.history.repository import Lost
from settingslint.history.snapshots import Identity, Snapshots, Step, joined
from settingslint.model.profile import Profile
from settingslint.model.values import Unreadable
from settingslint.rules.plant import Plant

OWN: Final = "its profile"


@dataclass(frozen=True, slots=True)
class Event:
    """One commit that changed one plant. `rel` is its path afterwards, `was` before; `through` the file that did it.

    `lost` says why it can't be told what it changed, where the repository does not hold it.
    """

    commit: Commit
    rel: str
    was: str | None
    differences: Differences
    through: str = OWN
    created: bool = False
    lost: str = ""


def events(snapshots: Snapshots, old: Commit | None, new: Commit, as_of: date) -> Iterator[Event]:
    """Yield what each commit after `old` up to `new` did, parents first. What changed no value is passed over.

    A merge counts with what differs from all its parents. A commit that changed the owner's numbers yields an event
    of portfolio.toml itself, without differences: it moves findings, and no value of a plant.
    """
    repository = snapshots.repository
    if old is not None and old.id == new.id:
        return
    for id_ in repository.walk(old.id if old else None, new.id, [snapshots.prefix] if snapshots.prefix else []):
        if id_ not in repository.cut:
            yield from _of_commit(snapshots, repository.commit(id_), as_of)


def _of_commit(snapshots: Snapshots, commit: Commit, as_of: date) -> Iterator[Event]:
    trees = [snapshots.repository.commit(one).tree for one in commit.parents]
    base = trees[0] if trees else None
    steps, controls, owner = snapshots.steps(base, commit.tree)
    done = set()
    for step in steps:
        rel = (step.new or step.old or ("", None))[0]
        done.add(rel)
        if _differs_from_all(snapshots, trees[1:], rel, step.new[1] if step.new else None):
            yield from _event(snapshots, commit, base, step, as_of)
    if base is None:
        return
    if owner and _differs_from_all(snapshots, trees[1:], PORTFOLIO_FILE, snapshots.node(commit.tree, PORTFOLIO_FILE)):
        yield Event(commit, PORTFOLIO_FILE, PORTFOLIO_FILE, Differences(), PORTFOLIO_FILE)
    for rel, node, control in snapshots.users(commit.tree, controls):
        name = f"{CONTROLS}/{control}.toml"
        if rel not in done and _differs_from_all(snapshots, trees[1:], name, snapshots.node(commit.tree, name)):
            yield from _event(snapshots, commit, base, Step((rel, node), (rel, node)), as_of, name)


def _differs_from_all(snapshots: Snapshots, trees: list[str], rel: str, node: Node | None) -> bool:
    return all(snapshots.node(tree, rel) != node for tree in trees)


def _event(
    snapshots: Snapshots, commit: Commit, base: str | None, step: Step, as_of: date, through: str = OWN
) -> Iterator[Event]:
    rel, was = (step.new or step.old or ("", None))[0], step.old[0] if step.old else None
    try:
        old = plant_at(snapshots, base, step.old, as_of)
        new = plant_at(snapshots, commit.tree, step.new, as_of)
    except Lost as lost:
        yield Event(commit, rel, was, Differences(), through, lost=lost.problems[0].message)
        return
    except Unreadable:
        return
    what = differences(old, new)
    if what or rel != was:
        yield Event(commit, rel, was, what, through, step.old is None)


def plant_at(snapshots: Snapshots, tree: str | None, at: tuple[str, Node] | None, as_of: date) -> Plant | None:
    """Return a plant of a tree, None where there is none.

    Raises:
        Unreadable: where it can't be used.
    """
    return None if at is None or tree is None else snapshots.plant(tree, at[0], at[1], as_of)


@dataclass(frozen=True, slots=True)
class Moment:
    """One plant as a commit left it; `plant` is None where it was gone or could not be read, `problem` says why.

    `profile` is there where it alone could be read, `lost` says that the repository does not hold it.
    """

    commit: Commit
    rel: str
    plant: Plant | None
    problem: str = ""
    profile: Profile | None = None
    lost: bool = False


GONE: Final = "the profile was not there"


def moments(
    snapshots: Snapshots,
    start: str,
    rel: str,
    as_of: date,
    controls: bool = True,
    beyond: bool = True,
    now: Identity | None = None,
) -> list[Moment]:
    """Return the states of one plant up to a commit, oldest first, followed over moves and new names.

    Args:
        snapshots: of the portfolio.
        start: id of the commit.
        rel: the profile's path from the portfolio's folder.
        as_of: the date that its plants are looked at.
        controls: also list commits that changed only its control file, and leave out what merges threw away.
        beyond: go on beyond a state that is lost; else it is the first.
        now: what the plant is on the disk, to know it again where it lies elsewhere in the commit.
    """
    repository = snapshots.repository
    found: list[Moment] = []
    known: Identity | None = None
    begin: str | None = start
    if now is not None and snapshots.node(repository.commit(start).tree, rel) is None:
        rel = moved_from(snapshots, start, now) or rel
    while begin is not None:
        here: str | None = None
        ids = (
            repository.walk(None, begin, _names(snapshots, begin, rel))
            if controls
            else repository.touching(begin, joined(snapshots.prefix, rel))
        )
        for id_ in reversed(ids):
            commit = repository.commit(id_)
            node = snapshots.node(commit.tree, rel)
            if node is None and here is None and not found:
                continue  # it is not there any more, or not yet
            if found and found[-1].problem == GONE and node is not None:
                identity = snapshots.identity(rel, node)
                if known is not None and identity is not None and not one_plant(identity, known):
                    begin = None  # another plant had this path before
                    break
            known = snapshots.identity(rel, node) or known
            if not (found and found[-1].commit.id == id_):
                found.append(_moment(snapshots, commit, rel, node, as_of))
            if found[-1].lost and not beyond:
                begin = None
                break
            here = id_
            came = _came_from(snapshots, start, commit, rel) if node is not None else None
            if came is not None:
                begin, rel = commit.parents[0], came
                break
        else:
            begin = None
    while found and found[-1].problem == GONE:
        found.pop()
    return found[::-1]


def _names(snapshots: Snapshots, start: str, rel: str) -> list[str]:
    """Return the paths that make a plant's history: its profile, and every control file that it ever named."""
    own = joined(snapshots.prefix, rel)
    controls = set()
    for id_ in snapshots.repository.walk(None, start, [own]):
        node = snapshots.node(snapshots.repository.commit(id_).tree, rel)
        if node is not None:
            try:
                controls.add(snapshots.profile(rel, node).control)
            except Unreadable:
                continue
    return [own, *(joined(snapshots.prefix, f"{CONTROLS}/{name}.toml") for name in sorted(controls))]


def _moment(snapshots: Snapshots, commit: Commit, rel: str, node: Node | None, as_of: date) -> Moment:
    if node is None:
        return Moment(commit, rel, None, GONE)
    profile = None
    try:
        profile = snapshots.profile(rel, node)
        return Moment(commit, rel, snapshots.plant(commit.tree, rel, node, as_of), profile=profile)
    except Unreadable as unread:
        return Moment(
            commit, rel, None, unread.problems[0].message, profile, profile is None and isinstance(unread, Lost)
        )


def _came_from(snapshots: Snapshots, start: str, commit: Commit, rel: str) -> str | None:
    """Return the path that a plant had before the commit in which its path begins, or None where it began there.

    Also one that was taken out in another commit than brought back.
    """
    if not commit.parents:
        return None
    base = snapshots.repository.commit(commit.parents[0]).tree
    before = snapshots.node(base, rel)
    if before is not None and snapshots.identity(rel, before) == snapshots.identity(
        rel, snapshots.node(commit.tree, rel)
    ):
        return None
    steps, _, _ = snapshots.steps(base, commit.tree)
    for step in steps:
        if step.new is not None and step.new[0] == rel and step.old is not None and step.old[0] != rel:
            return step.old[0]
    identity = snapshots.identity(rel, snapshots.node(commit.tree, rel))
    return gone_from(snapshots, start, rel, identity) if before is None and identity is not None else None
