"""A visit: what was found is compared with what was left last, and becomes two commits, as found and as left."""

from __future__ import annotations

import difflib
from collections.abc import Collection, Iterator
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import Final

from settingslint.checking.look import run
from settingslint.history import NoHistory
from settingslint.history.found_left import SAME, Compared, Left, Maker, trailer_line
from settingslint.history.objects import Commit, Node
from settingslint.history.past import BY, DATE, REASON, STEP
from settingslint.history.readings import Readings
from settingslint.history.repository import Repository
from settingslint.history.snapshots import Snapshots, joined
from settingslint.model.effect import UNKNOWN
from settingslint.model.profile import Profile, profile_from
from settingslint.model.source import parse
from settingslint.model.validate import check_schema
from settingslint.model.values import Unreadable, title_of
from settingslint.rules.entries import licensed
from settingslint.rules.numbers.settings import typed_in_other_unit
from settingslint.rules.past import AS_FOUND, AS_LEFT
from settingslint.rules.plant import Plant
from settingslint.rules.record.effect import NOT_TAKEN

ROLE: Final = "Visit-Role"
WORK_ORDER: Final = "Visit-Work-Order"
KIND: Final = "Visit-Kind"


@dataclass(frozen=True, slots=True)
class Step:
    """One commit to be made: `as found` or `as left`, the profile's text (as git holds it) and the message."""

    label: str
    text: bytes
    message: str


@dataclass(frozen=True, slots=True)
class Visit:
    """What a visit will write. `base` is the commit that it rests on, `node` the profile in it."""

    path: Path
    rel: str
    plant: Plant
    base: Commit
    branch: str
    node: Node
    old: bytes
    compared: tuple[Compared, ...]
    left: tuple[Left, ...]
    steps: tuple[Step, ...]
    on: date
    remarks: tuple[str, ...] = ()
    recorded: str | None = None
    before: bytes = field(default=b"", repr=False)
    """`recorded` is the commit that holds this very visit already, `before` the profile as it was before it."""

    def diff(self) -> str:
        """Return both commits as text diffs."""
        parts, old, label = [], self.old, "last as left"
        for step in self.steps:
            before, after = (one.decode("utf-8", "replace").splitlines() for one in (old, step.text))
            lines = difflib.unified_diff(
                before, after, f"{self.rel} ({label})", f"{self.rel} ({step.label})", lineterm=""
            )
            parts += [*lines, ""]
            old, label = step.text, step.label
        return "\n".join(parts)


def plan(repository: Repository, root: Path, path: Path, readings: Readings, today: date, by: str = "") -> Visit:
    """Return what a visit will write. Nothing is written here.

    Args:
        repository: opened around the portfolio.
        root: folder of the portfolio.
        path: the profile.
        readings: what was found and left.
        today: date of the visit where the readings name none; a later one is refused.
        by: who, where the readings do not say.

    Raises:
        NoHistory: where nothing can be committed.
        Unreadable: where the profile or the readings can't be used.
    """
    snapshots = Snapshots(repository, root)
    head = _head(repository)
    branch = repository.branch() or ""
    rel = snapshots.rel(path)
    visit = _planned(snapshots, head, rel, path, readings, today, by)
    visit = replace(visit, branch=branch)
    done = _recorded(snapshots, head, rel, visit.on)
    if done is not None:
        last, base, before = done
        again = _planned(snapshots, base, rel, path, readings, today, by)
        if again.steps and again.steps[-1].text == visit.old:
            return replace(again, branch=branch, base=head, steps=(), recorded=last.id, before=before, old=visit.old)
    return visit


def standing(repository: Repository, root: Path, path: Path, today: date) -> Plant:
    """Return the plant as the last commit has it, where a visit can be recorded on it.

    Raises:
        NoHistory: where nothing can be committed.
        Unreadable: where the profile can't be used.
    """
    snapshots = Snapshots(repository, root)
    head = _head(repository)
    rel = snapshots.rel(path)
    node, _ = profile_at(snapshots, head, rel)
    return snapshots.plant(head.tree, rel, node, today)


def _head(repository: Repository) -> Commit:
    head = repository.commit(repository.resolve("HEAD"))
    if repository.branch() is None:
        raise NoHistory("no branch is checked out (detached head): a commit would get lost; git switch BRANCH first")
    return head


def profile_at(snapshots: Snapshots, commit: Commit, rel: str) -> tuple[Node, bytes]:
    """Return a profile of a commit.

    Raises:
        NoHistory: where the commit has none there.
    """
    node = snapshots.node(commit.tree, rel)
    if node is None:
        raise NoHistory(f"{snapshots.shown(rel)} is in no commit yet: commit it first, then record visits")
    return node, snapshots.repository.blob(node, snapshots.shown(rel))


