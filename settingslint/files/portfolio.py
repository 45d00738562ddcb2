"""Many plants: finding the files and reading them, and what a check of them all comes to."""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from pathlib import Path, PurePath
from typing import Final, Protocol

from settingslint.checking.audit import Result, unread_history
from settingslint.checking.weakening import Weakening
from settingslint.files.owner import Owner, owner_of
from settingslint.files.reading import Disk, Files, digest
from settingslint.model.control import Control, control_from
from settingslint.model.profile import Profile, profile_from
from settingslint.model.source import parse, read_bytes
from settingslint.model.toml import loads
from settingslint.model.validate import check_schema
from settingslint.model.values import Problem, Unreadable
from settingslint.rules.base import Finding, Severity
from settingslint.rules.past import Past
from settingslint.rules.plant import Context, Plant
from settingslint.rules.rule import Rule

PORTFOLIO_FILE: Final = "portfolio.toml"
CONTROLS: Final = "controls"


@dataclass(frozen=True, slots=True)
class Portfolio:
    """A folder of plants: `controls/` and `sites/` below `root`, and what portfolio.toml sets."""

    root: Path
    name: str
    context: Context
    severities: Mapping[str, Severity] = field(default_factory=dict)
    owner: Owner = field(default_factory=Owner)


Key = tuple[str, str, str, str]
"""What identifies a finding in two revisions: site, plant, rule, and setting or fact."""


def key_of(result: Result, finding: Finding) -> Key:
    """Return what identifies a finding when lines move and numbers change."""
    return (result.site, result.plant, finding.rule, finding.at)


@dataclass(frozen=True, slots=True)
class Gone:
    """A plant that an earlier revision had and that is not there any more, with its open findings there."""

    file: str
    site: str
    plant: str
    findings: int


@dataclass(frozen=True, slots=True)
class Report:
    """All results of one check, in the order of their paths, and the files that could not be read."""

    portfolio: Portfolio
    results: tuple[Result, ...]
    problems: tuple[Problem, ...]
    rules: tuple[Rule, ...]
    known: frozenset[Key] | None = None
    """Findings that an earlier revision had already, by the names of today; None where none was named."""
    known_from: str = ""
    once_accepted: frozenset[Key] = frozenset()
    """Findings that the earlier revision had, all of them accepted there: open again, they are new."""
    gone: tuple[Gone, ...] = ()
    """Plants that the earlier revision had and that are gone: nothing of theirs is checked any more."""
    weakened: tuple[Weakening, ...] = ()
    """What the change since the earlier revision lets pass, worst first."""
    no_history: str = ""
    """Why rules that look into the history could not be checked, where that is so."""

    @property
    def history(self) -> str:
        """What is to be said of a history that can't be read, or an empty string."""
        if self.no_history:
            return f"Rules that look into the history were not checked: {self.no_history}."
        return unread_history(self.results)

    def is_known(self, result: Result, finding: Finding) -> bool:
        """Return whether the earlier revision had a finding already."""
        if self.known is None:
            return False
        key = key_of(result, finding)
        return key in self.known or (finding.accepted is not None and key in self.once_accepted)

    def exit_status(self, stop_at: Severity | None, weakening: bool = False) -> int:
        """Return 2 where a file could not be read, 1 for new findings at or above `stop_at` not accepted, else 0.

        With `weakening`, also 1 where anything was weakened.
        """
        if self.problems:
            return 2
        if weakening and self.weakened:
            return 1
        return int(
            stop_at is not None
            and any(
                finding.accepted is None and finding.severity.at_least(stop_at) and not self.is_known(result, finding)
                for result in self.results
                for finding in result.findings
            )
        )


def shown(path: Path) -> str:
    """Return a path as messages show it: relative to the working directory where it is below it, with slashes."""
    try:
        return _absolute(path).relative_to(Path.cwd()).as_posix()
    except ValueError:
        return path.as_posix()


def _absolute(path: Path) -> Path:
    """Return a path by the real folder that it lies in; a link keeps its own name."""
    return path.resolve() if path.name in ("", "..") else path.parent.resolve() / path.name


def all_shown(files: Iterable[Path]) -> Iterator[tuple[Path, str]]:
    """Yield files with their paths as messages show them; each folder is looked up once."""
    folders: dict[Path, str] = {}
    for file in files:
        folder = file.parent
        if folder not in folders:
            folders[folder] = shown(folder / "x")[:-1]
        yield file, folders[folder] + file.name


def root_of(path: Path) -> Path:
    """Return the portfolio's folder for a file or folder in it: the nearest parent with portfolio.toml or controls/."""
    start = path if path.is_dir() else path.parent
    for folder in (start, *start.resolve().parents):
        if (folder / PORTFOLIO_FILE).is_file() or (folder / CONTROLS).is_dir():
            return folder
    return start


