"""Plants that the last commit has and that a check did not read: a problem, like a file that can't be read."""

from __future__ import annotations

import os
from collections.abc import Collection, Mapping, Sequence, Set
from pathlib import Path
from typing import Final

from settingslint.files.names import shown
from settingslint.files.reader import Reader
from settingslint.files.strangers import profile_under
from settingslint.model.values import Problem

GONE: Final = "in the last commit, and not here: put it back (git restore), or commit that it is gone"
UNDER: Final = "git tracks it and it is a profile, not read: move it to sites/ with a name in .toml, or take it out"
BEHIND: Final = "a link or a submodule in the last commit: no profile behind it was read; put the folder itself here"


def lost(
    reader: Reader, asked: Sequence[Path], read: Collection[str], plants: Set[tuple[str, str]], named: Collection[str]
) -> Mapping[str, Problem]:
    """Return a problem for each plant that git tracks below some folders and that was not read, by its path as shown.

    Under whatever name it lies there. One that moved, so that site and name were read elsewhere, is not lost, nor is
    one whose place is named already.

    Args:
        reader: of the portfolio; without history nothing is tracked.
        asked: what was named; single profiles have nothing below them.
        read: the profiles that were looked at, as they are shown.
        plants: site and name of those that were read.
        named: entries that were said not to be read, as they are shown.
    """
    history, root = reader.history, reader.root.resolve()
    folders = [path.resolve() for path in asked if path.is_dir()]
    below = tuple(f"{one.relative_to(root).as_posix()}/" for one in folders if one.is_relative_to(root) and one != root)
    everything = root in folders
    if history is None or not (below or everything):
        return {}
    start = shown(root / "x")[:-1]
    tracked = [name for name in history.tracked() if everything or name.startswith(below)]
    missing = [name for name in tracked if start + name not in read]
    told = {name.casefold() for name in named}
    problems = {}
    for name in history.tracked_else():
        here = start + name
        if not (everything or name.startswith(below)) or here in read:
            continue
        plant = profile_under(os.path.join(root, name))
        if plant is not None and plant not in plants and told.isdisjoint(map(str.casefold, (here, *_above(here)))):
            problems[here] = Problem(here, 1, 1, UNDER)
    for name in missing:
        here = start + name
        if not told.isdisjoint((here.casefold(), *map(str.casefold, _above(here)))):
            continue
        if not name.endswith(".toml"):
            if not _filled(root / name):
                problems[here] = Problem(here, 1, 1, BEHIND)
        elif history.named(name) not in plants:
            problems[here] = Problem(here, 1, 1, UNDER if profile_under(os.path.join(root, name)) else GONE)
    return problems


def _above(name: str) -> list[str]:
    """Return the folders above a file, as it is shown."""
    return [name[:at] for at, letter in enumerate(name) if letter == "/"]


def _filled(folder: Path) -> bool:
    """Return whether something is in a folder that is no link; it was walked through then."""
    try:
        return not folder.is_symlink() and any(os.scandir(folder))
    except OSError:
        return False
