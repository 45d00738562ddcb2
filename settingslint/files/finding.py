"""Finding the files of a portfolio: one walk, in which nothing is passed over.

A profile is a file `*.toml` below `sites/`, or, where a portfolio has no such folder, anywhere but in `controls/`.
Each other entry is known to hold no plant (`strangers.py`), or comes with the reason why it was not read. No link to a
folder is followed: what is behind it belongs where it is.
"""

from __future__ import annotations

import os
from itertools import islice
from pathlib import Path
from typing import Final, NamedTuple

from settingslint.files import strangers
from settingslint.files.names import shown
from settingslint.files.strangers import ENDING, OF_PROGRAMS, Stranger, is_folder, like_a_profile, why_unread
from settingslint.model.source import note_read, read_bytes
from settingslint.model.toml import loads
from settingslint.model.values import Problem, Unreadable

PORTFOLIO_FILE: Final = "portfolio.toml"
CONTROLS: Final = "controls"
SITES: Final = "sites"
MOST_OUTSIDE: Final = 5000
"""So many entries are looked at in a folder that is no portfolio and in none: it may be a whole disk."""
NO_PORTFOLIO: Final = (
    f"no portfolio here, and over {MOST_OUTSIDE:,} entries: not read; name a folder with portfolio.toml or controls/"
)


class Unread(NamedTuple):
    """An entry of a portfolio's folder that may hold a plant and was not read, and why."""

    path: Path
    why: str


class Found(NamedTuple):
    """What a folder holds: profiles in the order of their paths, and what may hold more of them."""

    profiles: list[Path]
    unread: list[Unread]

    @property
    def problems(self) -> list[Problem]:
        """What was not read, as problems."""
        return [Problem(shown(one.path), 1, 1, one.why) for one in self.unread]


def root_of(path: Path) -> Path:
    """Return the portfolio's folder for a file or folder in it: the nearest parent with portfolio.toml or controls/."""
    start = path if path.is_dir() else path.parent
    for folder in (start, *start.resolve().parents):
        if (folder / PORTFOLIO_FILE).is_file() or (folder / CONTROLS).is_dir():
            return folder
    return start


def profile_files(path: Path) -> list[Path]:
    """Return the profiles below a folder, sorted; a file is itself."""
    files = [path] if not path.is_dir() else list(map(Path, _Walk(path).profiles))
    note_read(files)
    return files


def found(path: Path) -> Found:
    """Return the profiles below a folder, and each entry that may hold another; a file is itself, and nothing else."""
    if not path.is_dir():
        note_read([path])
        return Found([path], [])
    walk = _Walk(path)
    most = None if walk.left is None else MOST_OUTSIDE
    judged = ((one.entry.path, why_unread(one, most)) for one in walk.strangers)
    unread = [Unread(Path(name), why) for name, why in (*walk.unread, *judged) if why]
    note_read(walk.profiles)
    return Found(list(map(Path, walk.profiles)), unread)


def _outside(path: Path) -> bool:
    """Return whether a folder is no portfolio and in none."""
    root = root_of(path)
    return not any((root / name).exists() for name in (PORTFOLIO_FILE, CONTROLS, SITES))


class _NoPortfolio(Exception):
    """Too much lies in a folder that is no portfolio and in none."""


class _Walk:
    """One walk through a folder: every folder is listed once, and nothing is opened."""

    def __init__(self, path: Path) -> None:
        self.profiles: list[str] = []
        self.unread: list[tuple[str, str]] = []
        self.strangers: list[Stranger] = []
        self.left: int | None = MOST_OUTSIDE if _outside(path) else None
        """So many entries more are looked at, outside of a portfolio."""
        try:
            inside = self._listed(os.fspath(path))
            if root_of(path) == path:
                inside = self._at_top(inside)
            self._below(inside)
        except _NoPortfolio:
            self.profiles, self.strangers = [], []
            self.unread = [(os.fspath(path), NO_PORTFOLIO)]

    def _listed(self, folder: str) -> list[os.DirEntry[str]]:
        """Return the entries of a folder by their names; none, and a word about it, where nobody may look."""
        try:
            with os.scandir(folder) as entries:
                if self.left is None:
                    return sorted(entries, key=lambda entry: entry.name)
                listed = list(islice(entries, self.left + 1))
        except OSError as error:
            self.unread.append((folder, f"can't be looked into: {error.strerror or error}"))
            return []
        self.left -= len(listed)
        if self.left < 0:
            raise _NoPortfolio
        return sorted(listed, key=lambda entry: entry.name)

    def _at_top(self, entries: list[os.DirEntry[str]]) -> list[os.DirEntry[str]]:
        """Return those entries of a portfolio's folder that plants are looked for in."""
        others = [one for one in entries if one.name not in (CONTROLS, PORTFOLIO_FILE, *OF_PROGRAMS)]
        for one in entries:
            if one.name == CONTROLS and is_folder(one):
                self.strangers += map(Stranger, self._listed(one.path))
        sites = [one for one in others if one.name == SITES and is_folder(one, through_links=True)]
        if not sites:
            return others
        self.strangers += [Stranger(one) for one in others if one.name != SITES]
        return sites

    def _below(self, entries: list[os.DirEntry[str]]) -> None:
        """Sort out what lies where profiles belong."""
        open_ = [iter(entries)]
        while open_:
            entry = next(open_[-1], None)
            if entry is None:
                open_.pop()
                continue
            name = entry.name
            if not name.startswith(".") and is_folder(entry):
                if like_a_profile(name):
                    self.unread.append((entry.path, strangers.A_FOLDER))
                following = self._listed(entry.path)
                if strangers.is_nested(one.name for one in following):
                    self.unread.append((entry.path, strangers.NESTED))
                else:
                    open_.append(iter(following))
            elif name == PORTFOLIO_FILE:
                self.unread.append((entry.path, strangers.NOT_HERE))
            elif name.endswith(ENDING) and not name.startswith("."):
                self.profiles.append(entry.path)
            else:
                self.strangers.append(Stranger(entry, among=True))


def is_profile(name: str) -> bool:
    """Return whether a file is a profile, by its path with slashes from the portfolio's folder.

    >>> is_profile("sites/mill/boiler-1.toml"), is_profile("controls/plain.toml"), is_profile("sites/.old/b.toml")
    (True, False, False)
    """
    if not name.endswith(ENDING) or name.startswith((f"{CONTROLS}/", ".")) or "/." in name:
        return False
    return name.rpartition("/")[2] != PORTFOLIO_FILE


def is_control_folder(path: Path) -> bool:
    """Return whether a folder is the one of a portfolio's control files."""
    named = path.is_dir() and path.resolve().name == CONTROLS and not (path / PORTFOLIO_FILE).exists()
    return named and bool(control_files(path))


def control_files(folder: Path) -> list[Path]:
    """Return the control files in a folder, sorted."""
    return sorted(file for file in folder.glob("*.toml") if file.is_file())


def is_control_file(path: Path) -> bool:
    """Return whether a file is a control file: by its folder, or by what it holds."""
    if not path.is_file() or path.suffix != ".toml":
        return False
    if path.resolve().parent.name == CONTROLS:
        return True
    try:
        text = read_bytes(path, path.name).decode("utf-8")
        data = loads(text) if "[control]" in text else {}
    except (Unreadable, ValueError, RecursionError):
        return False
    return "control" in data and "plant" not in data
