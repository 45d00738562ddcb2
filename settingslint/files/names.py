"""How messages call files: by their paths from the working directory, with slashes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path


def shown(path: Path) -> str:
    """Return a path as messages show it: relative to the working directory where it is below it, with slashes."""
    try:
        return _absolute(path).relative_to(Path.cwd()).as_posix()
    except ValueError:
        return path.as_posix()


def _absolute(path: Path) -> Path:
    """Return a path by the real folder that it lies in; a link keeps its own name."""
    return path.resolve() if path.name in ("", "..") else path.parent.resolve() / path.name


def all_shown(files: Iterable[Path]) -> Iterator[tuple[Path, str]]:
    """Yield files with their paths as messages show them; each folder is looked up once."""
    folders: dict[Path, str] = {}
    for file in files:
        folder = file.parent
        if folder not in folders:
            folders[folder] = shown(folder / "x")[:-1]
        yield file, folders[folder] + file.name
