"""A new repository around a new portfolio: an empty one, or one with states that were there before."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Protocol

from settingslint.files.whole import put_bytes
from settingslint.history import NoHistory, git
from settingslint.history.place import place_of


class State(Protocol):
    """What one commit left: when, who, what is said, and every file as it then stood, by path with slashes."""

    @property
    def at(self) -> datetime:
        """When."""

    @property
    def by(self) -> str:
        """Who."""

    @property
    def mail(self) -> str:
        """The address of whoever it was."""

    @property
    def message(self) -> str:
        """What is said, with its trailers."""

    @property
    def files(self) -> Mapping[str, bytes]:
        """Content by path."""


def start_repository(folder: Path) -> bool:
    """Make a git repository of a folder unless it lies in one already; return whether one was made.

    Raises:
        OSError: where git is not there or fails.
    """
    with _faults():
        if place_of(folder) is not None:
            return False
        git.init(folder)
    return True


def commit_states(folder: Path, states: Sequence[State], ignored: str) -> None:
    """Make a repository in an empty folder and commit one state after the other; no hook is run.

    Args:
        folder: the folder, which is there.
        states: oldest first.
        ignored: what git shall not see there, as it reads it.

    Raises:
        OSError: where something can't be written, or git is not there or fails.
    """
    with _faults():
        git.init(folder)
        place = place_of(folder)
        assert place is not None
        (place.folder / "info").mkdir(exist_ok=True)
        (place.folder / "info" / "exclude").write_text(ignored, encoding="utf-8", newline="\n")
        person = git.Person(place)
        person.run("fast-import", "--quiet", "--date-format=raw", given=b"".join(_stream(states)))
        for state in states:
            for path, content in state.files.items():
                put_bytes(folder / path, content, root=folder, edit=True, flush=False)
        person.run("read-tree", "HEAD")
        person.run("update-index", "-q", "--refresh")


def _stream(states: Sequence[State]) -> Iterator[bytes]:
    """Yield commits as `git fast-import` reads them."""
    there: Mapping[str, bytes] = {}
    for state in states:
        when = f"{int(state.at.timestamp())} {state.at:%z}"
        yield f"commit refs/heads/main\ncommitter {state.by} <{state.mail}> {when}\n".encode()
        yield _data(state.message.encode())
        for path, content in state.files.items():
            if there.get(path) != content:
                yield f"M 100644 inline {path}\n".encode() + _data(content)
        there = state.files


def _data(content: bytes) -> bytes:
    return b"data %d\n%b\n" % (len(content), content)


@contextmanager
def _faults() -> Iterator[None]:
    """Make what git says of a failure an OSError."""
    try:
        yield
    except git.Failed as error:
        raise OSError(git.too_old() or f"git: {error}") from None
    except NoHistory as error:
        raise OSError(str(error)) from None
