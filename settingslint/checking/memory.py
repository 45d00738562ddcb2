"""Results that are remembered from one check to the next, so that what has not changed is not worked out again.

A plant's result follows from the bytes of its profile and of its control file, from what portfolio.toml and the weather
file come to, from the date, and from this program. All of these are compared by content before a result is used again;
times of files are never looked at. What is remembered lies in the user's folder for such things, may be deleted at any
time, and is passed over where it is damaged, foreign or of another version.
"""

from __future__ import annotations

import hashlib
import io
import os
import pickle
import sys
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass, fields, is_dataclass
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any, Final
from zlib import crc32

from settingslint.checking.audit import Coverage, Result
from settingslint.checking.compact import Packed, held_together
from settingslint.files.reading import DIGEST_SIZE, digest
from settingslint.files.whole import put_bytes
from settingslint.model.profile import Acceptance
from settingslint.model.values import Problem
from settingslint.rules.base import Certainty, Draft, Finding, NotChecked, Quantity, Remedy, Severity
from settingslint.rules.plant import Context
from settingslint.rules.rule import Rule
from settingslint.rules.summary import Summary
from settingslint.units import Kind

PARTS: Final = 64
"""Files that a portfolio's memory is spread over, by the folders of its profiles: little is rewritten for a change."""
HEAD: Final = b"settingslint memory 1\n"
_KNOWN: Final[tuple[type, ...]] = (
    Result, Coverage, Problem, Finding, NotChecked, Quantity, Remedy, Draft, Summary, Packed, Acceptance, Severity,
    Certainty, Kind, date,
)  # fmt: skip
"""All that a memory may hold, beside text, numbers, lists and tables; a file that names anything else is not read."""
_CLASSES: Final[dict[tuple[str, str], Callable[..., Any]]] = {(one.__module__, one.__qualname__): one for one in _KNOWN}


@cache
def _names(kind: type) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kind))


class _Writer(pickle.Pickler):
    def reducer_override(self, thing: Any) -> Any:
        """Write a data class as its name and its values: half the size, and read twice as fast."""
        if is_dataclass(thing) and not isinstance(thing, type):
            kind = type(thing)
            return kind, tuple([getattr(thing, name) for name in _names(kind)])
        if type(thing) is Packed:
            return Packed, (thing.body,)
        return NotImplemented


class _Reader(pickle.Unpickler):
    def find_class(self, module: str, name: str) -> Any:
        """Return a class that results are made of; nothing else is ever looked up or called."""
        try:
            return _CLASSES[module, name]
        except KeyError:
            raise pickle.UnpicklingError(f"{module}.{name} is no part of a result") from None


def pack(thing: object) -> bytes:
    """Return results as bytes."""
    stream = io.BytesIO()
    _Writer(stream, pickle.HIGHEST_PROTOCOL).dump(thing)
    return stream.getvalue()


def unpack(content: bytes | memoryview) -> Any:
    """Return what was packed.

    Raises:
        pickle.UnpicklingError: where the bytes name anything that no result is made of; other errors where they are
            damaged in other ways.
    """
    return _Reader(io.BytesIO(content)).load()


def tool() -> bytes:
    """Return what identifies this program: every file of the package, Python, and the libraries that read profiles."""
    from importlib.metadata import PackageNotFoundError, version

    package = Path(__file__).parents[1]
    whole = hashlib.blake2b(sys.version.encode(), digest_size=DIGEST_SIZE)
    for library in ("jsonschema", "jsonschema-rs", "tomli"):
        with suppress(PackageNotFoundError):
            whole.update(f"{library} {version(library)}\n".encode())
    for folder in (package, package.parent / "schemas"):
        for file in sorted((*folder.rglob("*.py"), *folder.rglob("*.schema.json"))):
            whole.update(f"{file.name}\n".encode() + digest(file.read_bytes()))
    return whole.digest()


def common(context: Context, severities: dict[str, Severity], rules: Iterable[Rule]) -> bytes:
    """Return what identifies all that the plants of one check share beside their controls."""
    asked = [rule.name for rule in rules]
    return digest(repr((tool(), context, sorted(severities.items()), asked)).encode("utf-8", "surrogatepass"))


def folder_for(root: Path) -> Path:
    """Return where the memory of the portfolio in a folder lies, by the rules of the platform."""
    own = hashlib.sha256(os.fsencode(root.resolve())).hexdigest()[:20]
    return _home() / "settingslint" / own


def _home() -> Path:
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches"
    named = os.environ.get("XDG_CACHE_HOME", "")  # XDG Base Directory Specification: must be absolute, else ignored
    return Path(named) if os.path.isabs(named) else Path.home() / ".cache"


