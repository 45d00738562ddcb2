"""A new repository around a new portfolio: an empty one, or one with states that were there before."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Protocol

from settingslint.files.whole import put_bytes


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
    from git import InvalidGitRepositoryError, Repo

    try:
        Repo(folder, search_parent_directories=True)
    except InvalidGitRepositoryError:
        pass
    else:
        return False
    with _faults():
        Repo.init(folder, initial_branch="main").close()
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
    from git import Actor, Repo

    with _faults():
        repository = Repo.init(folder, initial_branch="main")
        (folder / ".git" / "info").mkdir(exist_ok=True)
        (folder / ".git" / "info" / "exclude").write_text(ignored, encoding="utf-8", newline="\n")
        there: Mapping[str, bytes] = {}
        for state in states:
            changed = [path for path, content in state.files.items() if there.get(path) != content]
            for path in changed:
                put_bytes(folder / path, state.files[path], root=folder, edit=True, flush=False)
            if changed:
                repository.index.add(changed)
            who, at = Actor(state.by, state.mail), state.at
            repository.index.commit(
                state.message, author=who, committer=who, author_date=at, commit_date=at, skip_hooks=True
            )
            there = state.files
        repository.close()


@contextmanager
def _faults() -> Iterator[None]:
    """Make what git says of a failure an OSError."""
    from git.exc import GitCommandError, GitCommandNotFound

    try:
        yield
    except GitCommandNotFound:
        raise OSError("git is not on the path") from None
    except GitCommandError as error:
        from settingslint.history.repository import old_git

        raise OSError(old_git() or f"git: {error}") from None