def profile_files(path: Path) -> list[Path]:
    """Return the profiles below a folder, sorted; a file is itself."""
    if not path.is_dir():
        return [path]
    below = path / "sites" if (path / "sites").is_dir() else path
    return [file for file in map(Path, _toml_below(str(below))) if is_profile(file.relative_to(path))]


def _toml_below(folder: str) -> Iterator[str]:
    """Yield the paths of TOML files below a folder in their order; links to folders and hidden ones are passed over.

    Of a folder that can't be looked into a name is yielded that can't be read either, so that it is told.
    """
    try:
        with os.scandir(folder) as entries:
            inside = sorted(entries, key=lambda entry: entry.name)
    except OSError:
        yield os.path.join(folder, "*.toml")
        return
    for entry in inside:
        if entry.name.startswith("."):
            continue
        if entry.is_dir(follow_symlinks=False):
            yield from _toml_below(entry.path)
        elif entry.name.endswith(".toml"):
            yield entry.path


def is_profile(file: PurePath) -> bool:
    """Return whether a file is a profile, by its path from the portfolio's folder.

    >>> is_profile(PurePath("sites/mill/boiler-1.toml")), is_profile(PurePath("controls/plain.toml"))
    (True, False)
    """
    named = file.suffix == ".toml" and file.name != PORTFOLIO_FILE and file.parts[0] != CONTROLS
    return named and not any(part.startswith(".") for part in file.parts)


def is_control_folder(path: Path) -> bool:
    """Return whether a folder is the one of a portfolio's control files."""
    named = path.is_dir() and path.resolve().name == CONTROLS and not (path / PORTFOLIO_FILE).exists()
    return named and bool(control_files(path))


def control_files(folder: Path) -> list[Path]:
    """Return the control files in a folder, sorted."""
    return sorted(file for file in folder.glob("*.toml") if file.is_file())


def is_control_file(path: Path) -> bool:
    """Return whether a file is a control file: by its folder, or by what it holds."""
    if not path.is_file() or path.suffix != ".toml":
        return False
    if path.resolve().parent.name == CONTROLS:
        return True
    try:
        text = read_bytes(path, path.name).decode("utf-8")
        data = loads(text) if "[control]" in text else {}
    except (Unreadable, ValueError, RecursionError):
        return False
    return "control" in data and "plant" not in data


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


class Reader:
    """Reads the files of one portfolio; controls are read once. Problems gather in `problems`."""

    def __init__(self, root: Path, as_of: date, files: Files | None = None, history: History | None = None) -> None:
        self.problems: list[Problem] = []
        self.root = root
        self.files: Files = files or Disk(root)
        self.history = history
        self._controls: dict[str, Control | None] = {}
        self._digests: dict[str, bytes | None] = {}
        self.portfolio = self._portfolio(as_of)

    def _portfolio(self, as_of: date) -> Portfolio:
        file = self.root / PORTFOLIO_FILE
        plain = Portfolio(self.root, self.root.name, Context(as_of))
        if not self.files.exists(file):
            return plain
        try:
            source = parse(self.files.read(file, shown(file)), shown(file))
            check_schema(source, "portfolio")
        except Unreadable as unread:
            self.problems += unread.problems
            return plain
        data = source.data
        owner = owner_of(source)
        self.problems += owner.problems
        hours = None
        if "climate" in data:
            try:
                hours = self.files.hours(self.root, data["climate"], source)
            except Unreadable as unread:
                self.problems += unread.problems
        return Portfolio(self.root, data["name"], Context(as_of, owner.thresholds, hours), owner.severities, owner)

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


def nearest(name: str, known: Iterable[str]) -> str:
    """Return `; did you mean ...?` with the known name that is most like an unknown one, or an empty string."""
    import difflib

    near = difflib.get_close_matches(name, list(known), n=1, cutoff=0.5)
    return f"; did you mean {near[0]}?" if near else ""


def unlocks(results: Iterable[Result]) -> list[tuple[str, int, int]]:
    """Return what is missing, as (name, checks it holds up, plants), those that unlock most first."""
    checks: Counter[str] = Counter()
    plants: Counter[str] = Counter()
    for result in results:
        names = [_without_index(name) for lack in result.not_checked for name in lack.needs]
        checks.update(names)
        plants.update(set(names))
    return sorted(((name, count, plants[name]) for name, count in checks.items()), key=lambda item: (-item[1], item[0]))


@cache
def _without_index(name: str) -> str:
    head, bracket, rest = name.partition("[")
    return head + rest.partition("]")[2] if bracket else name
