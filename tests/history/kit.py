"""A repository in a folder, made with plain git, so that what the tests compare with is git itself."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from tests.rules.kit import control_data, profile_data, put
from tests.strategies import text_of

ENVIRONMENT = {
    "GIT_AUTHOR_NAME": "R. Holm", "GIT_AUTHOR_EMAIL": "holm@example.org",
    "GIT_COMMITTER_NAME": "R. Holm", "GIT_COMMITTER_EMAIL": "holm@example.org",
    "GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_SYSTEM": os.devnull,
}  # fmt: skip


class Work:
    """A portfolio's folder under git; `day` is the date of the next commit and moves on by itself."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.day = 1
        folder.mkdir(parents=True, exist_ok=True)
        self.git("init", "-q", "-b", "main")
        self.git("config", "user.name", "R. Holm")
        self.git("config", "user.email", "holm@example.org")

    def git(self, *words: str, check: bool = True, **extra: str) -> str:
        """Run git and return what it prints."""
        done = subprocess.run(
            ["git", *words], cwd=self.folder, env={**os.environ, **ENVIRONMENT, **extra}, capture_output=True,
            check=False,
        )  # fmt: skip
        if check and done.returncode:
            raise AssertionError(f"git {words}: {done.stderr.decode(errors='replace')}")
        return done.stdout.decode("utf-8", "surrogateescape")

    def write(self, name: str, text: str | bytes) -> Path:
        """Write a file."""
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text.encode() if isinstance(text, str) else text)
        return path

    def commit(self, message: str = "a commit", author: str = "R. Holm") -> str:
        """Commit everything and return the id; each commit is a day later."""
        self.git("add", "-A")
        when = f"2026-{1 + self.day // 28 % 12:02d}-{1 + self.day % 28:02d}T10:00:00+01:00"
        self.day += 1
        self.git(
            "commit", "-q", "--allow-empty", "-m", message,
            GIT_AUTHOR_DATE=when, GIT_COMMITTER_DATE=when, GIT_AUTHOR_NAME=author,
        )  # fmt: skip
        return self.git("rev-parse", "HEAD").strip()

    def control(self, changes: Mapping[str, Any] | None = None, name: str = "kit", **more: Any) -> Path:
        """Write the kit's control file with changes at dotted paths."""
        data = control_data(**more)
        data["control"]["name"] = name
        put(data, changes or {})
        return self.write(f"controls/{name}.toml", text_of(data))

    def profile(
        self, name: str = "sites/mill/boiler-1.toml", changes: Mapping[str, Any] | None = None, metric: bool = False
    ) -> Path:
        """Write the kit's profile with changes at dotted paths."""
        data = profile_data(metric=metric)
        put(data, changes or {})
        return self.write(name, text_of(data))


def started(folder: Path) -> Work:
    """Return a portfolio with one control and one profile, committed."""
    work = Work(folder)
    work.write("portfolio.toml", 'format = 1\nname = "Kit"\n')
    work.control()
    work.profile()
    work.commit("first record")
    return work
