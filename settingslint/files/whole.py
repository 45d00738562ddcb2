"""The only place that opens what is written: in place as a whole, and only where somebody meant it.

A repository that somebody cloned may hold links that lead elsewhere, and names that are git's own. So the way to a file
is gone folder by folder without following a link, from where the user's own ground ends; nothing goes into a git folder
or over a file that this run reads; and what was there before stays until the new file is complete.
"""

from __future__ import annotations

import errno
import os
import secrets
import stat
import unicodedata
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from functools import lru_cache
from pathlib import Path
from typing import Final

from settingslint.model.source import READ
from settingslint.plain import Plain

OWN: Final = "settingslint-"
"""How the names begin of the few files that this program keeps in a git folder."""
MARKS: Final = (".git", "portfolio.toml")
"""What is below a folder that holds one of them may come from somebody else: no link there is followed."""
LINK: Final = "a symbolic link, and nothing is written through one"
_SAFE: Final = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)
_FOLDER: Final = os.O_RDONLY | getattr(os, "O_DIRECTORY", 0) | _SAFE
_CALLS: Final = (os.open, os.mkdir, os.stat, os.rename, os.unlink, os.link, os.access, os.chmod)
_BY_HANDLE: Final = os.supports_dir_fd.issuperset(_CALLS)
"""Whether this system names a file by its open folder, so that nobody can change the way to it meanwhile."""


class NotMeant(OSError):
    """A place where nothing is written; `strerror` says why, `filename` where."""


def refused(path: Path | str, why: str) -> NotMeant:
    """Return what is raised where nothing is written."""
    return NotMeant(errno.EPERM, why, str(path))


def put(
    path: Path, content: Plain | Iterable[Plain], *, root: Path | None = None, new: bool = False, edit: bool = False,
    own: bool = False, mode: int = 0o666, flush: bool = True,
) -> bool:  # fmt: skip
    """Write a text, whole or in pieces; return whether the file changed.

    Args:
        path: the file. What is there already keeps its rights.
        content: the text.
        root: the folder that the user named; it and those below it are made. None: they named the file.
        new: nothing may be there yet.
        edit: this is a new state of a file that was read, or of a TOML file.
        own: a file of this program's own, which may lie in a git folder.
        mode: rights of a new file, before the user's mask.
        flush: wait until it is on the disk; not needed for what can be made again.

    Raises:
        NotMeant: where nothing is written, with the reason.
        OSError: where it can't be written; what was there before is there still.
    """
    pieces = [_bytes(content)] if isinstance(content, str) else map(_bytes, content)
    return _put(path, pieces, root, new, edit, own, mode, flush)


def put_bytes(
    path: Path, content: bytes, *, root: Path | None = None, new: bool = False, edit: bool = False,
    own: bool = False, mode: int = 0o666, flush: bool = True, made_in: Path | None = None,
) -> bool:  # fmt: skip
    """Write what is no text of this program's own, such as a file of the user's that was edited; see `put`.

    `made_in` is a folder of this program's own in which the file is made before it is moved; beside its place where
    None, or where that is another disk.
    """
    return _put(path, [content], root, new, edit, own, mode, flush, made_in)


def may_replace(path: Path) -> None:
    """Ask whether a file would be replaced, before anything that rests on it is done.

    Raises:
        OSError: where it would not.
    """
    with _entered(path.parent, None, 0o700, False) as folder:
        _there(folder, path, new=False, edit=True)


def make_folder(path: Path) -> None:
    """Make a folder that the user named, with those above it; it may be there.

    Raises:
        NotMeant: where nothing is made, with the reason.
        OSError: where it can't be made.
    """
    with _entered(path, path, 0o777, False):
        pass


def _bytes(piece: Plain) -> bytes:
    if type(piece) is not Plain:
        raise TypeError("text that is written goes through the gate: settingslint.plain")
    return piece.encode("utf-8")


def _put(
    path: Path, pieces: Iterable[bytes], root: Path | None, new: bool, edit: bool, own: bool, mode: int, flush: bool,
    made_in: Path | None = None,
) -> bool:  # fmt: skip
    inside_git = own and path.name.startswith(OWN)
    if path.name in ("", "..") or (_is_name_of_git(path.name) and not inside_git):
        raise refused(path, "not a name that a file can have")
    try:
        with _entered(path.parent, root, mode | (mode & 0o444) >> 2, inside_git) as folder:
            old = _there(folder, path, new, edit)
            if old is None and not (new or edit or own) and path.suffix.casefold() == ".toml":
                raise refused(path, "a name for TOML, and this is none: it would be read as a profile")
            if old is not None and isinstance(pieces, list) and folder.holds(path.name, old, pieces[0]):
                return False
            if made_in is None or not folder.bring(path.name, made_in, pieces, old, mode):
                folder.write(path.name, pieces, old, new, mode, flush)
    except NotMeant:
        raise
    except OSError as error:
        raise OSError(error.errno, error.strerror, str(path)) from None
    return True


