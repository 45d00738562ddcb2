"""Which state of the record a paper shows: the commit, and whether the profile has changed since."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from settingslint.files.reading import Disk
from settingslint.model.values import Unreadable

if TYPE_CHECKING:
    from settingslint.history.repository import Repository


def stamps(root: Path, paths: list[Path]) -> list[str]:
    """Return for each profile what a paper says of its state: `commit 1a2b3c4d5e`, or why there is none."""
    from settingslint.history import NoHistory

    try:
        from settingslint.history.repository import Repository

        repository = Repository(root)
    except (NoHistory, ImportError):
        return ["not under version control"] * len(paths)
    with repository:
        try:
            head = repository.commit(repository.resolve("HEAD"))
        except NoHistory:
            return ["in no commit yet"] * len(paths)
        return [_stamp(repository, head.tree, head.short, path) for path in paths]


def _stamp(repository: Repository, tree: str, short: str, path: Path) -> str:
    from settingslint.history import NoHistory
    from settingslint.history.snapshots import lines_alike

    try:
        node = repository.find(tree, repository.below(path))
        if node is None:
            return "in no commit yet"
        same = lines_alike(Disk().read(path, str(path)), repository.blob(node, str(path)))
    except (NoHistory, Unreadable):
        return f"commit {short}; whether the profile has changed since can't be told"
    return f"commit {short}" if same else f"commit {short}, with changes that are not committed"
