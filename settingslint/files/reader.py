"""Reading one portfolio: portfolio.toml at once, its controls once each, its profiles as they are asked for."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Protocol

from settingslint.files.finding import CONTROLS
from settingslint.files.names import shown
from settingslint.files.portfolio import portfolio_of
from settingslint.files.reading import Disk, Files, digest
from settingslint.model.control import Control
from settingslint.model.control_file import control_from
from settingslint.model.profile import Profile, profile_from
from settingslint.model.source import parse
from settingslint.model.validate import check_schema
from settingslint.model.values import Unreadable, nearest
from settingslint.rules.past import Past
from settingslint.rules.plant import Plant


class History(Protocol):
    """Where the past of plants is looked up; `settingslint.history.past` has it. Opened when a rule first asks."""

    @property
    def id(self) -> str:
        """What identifies the whole history; empty where there is none."""

    def past(self, plant: Plant) -> Past | None:
        """Return the states of a plant before the present one, or None where they are not known."""

    def why_not(self) -> str:
        """Return why there is no history to look into, or an empty string where there is one."""

    def touched(self, since: str) -> frozenset[str] | None:
        """Return the files, as they are shown, whose past may differ from that at another `id`; None for all."""

    def tracked(self) -> Sequence[str]:
        """Return the paths, from the portfolio's folder, of all that holds or may hold a plant in the last commit."""

    def tracked_else(self) -> Sequence[str]:
        """Return the paths of all other files of the last commit below the portfolio's folder."""

    def named(self, path: str) -> tuple[str, str] | None:
        """Return site and name of a profile of the last commit, or None where it can't be read."""


class Reader:
    """Reads the files of one portfolio; controls are read once. Problems gather in `problems`."""

    def __init__(self, root: Path, as_of: date, files: Files | None = None, history: History | None = None) -> None:
        self.root = root
        self.files: Files = files or Disk(root)
        self.portfolio, self.problems = portfolio_of(root, self.files, as_of)
        self.history = history
        self._controls: dict[str, Control | None] = {}
        self._digests: dict[str, bytes | None] = {}

    def control(self, name: str) -> Control | None:
        """Return the control of that name, or None where its file is unreadable (its problems were kept once)."""
        if name not in self._controls:
            file = self.root / CONTROLS / f"{name}.toml"
            try:
                source = parse(self.files.read(file, shown(file)), shown(file))
                check_schema(source, "control")
                self._controls[name] = control_from(source)
            except Unreadable as unread:
                self._controls[name] = None
                if self.files.exists(file):
                    self.problems += unread.problems
        return self._controls[name]

    def control_digest(self, name: str) -> bytes | None:
        """Return what identifies the content of a control's file, or None where it can't be used."""
        if name not in self._digests:
            control = self.control(name)
            text = f"{control.source.name}\n{control.source.text}" if control else ""
            self._digests[name] = digest(text.encode("utf-8", "surrogatepass")) if control else None
        return self._digests[name]

    def profile(self, file: Path) -> Profile:
        """Return the profile of a file.

        Raises:
            Unreadable: where it can't be read or is not valid.
        """
        name = shown(file)
        return profile_of(self.files.read(file, name), name)

    def plant(self, file: Path) -> Plant:
        """Return the plant of a profile's file.

        Raises:
            Unreadable: where the profile or its control can't be used.
        """
        return self.plant_of(self.profile(file))

    def plant_of(self, profile: Profile) -> Plant:
        """Return the plant of a profile that was read.

        Raises:
            Unreadable: where its control can't be used.
        """
        control = self.control(profile.control)
        if control is None:
            path = self.root / CONTROLS / f"{profile.control}.toml"
            known = self.files.controls(self.root / CONTROLS)
            if self.files.exists(path):
                message = f"its control file {shown(path)} can't be used"
            else:
                message = f"there is no control file {shown(path)}{nearest(profile.control, known)}"
            raise Unreadable([profile.source.problem(("plant", "control"), message)])
        plant = Plant(profile, control, self.portfolio.context)
        if self.history is not None:
            plant.look_back(self.history.past)
        return plant


def profile_of(content: bytes, name: str) -> Profile:
    """Return the profile in a file's bytes; `name` is how messages call the file.

    Raises:
        Unreadable: where it is not valid.
    """
    source = parse(content, name)
    check_schema(source, "profile")
    return profile_from(source)