@dataclass(slots=True)
class Entry:
    """One plant's result, what it followed from, and findings about it by rules about several plants."""

    content: bytes
    control: bytes
    result: Result
    placed: list[tuple[str, Draft, Finding]]


class Memory:
    """Results by the names of their profiles; on the disk where there is a folder, else for this run only."""

    def __init__(self, shared: bytes = b"", folder: Path | None = None) -> None:
        """Open a memory.

        Args:
            shared: of `common`; what was remembered under another is of no use.
            folder: where it lies; nothing is read or written where None.
        """
        self.shared = shared
        self._folder = folder
        self._parts: dict[int, dict[str, Entry]] = {}
        self._changed: set[int] = set()
        self._followed: str | None = None

    def follow(self, history: str, touched: Callable[[str], Iterable[str] | None]) -> None:
        """Forget the results of profiles whose past is another than when they were remembered.

        Args:
            history: what identifies the history as it is.
            touched: returns the profiles whose past may differ from that at another such; None for all.
        """
        file = self._history_file()
        if file is None:
            return
        try:
            before = file.read_text(encoding="utf-8")
        except (OSError, ValueError):
            before = None
        if before == history:
            return
        names = touched(before) if before is not None else None
        with suppress(OSError):
            file.unlink(missing_ok=True)
        if names is None:
            self._parts = {number: {} for number in range(PARTS)}
        for name in names or ():
            if self._part(name).pop(name, None) is not None:
                self._changed.add(_number(name))
        self._followed = history

    def _history_file(self) -> Path | None:
        return None if self._folder is None else self._folder / "history"

    def _part(self, name: str) -> dict[str, Entry]:
        """Return the part of the memory that a profile of that name belongs to."""
        number = _number(name)
        part = self._parts.get(number)
        if part is None:
            part = self._parts[number] = self._read(number)
        return part

    def recall(self, name: str, content: bytes, control: Callable[[str], bytes | None]) -> Result | None:
        """Return the result of a profile of that name and content, or None where it is not remembered.

        Args:
            name: the profile's path as it is shown.
            content: digest of its bytes.
            control: returns the digest of a control's file by the control's name.
        """
        entry = self._part(name).get(name)
        if entry is None or entry.content != content or entry.control != control(entry.result.summary.control):
            return None
        return entry.result

    def keep(self, name: str, content: bytes, control: bytes, result: Result) -> None:
        """Remember a result."""
        self._part(name)[name] = Entry(content, control, result, [])
        self._changed.add(_number(name))

    def placed(self, name: str) -> list[tuple[str, Draft, Finding]]:
        """Return the findings about a plant that rules about several plants made last time."""
        entry = self._part(name).get(name)
        return entry.placed if entry else []

    def place(self, name: str, placed: list[tuple[str, Draft, Finding]]) -> None:
        """Remember findings about a plant by rules about several plants, in place of those of last time."""
        entry = self._part(name).get(name)
        if entry is not None and entry.placed != placed:
            entry.placed = placed
            self._changed.add(_number(name))

    def _file(self, number: int) -> Path | None:
        return None if self._folder is None else self._folder / f"{number:02d}.memory"

    def _read(self, number: int) -> dict[str, Entry]:
        file = self._file(number)
        if file is None:
            return {}
        try:
            whole = file.read_bytes()
            start = len(HEAD) + 2 * DIGEST_SIZE
            body = memoryview(whole)[start:]
            if whole[:start] != HEAD + self.shared + digest(body):
                return {}
            rows = unpack(body)
            results = held_together([result for _, _, _, result, _ in rows])
            return {
                name: Entry(content, control, result, placed)
                for (name, content, control, _, placed), result in zip(rows, results, strict=True)
            }
        except Exception:  # whatever is wrong with it: it is only a memory
            return {}

    def save(self) -> None:
        """Write what has changed; each file is whole or is not there. Where that can't be done, it is left."""
        for number in sorted(self._changed):
            file = self._file(number)
            if file is None:
                break
            part = self._parts[number].items()
            body = pack([(name, one.content, one.control, one.result, one.placed) for name, one in part])
            try:
                _write(file, HEAD + self.shared + digest(body) + body)
            except OSError:
                break
        else:
            history = self._history_file()
            if history is not None and self._followed is not None:
                with suppress(OSError):
                    _write(history, self._followed.encode("utf-8", "replace"))
        self._changed.clear()


def _number(name: str) -> int:
    return crc32(name.rpartition("/")[0].encode("utf-8", "surrogatepass")) % PARTS


def _write(file: Path, content: bytes) -> None:
    put_bytes(file, content, root=file.parent, mode=0o600, flush=False)
