"""A new repository around a new portfolio."""

from __future__ import annotations

from pathlib import Path


def start_repository(folder: Path) -> bool:
    """Make a git repository of a folder unless it lies in one already; return whether one was made.

    Raises:
        OSError: where git is not there or fails.
    """
    from git import InvalidGitRepositoryError, Repo
    from git.exc import GitCommandError, GitCommandNotFound

    try:
        Repo(folder, search_parent_directories=True)
    except InvalidGitRepositoryError:
        pass
    else:
        return False
    try:
        Repo.init(folder, initial_branch="main").close()
    except GitCommandNotFound:
        raise OSError("git is not on the path") from None
    except GitCommandError as error:
        raise OSError(f"git: {error}") from None
    return True
