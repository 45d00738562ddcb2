"""Change notes: what two states of the portfolio differ in, plant by plant, with who, why, meaning and duty."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from itertools import groupby
from pathlib import Path

from settingslint.checking.audit import Result, audit, unread_history
from settingslint.checking.weakening import Weakening, worst_first
from settingslint.files.finding import PORTFOLIO_FILE
from settingslint.history import NoHistory
from settingslint.history.changes import Differences, SettingChange, differences
from settingslint.history.duty import Proof, actors_of, cautions_of, classes_of, proofs_of, undo_of, watch_of
from settingslint.history.meaning import house, meanings
from settingslint.history.objects import Commit, Node
from settingslint.history.past import DATE, REASON, STEP, past_at
from settingslint.history.repository import Repository
from settingslint.history.snapshots import DISK, Snapshots
from settingslint.history.walk import Event, events
from settingslint.history.weakened import Change, gone, weakenings
from settingslint.model.values import Problem, Unreadable, Value
from settingslint.rules import all_rules
from settingslint.rules.base import Finding
from settingslint.rules.past import AS_FOUND, AS_LEFT
from settingslint.rules.plant import Plant

At = tuple[str, Node]
"""A profile's path from the portfolio's folder, and what stands there."""


@dataclass(frozen=True, slots=True)
class Touch:
    """A commit that changed this plant; `through` names its profile, or the file that moved its values."""

    commit: Commit
    through: str

    @property
    def why(self) -> str:
        """The reason of the visit, or else the first line of the message."""
        return self.commit.trailers.get(REASON) or self.commit.subject


@dataclass(frozen=True, slots=True)
class Row:
    """One changed setting. `found` is what a visit found it at, None where none was recorded.

    `touched` is false where the new value is what a visit found, and nobody set it.
    """

    change: SettingChange
    meaning: str
    cautions: tuple[str, ...]
    found: Value | None = None
    touched: bool = True


@dataclass(frozen=True, slots=True)
class Passing:
    """A setting that was changed and put back between the two states: the values it had, SI."""

    name: str
    values: tuple[Value | None, ...]
    commits: tuple[Commit, ...]


@dataclass(frozen=True, slots=True)
class Note:
    """The change note of one plant. `old` or `new` is None for a plant that came or went."""

    path: str
    moved_from: str | None
    old: Plant | None
    new: Plant | None
    touches: tuple[Touch, ...]
    differences: Differences
    rows: tuple[Row, ...]
    house: tuple[str, ...] = ()
    """What it does to the house, at most three sentences, what can hurt people first."""
    raised: tuple[Finding, ...] = ()
    cleared: tuple[Finding, ...] = ()
    unchanged: tuple[Finding, ...] = ()
    not_checked: int = 0
    assumed: int = 0
    """Rules checked with something assumed for what nobody recorded."""
    cautions: tuple[str, ...] = ()
    proofs: tuple[Proof, ...] = ()
    actors: Mapping[str, list[str]] = field(default_factory=dict)
    watch: tuple[str, ...] = ()
    undo: tuple[tuple[str, str], ...] = ()
    passing: tuple[Passing, ...] = ()

    @property
    def plant(self) -> Plant:
        """The plant as it is, or was last."""
        plant = self.new or self.old
        assert plant is not None
        return plant

    @property
    def visited(self) -> bool:
        """Whether the visit that the profile records belongs to this change."""
        return any(fact.name.startswith("visit.") for fact in self.differences.facts)


@dataclass(frozen=True, slots=True)
class Notes:
    """The notes between two states, with what could not be read and what must be said about the history."""

    old: str
    new: str
    notes: tuple[Note, ...]
    problems: tuple[Problem, ...] = ()
    remarks: tuple[str, ...] = field(default=())
    weakened: tuple[Weakening, ...] = ()
    """What the later state lets pass that the earlier did not, worst first."""


@dataclass(frozen=True, slots=True)
class Between:
    """Two states: the commits, their trees (`DISK` for the working tree), and what is to be said of them."""

    old: Commit | None
    new: Commit
    tree: str
    remarks: tuple[str, ...] = ()


def between(repository: Repository, revisions: str | None, worktree: bool) -> Between:
    """Return the two states that `REV`, `REV..REV` or nothing names.

    Raises:
        NoHistory: where they name none, or one that a shallow clone does not have.
    """
    text = revisions or "HEAD"
    first, dots, last = text.partition("..")
    if last.startswith("."):
        raise NoHistory(f"{text}: write two revisions with two dots")
    remarks = [repository.shallow] if repository.cut else []
    if worktree:
        if dots:
            raise NoHistory("--worktree compares with one revision, not with two")
        return Between(repository.commit(repository.resolve(first)), _head(repository), DISK, tuple(remarks))
    if dots:
        old, new = (repository.commit(repository.resolve(one or "HEAD")) for one in (first, last))
        if repository.walk(new.id, old.id):
            remarks.append(f"{old.short} is no ancestor of {new.short}: the two states are compared, not the way")
        return Between(old, new, new.tree, tuple(remarks))
    new = repository.commit(repository.resolve(first))
    if new.id in repository.cut:
        raise NoHistory(
            f"{new.short} is the oldest commit here, so what it changed can't be told: {repository.shallow}"
        )
    before = repository.commit(new.parents[0]) if new.parents else None
    if before is not None and before.parents and _one_visit(before, new):
        remarks.append(f"with what the visit found, commit {before.short}")
        before = repository.commit(before.parents[0])
    return Between(before, new, new.tree, tuple(remarks))


def _one_visit(found: Commit, left: Commit) -> bool:
    """Return whether two commits are what one visit found and what it left."""
    steps = (found.trailers.get(STEP), left.trailers.get(STEP))
    return steps == (AS_FOUND, AS_LEFT) and found.trailers.get(DATE) == left.trailers.get(DATE)


def _head(repository: Repository) -> Commit:
    return repository.commit(repository.resolve("HEAD"))


def notes(repository: Repository, root: Path, revisions: str | None = None, worktree: bool = False) -> Notes:
    """Return the change notes between two states of a portfolio.

    Args:
        repository: opened around the portfolio.
        root: folder of the portfolio.
        revisions: `REV..REV`, or one `REV` for what that commit changed, of a visit with what it found before; the
            last commit where None.
        worktree: compare the working tree with one revision, the last commit where None.

    Raises:
        NoHistory: where the revisions can't be told.
    """
    snapshots = Snapshots(repository, root)
    span = between(repository, revisions, worktree)
    as_of = date.today() if span.tree == DISK else span.new.on
    maker = _Maker(snapshots, span, as_of)
    made = sorted(maker.make(), key=lambda note: (note.plant.profile.site, note.plant.profile.name, note.path))
    old = span.old.short if span.old else "nothing"
    new = DISK if span.tree == DISK else span.new.short
    named = {one.file for one in maker.problems}
    lost = [one for one in maker.lost if one.file not in named]
    weakened = worst_first([*maker.weakened(), *_farewells(made, old)])
    problems = [*snapshots.reader(span.tree).problems, *maker.problems, *lost]
    unread = unread_history(maker.results.values()) if not repository.cut else ""
    remarks = (*span.remarks, unread) if unread else span.remarks
    return Notes(old, new, tuple(made), tuple(dict.fromkeys(problems)), remarks, weakened)


def _farewells(made: Sequence[Note], since: str) -> Iterator[Weakening]:
    for note in made:
        if note.new is None:
            profile = note.plant.profile
            yield gone(note.path, profile.site, profile.name, since, note.cleared)


class _Maker:
    def __init__(self, snapshots: Snapshots, span: Between, as_of: date) -> None:
        self.snapshots = snapshots
        self.span = span
        self.as_of = as_of
        self.problems: list[Problem] = []
        self.lost: list[Problem] = []
        """What can't be told of the way between the two states."""
        self.results: dict[str, Result] = {}
        self.owner: list[Event] = []
        self.base = span.old.tree if span.old else None

    def make(self) -> Iterator[Note]:
        happened: dict[str, list[Event]] = {}
        told = events(self.snapshots, self.span.old, self.span.new, self.as_of)
        for _, of_commit in groupby(told, lambda event: event.commit.id):
            every = list(of_commit)
            seen = [event for event in every if not event.lost]
            self.lost += [
                Problem(self.snapshots.shown(one.rel), 1, 1, f"in {one.commit.short}: {one.lost}")
                for one in every
                if one.lost
            ]
            # taken before any is put back: two plants may have changed places
            came = {one.rel: happened.pop(one.was, []) for one in seen if one.was not in (None, one.rel)}
            for event in seen:
                if event.rel == PORTFOLIO_FILE:
                    self.owner.append(event)
                    continue
                if event.rel in came:
                    happened[event.rel] = came.pop(event.rel)
                happened.setdefault(event.rel, []).append(event)
        steps, controls, owner = self.snapshots.steps(self.base, self.span.tree)
        done = set()
        for step in steps:
            rel = (step.new or step.old or ("", None))[0]
            done.add(rel)
            yield from self._note(step.old, step.new, happened.get(rel, []), owner)
        if self.base is None:
            return
        tree = self.span.tree
        others = (
            self.snapshots.profiles(tree)
            if owner
            else ((rel, node) for rel, node, _ in self.snapshots.users(tree, controls))
        )
        for rel, node in others:
            before = self.snapshots.node(self.base, rel)
            if rel not in done and before is not None:
                done.add(rel)
                yield from self._note((rel, before), (rel, node), happened.get(rel, []), owner)
        for rel, seen in happened.items():
            left = self.snapshots.node(self.span.tree, rel)
            before = self.snapshots.node(self.base, rel)
            if rel not in done and left is not None and before is not None:
                yield from self._note((rel, before), (rel, left), seen, owner)

    def weakened(self) -> tuple[Weakening, ...]:
        """Return what the later state lets pass; nothing where there is no earlier one."""
        if self.base is None:
            return ()
        steps, controls, owner = self.snapshots.steps(self.base, self.span.tree)
        change = Change(steps, controls, owner, self.span.tree, self.span.new.id, lambda _: True)
        then, now = (self.snapshots.reader(tree) for tree in (self.base, self.span.tree))
        return weakenings(self.snapshots, then, now, change, self.as_of)

    def _plant(self, tree: str | None, at: At | None) -> Plant | None:
        if at is None or tree is None:
            return None
        plant = self.snapshots.plant(tree, at[0], at[1], self.as_of)
        commit = self.span.old if tree == self.base and self.span.old is not None else self.span.new
        plant.look_back(lambda own: past_at(self.snapshots, commit.id, at[0], own.profile))
        return plant

    def _note(self, before: At | None, after: At | None, seen: Sequence[Event], owner: bool) -> Iterator[Note]:
        try:
            new = self._plant(self.span.tree, after)
        except Unreadable as unread:
            self.problems += unread.problems
            return
        try:
            old = self._plant(self.base, before)
        except Unreadable as unread:
            when = self.span.old.short if self.span.old else ""
            self.problems += [
                Problem(one.file, one.line, one.column, f"in {when}: {one.message}") for one in unread.problems
            ]
            return  # it would be told as a first record, and it is none
        what = differences(old, new)
        moved = before[0] if before and after and before[0] != after[0] else None
        results = [self._audit(plant) for plant in (old, new)] if what or owner else [None, None]
        raised, cleared, unchanged = _compared(*results)
        passing = tuple(_passing(seen, what))
        if not (what.physical or what.record or what.accepted or raised or cleared or moved or passing):
            return
        yield self._made(
            after or before, moved, old, new, what, seen, (raised, cleared, unchanged), results[1], passing
        )

    def _audit(self, plant: Plant | None) -> Result | None:
        if plant is None:
            return None
        severities = self.snapshots.reader(self.span.tree).portfolio.severities
        result = self.results[plant.profile.path] = audit(plant, all_rules(), severities)
        return result

    def _made(
        self,
        at: At | None,
        moved: str | None,
        old: Plant | None,
        new: Plant | None,
        what: Differences,
        seen: Sequence[Event],
        findings: tuple[tuple[Finding, ...], tuple[Finding, ...], tuple[Finding, ...]],
        result: Result | None,
        passing: tuple[Passing, ...],
    ) -> Note:
        assert at is not None
        raised, cleared, unchanged = findings
        if raised or cleared:
            seen = [*seen, *self.owner]
        says = meanings(what.settings, old, new)
        visits = [event for event in seen if event.commit.trailers.get(STEP) == AS_FOUND]
        rows = tuple(
            Row(
                change, says[change.name], tuple(classes_of(change, new)), _found(change, visits),
                _touched(change.name, seen),
            )
            for change in what.settings
        )  # fmt: skip
        both = old is not None and new is not None
        visited = any(fact.name.startswith("visit.") for fact in what.facts)
        since = _day_of_change(new, visited, seen, self.as_of)
        more = [name for finding in raised for name in finding.cautions]
        return Note(
            path=self.snapshots.shown(at[0]),
            moved_from=self.snapshots.shown(moved) if moved else None,
            old=old,
            new=new,
            touches=tuple(Touch(event.commit, event.through) for event in seen),
            differences=what,
            rows=rows,
            house=tuple(house(what.settings, old, new)),
            raised=raised,
            cleared=cleared,
            unchanged=unchanged,
            not_checked=len(result.not_checked) if result else 0,
            assumed=len(result.assumed) if result else 0,
            cautions=tuple(cautions_of(what.settings if both else (), what.facts if both else (), more, new)),
            proofs=tuple(proofs_of(what.settings, new, since, visited)) if new is not None and old is not None else (),
            actors=actors_of(what.settings, new) if both else {},
            watch=tuple(watch_of(what.settings, new)) if both else (),
            undo=tuple(undo_of(what.settings, cleared, old, new)),
            passing=passing,
        )


