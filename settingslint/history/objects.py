"""Commits and trees as git keeps them: bytes in, plain values out. Everything a commit says is untrusted text."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta, timezone
from typing import Final

from settingslint.history import NoHistory
from settingslint.model.values import one_line


class Entry:
    """Modes of what stands in a tree."""

    FOLDER: Final = 0o040000
    LINK: Final = 0o120000
    OTHER_REPOSITORY: Final = 0o160000


@dataclass(frozen=True, slots=True)
class Node:
    """One entry of a tree."""

    mode: int
    id: str

    @property
    def is_folder(self) -> bool:
        """Whether it is a tree."""
        return self.mode == Entry.FOLDER

    @property
    def is_file(self) -> bool:
        """Whether it is a regular file."""
        return self.mode & 0o170000 == 0o100000


@dataclass(frozen=True, slots=True)
class Commit:
    """One commit. `on` is the author's date where he was; all text is untrusted."""

    id: str
    tree: str
    parents: tuple[str, ...]
    author: str
    at: datetime
    message: str
    trailers: Mapping[str, str] = field(default_factory=dict)

    @property
    def on(self) -> date:
        """The author's calendar day."""
        return self.at.date()

    @property
    def short(self) -> str:
        """The first ten digits of the id."""
        return self.id[:10]

    @property
    def subject(self) -> str:
        """The first line of the message."""
        return self.message.strip().partition("\n")[0].strip()


_AUTHOR: Final = re.compile(rb"(.*?) ?<[^<>]*> ?(-?[0-9]{1,12}) ([+-])([0-9]{2})([0-9]{2})", re.DOTALL)
_TRAILER: Final = re.compile(r"([A-Za-z][A-Za-z-]{1,40}): (.*)")
_ID: Final = re.compile(rb"[0-9a-f]{40}")


def read_commit(id_: str, content: bytes, cut: bool) -> Commit:
    """Return a commit from its bytes; with `cut` its parents are not here.

    Raises:
        NoHistory: where it is none.
    """
    head, _, body = content.partition(b"\n\n")
    fields: dict[bytes, list[bytes]] = {}
    for line in head.split(b"\n"):
        key, _, value = line.partition(b" ")
        fields.setdefault(key, []).append(value)
    encoding = (fields.get(b"encoding") or [b"utf-8"])[0].decode("ascii", "replace")
    author = _AUTHOR.fullmatch((fields.get(b"author") or [b""])[0])
    trees, parents = fields.get(b"tree", []), fields.get(b"parent", [])
    if len(trees) != 1 or not all(_ID.fullmatch(one) for one in (*trees, *parents)):
        raise NoHistory(f"commit {id_[:10]} is broken")
    message = _decoded(body, encoding)
    return Commit(
        id_, trees[0].decode(), () if cut else tuple(one.decode() for one in parents),
        one_line(_decoded(author[1], encoding)) if author else "unknown", _time(author), message, trailers(message),
    )  # fmt: skip


def _decoded(content: bytes, encoding: str) -> str:
    try:
        return content.decode(encoding, "replace")
    except (LookupError, ValueError):
        return content.decode("utf-8", "replace")


def _time(author: re.Match[bytes] | None) -> datetime:
    """Return the author's time with his offset; the beginning of the epoch where it is absurd."""
    epoch = datetime(1970, 1, 1, tzinfo=timezone.utc)  # noqa: UP017
    if author is None:
        return epoch
    offset = timedelta(hours=int(author[4]), minutes=int(author[5])) * (-1 if author[3] == b"-" else 1)
    try:
        return (epoch + timedelta(seconds=int(author[2]))).astimezone(timezone(offset))
    except (ValueError, OverflowError):
        return epoch


def trailers(message: str) -> dict[str, str]:
    """Return the trailers at the end of a message; the first of a name counts.

    >>> trailers("Boiler 1\\n\\nVisit-Date: 2026-10-06\\nVisit-Step: as left\\n")
    {'Visit-Date': '2026-10-06', 'Visit-Step': 'as left'}
    """
    last = message.strip().replace("\r\n", "\n").rpartition("\n\n")[2].split("\n")
    found: dict[str, str] = {}
    for line in last:
        match = _TRAILER.fullmatch(line)
        if match is None:
            return {}
        found.setdefault(match[1], match[2].strip())
    return found


def read_tree(content: bytes) -> Iterator[tuple[str, Node]]:
    """Yield the names and entries of a tree from its bytes.

    Raises:
        NoHistory: where it is none.
    """
    at = 0
    while at < len(content):
        blank = content.find(b" ", at)
        nul = content.find(b"\0", blank)
        if blank < 0 or nul < 0 or nul + 21 > len(content) or content[at:blank].strip(b"01234567"):
            raise NoHistory("a broken tree in the repository")
        name = os.fsdecode(content[blank + 1 : nul])
        yield name, Node(int(content[at:blank] or b"0", 8), content[nul + 1 : nul + 21].hex())
        at = nul + 21
