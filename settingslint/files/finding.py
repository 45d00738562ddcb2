"""Finding the files of a portfolio."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path, PurePath
from typing import Final

from settingslint.model.source import read_bytes
from settingslint.model.toml import loads
from settingslint.model.values import Unreadable

PORTFOLIO_FILE: Final = "portfolio.toml"
CONTROLS: Final = "controls"


def root_of(path: Path) -> Path:
    """Return the portfolio's folder for a file or folder in it: the nearest parent with portfolio.toml or controls/."""
    start = path if path.is_dir() else path.parent
    for folder in (start, *start.resolve().parents):
        if (folder / PORTFOLIO_FILE).is_file() or (folder / CONTROLS).is_dir():
            return folder
    return start


def profile_files(path: Path) -> list[Path]:
    """Return the profiles below a folder, sorted; a file is itself."""
    if not path.is_dir():
        return [path]
    below = path / "sites" if (path / "sites").is_dir() else path
    return [file for file in map(Path, _toml_below(str(below))) if is_profile(file.relative_to(path))]


def _toml_below(folder: str) -> Iterator[str]:
    """Yield the paths of TOML files below a folder in their order; links to folders and hidden ones are passed over.

    Of a folder that can't be looked into a name is yielded that can't be read either, so that it is told.
    """
    try:
        with os.scandir(folder) as entries:
            inside = sorted(entries, key=lambda entry: entry.name)
    except OSError:
        yield os.path.join(folder, "*.toml")
        return
    for entry in inside:
        if entry.name.startswith("."):
            continue
        if entry.is_dir(follow_symlinks=False):
            yield from _toml_below(entry.path)
        elif entry.name.endswith(".toml"):
            yield entry.path


def is_profile(file: PurePath) -> bool:
    """Return whether a file is a profile, by its path from the portfolio's folder.

    >>> is_profile(PurePath("sites/mill/boiler-1.toml")), is_profile(PurePath("controls/plain.toml"))
    (True, False)
    """
    named = file.suffix == ".toml" and file.name != PORTFOLIO_FILE and file.parts[0] != CONTROLS
    return named and not any(part.startswith(".") for part in file.parts)


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
