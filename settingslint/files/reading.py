"""Where the files of a portfolio are read from: the disk here, or one revision of a repository in `history`."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Final, Protocol

from settingslint.model.source import Source, read_bytes
from settingslint.model.values import Problem, Unreadable
from settingslint.physics.weather import Hours

DIGEST_SIZE: Final = 16
"""Bytes."""


def digest(content: bytes | memoryview) -> bytes:
    """Return what identifies a content."""
    return hashlib.blake2b(content, digest_size=DIGEST_SIZE).digest()


class Files(Protocol):
    """The few things that are asked of files. Paths are those on the disk, wherever the content comes from."""

    def read(self, path: Path, name: str) -> bytes:
        """Return the content; `name` is how messages call the file.

        Raises:
            Unreadable: where it is missing, no regular file or too large.
        """

    def exists(self, path: Path) -> bool:
        """Return whether there is such a file."""

    def controls(self, folder: Path) -> list[str]:
        """Return the names of the control files in a folder, sorted."""

    def hours(self, root: Path, name: str, source: Source) -> Hours:
        """Return the hours of the weather file that portfolio.toml names.

        Raises:
            Unreadable: where it can't be used.
        """


class Disk:
    """Files as they lie on the disk. With a root, a link that leads out of it is not followed."""

    def __init__(self, root: Path | None = None) -> None:
        self.root = root
        self._inside: dict[Path, bool] = {}

    def read(self, path: Path, name: str) -> bytes:
        """See `Files`."""
        try:
            outside = self.root is not None and not path.is_dir() and not self._below(self.root, path)
        except (OSError, RuntimeError) as error:  # a folder that may not be looked into; links in a circle
            reason = error.strerror if isinstance(error, OSError) else "a link that leads to itself"
            raise Unreadable([Problem(name, 1, 1, f"can't be read: {reason}")]) from None
        if outside:
            raise Unreadable([Problem(name, 1, 1, "a link that leads out of the portfolio: not read")])
        return read_bytes(path, name)

    def _below(self, root: Path, path: Path) -> bool:
        """Return whether a path, with links followed, is below the root; each folder is looked up once."""
        folder = path.parent
        if folder not in self._inside:
            self._inside[folder] = folder.resolve().is_relative_to(root.resolve())
        return self._inside[folder] and (not path.is_symlink() or path.resolve().is_relative_to(root.resolve()))

    def exists(self, path: Path) -> bool:
        """See `Files`."""
        try:
            return path.exists()
        except OSError:  # nobody may look: reading it tells
            return True

    def controls(self, folder: Path) -> list[str]:
        """See `Files`."""
        return sorted(one.stem for one in folder.glob("*.toml"))

    def hours(self, root: Path, name: str, source: Source) -> Hours:
        """See `Files`."""
        from settingslint.files.weather import hours_of

        return hours_of(root, name, source)
