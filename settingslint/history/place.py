"""Where the repository around a folder is; looked up in the file system alone, nothing is run.

Only a repository that a person could mean counts: the nearest `.git` at or above the folder, which git itself never
tracks. It is a folder, or it names one, as in a worktree, a submodule or a repository kept apart. A folder that merely
looks like a repository (`HEAD`, `objects`, `refs`) is none: whoever wrote the files of a work tree could have put it
there, with a configuration and hooks of their own.
"""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import Final, NamedTuple

from settingslint.history import NoHistory

DOT_GIT: Final = ".git"
NAMES: Final = "gitdir:"
"""How the file `.git` begins that names a folder."""
LARGEST: Final = 10_000
_HEAD: Final = re.compile(r"ref:\s*refs/.*|[0-9a-f]{40}|[0-9a-f]{64}")


class Place(NamedTuple):
    """A repository: top of its work tree, its own folder, and the folder that all its work trees share."""

    top: Path
    folder: Path
    common: Path


def place_of(folder: Path) -> Place | None:
    """Return the repository around a folder, or None where there is none.

    Raises:
        NoHistory: where there is a `.git` that can't be used, with the reason.
    """
    here = folder.resolve()
    for top in (here, *here.parents):
        entry = top / DOT_GIT
        if os.path.lexists(entry):
            try:
                return _opened(top, entry)
            except OSError as error:
                raise NoHistory(f"{entry} can't be read: {error.strerror or error}") from None
    return None


def _opened(top: Path, entry: Path) -> Place:
    own = _named_by(entry)
    common = (own / (text_of(own / "commondir") or ".")).resolve()
    for one in dict.fromkeys((own, common)):
        if not _meant(one, top, common):
            raise NoHistory(f"{entry} names {one}, which lies among files that anybody may have written: not opened")
    whole = (common / "objects").is_dir() and (common / "refs").is_dir()
    if not whole or not _HEAD.fullmatch(text_of(own / "HEAD")):
        raise NoHistory(f"the git repository around {top} can't be read: {entry} is none, or is broken")
    return Place(top, own, common)


def _named_by(entry: Path) -> Path:
    """Return the folder that a `.git` is or names, with all links followed."""
    if entry.is_dir():
        return entry.resolve()
    text = text_of(entry)
    if not text.startswith(NAMES):
        return entry  # neither: it will not be found whole
    return (entry.parent / text.removeprefix(NAMES).strip()).resolve()


def _meant(folder: Path, top: Path, common: Path) -> bool:
    """Return whether a repository's folder lies where the files of a work tree can't put one.

    That is below a `.git`, or outside of all work trees but its own.
    """
    if any(part.casefold() == DOT_GIT for part in folder.parts):
        return True
    if folder.is_relative_to(top):
        return False
    around = (one / DOT_GIT for one in folder.parents)
    return all(_named_by(one) in (folder, common) for one in around if os.path.lexists(one))


def text_of(file: Path) -> str:
    """Return a short text, or nothing where it can't be read."""
    try:
        with file.open("rb") as stream:
            return stream.read(LARGEST).decode("utf-8", "surrogateescape").strip()
    except OSError:
        return ""
