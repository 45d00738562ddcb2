"""A new portfolio in an empty folder."""

from __future__ import annotations

from datetime import date
from importlib import resources
from pathlib import Path
from typing import Final

from settingslint.model.validate import SCHEMA_NAMES, schema_text

FILES: Final = {
    "portfolio.toml": "portfolio.toml",
    "controls/my-control.toml": "control.toml",
    "sites/first-site/boiler-1.toml": "boiler.toml",
    "README.md": "README.md",
    ".ci/check": "ci.sh",
}
DAY: Final = "2026-01-01"
"""Stands for the day of the first record in the commented profile."""
IGNORED: Final = ".settingslint/\n"


class NotEmpty(Exception):
    """The folder has something in it."""


def make_folder(folder: Path) -> None:
    """Make an empty folder, or take one that is empty.

    Raises:
        NotEmpty: where something is in it.
        OSError: where it can't be made.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise NotEmpty(str(folder))
    folder.mkdir(parents=True, exist_ok=True)


def starting_files(today: date) -> dict[str, str]:
    """Return the files of a new portfolio by path, with the schemas that editors want; the first record is of today."""
    package = resources.files("settingslint.starter") / "files"
    files = {path: (package / name).read_text(encoding="utf-8") for path, name in FILES.items()}
    profile = "sites/first-site/boiler-1.toml"
    files[profile] = files[profile].replace(DAY, today.isoformat())
    files[".gitignore"] = IGNORED
    files.update({f"schemas/{name}.schema.json": schema_text(name) for name in SCHEMA_NAMES})
    return files


def write_files(folder: Path, files: dict[str, str]) -> None:
    """Write files below a folder."""
    for path, text in files.items():
        target = folder / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text(text, encoding="utf-8", newline="\n")
        if path == ".ci/check":
            target.chmod(0o755)
