"""Plants whose path is not there any more: where one that begins elsewhere was before, by serial, or site and name."""

from __future__ import annotations

from settingslint.files.finding import is_profile
from settingslint.history import NoHistory
from settingslint.history.repository import Lost
from settingslint.history.snapshots import Identity, Snapshots


def one_plant(one: Identity, other: Identity) -> bool:
    """Return whether two profiles are of one plant: of one serial number, or else of one site and name."""
    return one[2] == other[2] if None not in (one[2], other[2]) else one[:2] == other[:2]


def gone_from(snapshots: Snapshots, start: str, rel: str, identity: Identity) -> str | None:
    """Return the path that a plant had last, where it is neither there in a commit nor its path of now; else None."""
    found = [path for path, other in _gone(snapshots, start) if path != rel and one_plant(other, identity)]
    return found[0] if found else None


def moved_from(snapshots: Snapshots, start: str, identity: Identity) -> str | None:
    """Return the path of a plant that is not committed where it lies: in a commit and not on the disk, or long gone."""
    tree = snapshots.repository.commit(start).tree
    for path, node in snapshots.profiles(tree):
        if not (snapshots.root / path).exists():
            other = snapshots.identity(path, node)
            if other is not None and one_plant(other, identity):
                return path
    return gone_from(snapshots, start, "", identity)


def _gone(snapshots: Snapshots, start: str) -> list[tuple[str, Identity]]:
    """Return the profiles that the history of a commit had and it has not, with what they were last; newest first."""
    known = snapshots.gone.get(start)
    if known is None:
        known = snapshots.gone[start] = list(reversed(_all_gone(snapshots, start)))
    return known


def _all_gone(snapshots: Snapshots, start: str) -> list[tuple[str, Identity]]:
    repository = snapshots.repository
    tree = repository.commit(start).tree
    begin = len(snapshots.prefix) + 1 if snapshots.prefix else 0
    last: dict[str, str] = {}
    for path, id_ in repository.touched_last(start):
        rel = path[begin:]
        if path.startswith(snapshots.prefix) and is_profile(rel):
            last.pop(rel, None)
            last[rel] = id_
    found = []
    for rel, id_ in last.items():
        if snapshots.node(tree, rel) is not None:
            continue
        for parent in repository.commit(id_).parents:
            try:
                identity = snapshots.identity(rel, snapshots.node(repository.commit(parent).tree, rel))
            except (Lost, NoHistory):
                continue
            if identity is not None:
                found.append((rel, identity))
                break
    return found
