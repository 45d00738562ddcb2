"""Which state of the record a paper shows: the commit, and whether the profile has changed since."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from settingslint.files.reading import Disk
from settingslint.history import NoHistory
from settingslint.model.values import Unreadable

if TYPE_CHECKING:
    from settingslint.history.objects import Commit
    from settingslint.history.snapshots import Snapshots


def stamps(root: Path, paths: list[Path]) -> list[str]:
    """Return for each profile what a paper says of its state: `commit 1a2b3c4d5e`, or why there is none."""
    from settingslint.history.repository import Repository
    from settingslint.history.snapshots import Snapshots

    try:
        repository = Repository(root)
    except NoHistory:
        return ["not under version control"] * len(paths)
    with repository:
        try:
            head = repository.commit(repository.resolve("HEAD"))
        except NoHistory:
            return ["in no commit yet"] * len(paths)
        snapshots = Snapshots(repository, root)
        return [with_lost(stamp_of(snapshots, head, path, head.short), _lost(snapshots, head, path)) for path in paths]


def with_lost(stamp: str, lost: str) -> str:
    """Return a stamp that says, where it is so, that earlier states can't be read, and why."""
    return f"{stamp}; earlier states can't be read ({lost})" if lost else stamp


def _lost(snapshots: Snapshots, head: Commit, path: Path) -> str:
    from settingslint.history.objects import Node
    from settingslint.history.past import past_at

    try:
        rel = snapshots.rel(path)
        return past_at(snapshots, head.id, rel, snapshots.profile(rel, Node(0o100644, ""))).lost
    except (NoHistory, Unreadable):
        return ""


def stamp_of(snapshots: Snapshots, head: Commit, path: Path, short: str) -> str:
    """Return a commit as a paper names it, and whether the profile is as that of `head` has it."""
    from settingslint.history.snapshots import lines_alike

    try:
        node = snapshots.node(head.tree, snapshots.rel(path))
        if node is None:
            return "in no commit yet"
        same = lines_alike(Disk().read(path, str(path)), snapshots.repository.blob(node, str(path)))
    except (NoHistory, Unreadable):
        return f"commit {short}; whether the profile has changed since can't be told"
    return f"commit {short}" if same else f"commit {short}, with changes that are not committed"