def _there(folder: _Folder, path: Path, new: bool, edit: bool) -> os.stat_result | None:
    """Return the file that is to be replaced, None where there is none.

    Raises:
        OSError: where it may not be replaced.
    """
    old = folder.status(path.name)
    if old is None:
        return None
    if new:
        raise FileExistsError(errno.EEXIST, "File exists", str(path))
    if stat.S_ISLNK(old.st_mode):
        raise refused(path, LINK)
    if stat.S_ISDIR(old.st_mode):
        raise IsADirectoryError(errno.EISDIR, "Is a directory", str(path))
    if not stat.S_ISREG(old.st_mode):
        raise refused(path, "not an ordinary file")
    if not edit and (old.st_dev, old.st_ino) in _read(len(READ)):
        raise refused(path, "this run reads that file")
    if not edit and path.suffix.casefold() == ".toml":
        raise refused(path, "a TOML file is there, and this is not one")
    if not folder.may_write(path.name):
        raise PermissionError(errno.EACCES, "Permission denied", str(path))
    return old


@lru_cache(maxsize=1)
def _read(count: int) -> frozenset[tuple[int, int]]:
    """Return what identifies the files that this run reads; there are `count` of them by now."""
    found = set()
    for path in READ:
        with suppress(OSError, ValueError):
            one = os.stat(path)
            found.add((one.st_dev, one.st_ino))
    return frozenset(found)


# the way to a folder --------------------------------------------------------------------------------------------------


@contextmanager
def _entered(path: Path, root: Path | None, mode: int, inside_git: bool) -> Iterator[_Folder]:
    """Give a folder, the way to it gone without following a link; it is made where `root` is at or above it."""
    start, names = _own_ground(path, root)
    whole = os.path.normpath(os.path.join(start, *names))
    if not inside_git and (any(map(_is_name_of_git, Path(whole).parts)) or _is_in_git(whole)):
        raise refused(path, "a folder of git's own: nothing is written there")
    folder = _Folder(start, os.open(start, _FOLDER) if _BY_HANDLE else None)
    shown = Path(start) if path.is_absolute() else Path()
    try:
        for name in names:
            shown /= name
            folder = folder.down(name, mode if root is not None else None, shown)
        yield folder
    finally:
        folder.close()


def _own_ground(path: Path, root: Path | None) -> tuple[str, tuple[str, ...]]:
    """Return the folder up to which links are followed, by its real path, and the names from there on.

    For a relative path it is the working folder; for an absolute one the first that holds one of `MARKS`, else what
    the user named.
    """
    if not path.is_absolute():
        return os.path.realpath(os.curdir), path.parts
    trusted = Path(path.anchor)
    for folder in (*reversed(path.parents), path):
        if not os.path.isdir(folder):
            break
        trusted = folder
        if folder == root or any(os.path.lexists(folder / one) for one in MARKS):
            break
    return os.path.realpath(trusted), path.relative_to(trusted).parts


def _is_name_of_git(name: str) -> bool:
    """Return whether some system takes a name for `.git`: whatever the case, with blanks, points or a stream behind it.

    >>> [_is_name_of_git(one) for one in (".git", ".GIT", ".git. ", "git~1", ".g\u200cit", ".git::$DATA", ".gitignore")]
    [True, True, True, True, True, True, False]
    """
    seen = "".join(char for char in name if unicodedata.category(char) != "Cf")
    return seen.partition(":")[0].rstrip(" .").casefold() in (".git", "git~1")


def _is_in_git(path: str) -> bool:
    """Return whether a folder is a repository's own, or of a work tree of it, whatever its name, or lies in one."""
    return any(
        os.path.lexists(folder / "HEAD")
        and (all(os.path.lexists(folder / one) for one in ("objects", "refs")) or os.path.lexists(folder / "commondir"))
        for folder in (Path(path), *Path(path).parents)
    )


