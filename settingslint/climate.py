"""The weather file that a portfolio names, read once for all its plants."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from settingslint.model.source import Source
from settingslint.model.values import Unreadable

if TYPE_CHECKING:
    from settingslint.physics.weather import Hours


def hours_of(root: Path, name: str, source: Source) -> Hours:
    """Return the hours of the weather file that portfolio.toml names.

    Raises:
        Unreadable: where it can't be read.
    """
    raise Unreadable([source.problem(("climate",), f"{name}: weather files are not read yet")])