def _day_of_change(new: Plant | None, visited: bool, seen: Sequence[Event], as_of: date) -> date:
    """Return the day from which proofs count: of the visit where there was one, else of the last commit."""
    on = new.profile.fact_value("visit.on") if new is not None and visited else None
    if isinstance(on, date):
        return on
    return max((event.commit.on for event in seen), default=as_of)


def _found(change: SettingChange, visits: Sequence[Event]) -> Value | None:
    """Return what the last visit found a setting at: what it was left at, unless an *as found* says otherwise."""
    found = change.typed[0] if visits else None
    for event in visits:
        for one in event.differences.settings:
            if one.name == change.name:
                found = one.typed[1] if one.typed[1] is not None else one.effective[1]
    return found


def _touched(name: str, seen: Sequence[Event]) -> bool:
    """Return whether somebody set a setting: the last commit that changed its value is not what a visit found."""
    own = [event for event in seen if any(one.name == name for one in event.differences.settings)]
    return not own or own[-1].commit.trailers.get(STEP) != AS_FOUND


def _passing(seen: Sequence[Event], what: Differences) -> Iterator[Passing]:
    """Yield the settings that were changed and put back."""
    net = {change.name for change in what.settings}
    values: dict[str, list[Value | None]] = {}
    commits: dict[str, list[Commit]] = {}
    for event in seen:
        if event.created:
            continue
        for change in event.differences.settings:
            if change.name not in net:
                values.setdefault(change.name, [change.typed[0]]).append(change.typed[1])
                commits.setdefault(change.name, []).append(event.commit)
    for name, had in values.items():
        if len(had) > 2:
            yield Passing(name, tuple(had), tuple(commits[name]))


_Findings = tuple[Finding, ...]


def _compared(old: Result | None, new: Result | None) -> tuple[_Findings, _Findings, _Findings]:
    """Return the findings that are new, gone and still there."""
    before = {(one.rule, one.at): one for one in (old.findings if old else ())}
    after = {(one.rule, one.at): one for one in (new.findings if new else ())}
    return (
        tuple(one for key, one in after.items() if key not in before),
        tuple(one for key, one in before.items() if key not in after),
        tuple(one for key, one in after.items() if key in before),
    )