def _recorded(snapshots: Snapshots, head: Commit, rel: str, on: date) -> tuple[Commit, Commit, bytes] | None:
    """Return the profile's last commit, where it is of that visit, the one before, and the profile there."""
    repository = snapshots.repository
    ids = repository.walk(None, head.id, [joined(snapshots.prefix, rel)])
    last = repository.commit(ids[-1]) if ids else head
    if last.trailers.get(STEP) != AS_LEFT or last.trailers.get(DATE) != on.isoformat() or not last.parents:
        return None
    base = repository.commit(last.parents[0])
    if base.trailers.get(STEP) == AS_FOUND and base.trailers.get(DATE) == on.isoformat() and base.parents:
        base = repository.commit(base.parents[0])
    try:
        return last, base, profile_at(snapshots, base, rel)[1]
    except (NoHistory, Unreadable):
        return None


def _planned(
    snapshots: Snapshots, base: Commit, rel: str, path: Path, readings: Readings, today: date, by: str
) -> Visit:
    node, content = profile_at(snapshots, base, rel)
    plant = snapshots.plant(base.tree, rel, node, today)
    maker = Maker(plant, readings, today, by)
    compared, left, texts = maker.make()
    mark = b"\xef\xbb\xbf" if content.startswith(b"\xef\xbb\xbf") else b""
    steps: list[Step] = []
    old = plant.profile.source.text
    for label, text in texts:
        if text != old or steps:
            _checked(text, plant.profile.path)
            steps.append(Step(label, mark + text.encode("utf-8"), _message(maker, label, compared, left)))
            old = text
    if steps:
        after = snapshots.reader(base.tree).plant_of(_checked(old, plant.profile.path))
        maker.remarks += _warnings(after, [one.name for one in left if one.touched])
    return Visit(
        path, rel, plant, base, "", node, content, compared, left, tuple(steps), maker.on, tuple(maker.remarks)
    )


def _checked(text: str, name: str) -> Profile:
    source = parse(text.encode("utf-8"), name)
    check_schema(source, "profile")
    return profile_from(source)


def _warnings(plant: Plant, names: Collection[str]) -> Iterator[str]:
    """Yield what speaks against values that were left: the control takes them otherwise, or the unit is wrong.

    No figure is named for firing and limits.
    """
    other_unit = {draft.at: draft.message for draft in run(typed_in_other_unit, plant).drafts}
    for name in names:
        effect = plant.effects[name]
        reason = effect.reasons[-1] if effect.reasons else None
        refused = effect.state == UNKNOWN and reason is not None and reason.kind in NOT_TAKEN
        if reason is not None and (refused or effect.changed):
            does = "refuses it" if refused and reason.kind == "refused" else "runs at another value"
            text = f"left at {plant.show(name, effect.typed)}; this control {does}" if licensed(name) else reason.text
            yield f"{title_of(name)}: {text}"
        if name in other_unit:
            yield other_unit[name]


def _message(maker: Maker, label: str, compared: tuple[Compared, ...], left: tuple[Left, ...]) -> str:
    """Return the message of a commit, with trailers that nothing in the readings can forge."""
    subject = f"{trailer_line(maker.plant.profile.name)[:80]}, {trailer_line(maker.plant.profile.site)[:80]}: {label}"
    lines = list(_found_lines(compared)) if label == AS_FOUND else list(_left_lines(compared, left))
    trailers = {DATE: maker.on.isoformat(), STEP: label}
    for key, name in ((BY, "by"), (ROLE, "role"), (KIND, "kind"), (WORK_ORDER, "work_order"), (REASON, "why")):
        raw = maker.visit.get(name)
        text = trailer_line(raw["value"] if isinstance(raw, dict) else raw) if raw is not None else ""
        if text:
            trailers[key] = text
    body = "\n".join(f"- {line}" for line in lines)
    return "\n\n".join(
        part for part in (subject, body, "\n".join(f"{key}: {text}" for key, text in trailers.items())) if part
    ) + "\n"  # fmt: skip


def _found_lines(compared: tuple[Compared, ...]) -> Iterator[str]:
    for one in compared:
        if one.state != SAME:
            more = f" ({one.remark})" if one.remark else ""
            yield trailer_line(f"{title_of(one.name)}: recorded as {one.last}, found at {one.found}{more}")


def _left_lines(compared: tuple[Compared, ...], left: tuple[Left, ...]) -> Iterator[str]:
    differ = sum(one.state != SAME for one in compared)
    yield f"read before anything was touched: {len(compared)}; not as recorded: {differ}"
    for one in left:
        yield trailer_line(one.said)