class _Folder:
    """An open folder; where the system does not name files by one, its path."""

    def __init__(self, path: str, handle: int | None) -> None:
        self.path = path
        self.handle = handle

    def at(self, name: str) -> str:
        """Return how the system calls a file in it."""
        return name if self.handle is not None else os.path.join(self.path, name)

    def close(self) -> None:
        """Let go of it."""
        if self.handle is not None:
            os.close(self.handle)
            self.handle = None

    def status(self, name: str) -> os.stat_result | None:
        """Return what has a name in it, a link as the link that it is; None for nothing."""
        try:
            return os.stat(self.at(name), dir_fd=self.handle, follow_symlinks=False)
        except FileNotFoundError:
            return None

    def may_write(self, name: str) -> bool:
        """Return whether a file in it may be written."""
        return os.access(self.at(name), os.W_OK, dir_fd=self.handle)

    def down(self, name: str, mode: int | None, shown: Path) -> _Folder:
        """Return a folder in it, and close this one; with a mode it is made where it is not there."""
        if mode is not None and self.status(name) is None:
            with suppress(FileExistsError):
                os.mkdir(self.at(name), mode, dir_fd=self.handle)
        found = self.status(name)
        if found is not None and stat.S_ISLNK(found.st_mode):
            raise refused(shown, LINK)
        handle = os.open(self.at(name), _FOLDER, dir_fd=self.handle) if self.handle is not None else None
        self.close()
        return _Folder(os.path.join(self.path, name), handle)

    def holds(self, name: str, old: os.stat_result, content: bytes) -> bool:
        """Return whether a file in it has that content."""
        if old.st_size != len(content):
            return False
        try:
            with os.fdopen(os.open(self.at(name), os.O_RDONLY | _SAFE, dir_fd=self.handle), "rb") as stream:
                return stream.read() == content
        except OSError:  # it may not be read
            return False

    def write(
        self, name: str, pieces: Iterable[bytes], old: os.stat_result | None, new: bool, mode: int, flush: bool
    ) -> None:
        """Write a file beside its place, and move it there once it is whole."""
        beside = self._made(pieces, old, mode, flush)
        try:
            if new:
                self._take(beside, name)
            else:
                os.replace(self.at(beside), self.at(name), src_dir_fd=self.handle, dst_dir_fd=self.handle)
        except BaseException:
            self._drop(beside)
            raise
        if flush and self.handle is not None:
            with suppress(OSError):
                os.fsync(self.handle)

    def bring(self, name: str, made_in: Path, pieces: Iterable[bytes], old: os.stat_result | None, mode: int) -> bool:
        """Write a file in another folder and move it here; return whether both are on one disk."""
        other = _Folder(str(made_in), os.open(made_in, _FOLDER) if _BY_HANDLE else None)
        try:
            beside = other._made(pieces, old, mode, flush=True)
            try:
                os.replace(other.at(beside), self.at(name), src_dir_fd=other.handle, dst_dir_fd=self.handle)
            except BaseException as error:
                other._drop(beside)
                if isinstance(error, OSError) and error.errno == errno.EXDEV:
                    return False
                raise
            return True
        finally:
            other.close()

    def _made(self, pieces: Iterable[bytes], old: os.stat_result | None, mode: int, flush: bool) -> str:
        """Write a whole file of a name that nobody has, with the rights of the old one, and return the name."""
        name = f".{OWN}{secrets.token_hex(8)}"
        handle = os.open(self.at(name), os.O_WRONLY | os.O_CREAT | os.O_EXCL | _SAFE, mode, dir_fd=self.handle)
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.writelines(pieces)
                stream.flush()
                if flush:
                    os.fsync(handle)
            if old is not None:
                os.chmod(self.at(name), stat.S_IMODE(old.st_mode) & 0o777, dir_fd=self.handle)
        except BaseException:
            self._drop(name)
            raise
        return name

    def _drop(self, name: str) -> None:
        with suppress(OSError):
            os.unlink(self.at(name), dir_fd=self.handle)

    def _take(self, beside: str, name: str) -> None:
        """Give a file its name, unless something has it."""
        try:
            os.link(
                self.at(beside), self.at(name), src_dir_fd=self.handle, dst_dir_fd=self.handle, follow_symlinks=False
            )
        except FileExistsError:
            raise
        except (OSError, NotImplementedError):  # a disk on which a file has one name only
            if self.status(name) is not None:
                raise FileExistsError(errno.EEXIST, "File exists", name) from None
            os.replace(self.at(beside), self.at(name), src_dir_fd=self.handle, dst_dir_fd=self.handle)
        else:
            self._drop(beside)
