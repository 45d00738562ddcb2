"""The portfolio as it was at a commit, or as it lies on the disk: plants with effective values.

What was read once is kept by the ids of its files, so a walk through history costs what changed, not what is there.
"""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterator, Mapping, Set
from datetime import date
from pathlib import Path, PurePath, PurePosixPath
from typing import Final, NamedTuple

from settingslint.files.finding import CONTROLS, PORTFOLIO_FILE, is_profile, profile_files
from settingslint.files.names import shown
from settingslint.files.reader import Reader
from settingslint.files.reading import Disk
from settingslint.history import NoHistory
from settingslint.history.objects import Entry, Node
from settingslint.history.repository import Lost, Repository
from settingslint.model.profile import Profile, profile_from
from settingslint.model.source import Source, parse
from settingslint.model.validate import check_schema
from settingslint.model.values import Problem, Unreadable
from settingslint.physics.weather import Hours
from settingslint.rules.plant import Plant

MOST_KEPT: Final = 20_000
"""Profiles and plants that are kept in memory."""
SITES: Final = "sites"
DISK: Final = "the files as they are"
"""In place of a commit's tree: what lies in the working tree."""
EPOCH: Final = date(1970, 1, 1)


Identity = tuple[str, str, str | None]
"""Site, name and serial number."""


class TreeFiles:
    """The files of a portfolio in one tree of its repository."""

    def __init__(self, repository: Repository, tree: str, root: Path, kept: dict[str, Hours]) -> None:
        self._kept = kept
        self._repository = repository
        self._tree = tree
        self._root = root
        self._prefix = repository.below(root)
        self.weather: str | None = None

    def _find(self, path: Path) -> Node | None:
        try:
            name = path.relative_to(self._root).as_posix()
        except ValueError:
            return None
        return self._repository.find(self._tree, joined(self._prefix, name))

    def read(self, path: Path, name: str) -> bytes:
        """See `settingslint.files.reading.Files`."""
        node = self._find(path)
        if node is None:
            raise Unreadable([Problem(name, 1, 1, "does not exist")])
        return self._repository.blob(node, name)

    def exists(self, path: Path) -> bool:
        """See `settingslint.files.reading.Files`."""
        return self._find(path) is not None

    def controls(self, folder: Path) -> list[str]:
        """See `settingslint.files.reading.Files`."""
        node = self._find(folder)
        names = self._repository.tree(node.id) if node is not None and node.is_folder else {}
        return sorted(name.removesuffix(".toml") for name in names if name.endswith(".toml"))

    def hours(self, root: Path, name: str, source: Source) -> Hours:
        """See `settingslint.files.reading.Files`."""
        from settingslint.files.weather import LARGEST_WEATHER, read_hours

        label = (PurePosixPath(source.name).parent / name).as_posix()
        self.weather = name
        node = self._find(root / name)
        if node is None:
            raise Unreadable([source.problem(("climate",), f"{name}: does not exist in this commit")])
        if node.id not in self._kept:
            content = self._repository.blob(node, label, LARGEST_WEATHER)
            self._kept[node.id] = read_hours(io.BytesIO(content), label)
        return self._kept[node.id]


def joined(*parts: str) -> str:
    """Return a path of parts with slashes; empty parts are left out."""
    return "/".join(part for part in parts if part)


class Step(NamedTuple):
    """One profile before and after: path from the portfolio's folder and what stands there, None where nothing."""

    old: tuple[str, Node] | None
    new: tuple[str, Node] | None


class Snapshots:
    """Reads plants of one portfolio at any commit. A tree is named by its id, `DISK` is the working tree."""

    def __init__(self, repository: Repository, root: Path) -> None:
        """Name the repository and the portfolio's folder in it.

        Raises:
            NoHistory: where the folder lies outside.
        """
        self.repository = repository
        self.root = root.resolve()
        self.prefix = repository.below(self.root)
        self._profiles: dict[tuple[str, str], Profile | Unreadable] = {}
        self._plants: dict[tuple[str, str, object], Plant | Unreadable] = {}
        self._readers: dict[object, Reader] = {}
        self._weather: dict[str, str | None] = {}
        self._hours: dict[str, Hours] = {}
        self.gone: dict[str, list[tuple[str, Identity]]] = {}
        """By commit, what `gone.py` found of plants that it has no more."""

    # files ------------------------------------------------------------------------------------------------------------

    def rel(self, path: Path) -> str:
        """Return a file's path from the portfolio's folder.

        Raises:
            NoHistory: where it lies outside.
        """
        name = self.repository.below(path)
        if self.prefix and not name.startswith(self.prefix + "/"):
            raise NoHistory(f"{path} lies outside the portfolio {self.root}")
        return name[len(self.prefix) + 1 :] if self.prefix else name

    def shown(self, rel: str) -> str:
        """Return a profile's path as messages show it."""
        return shown(self.root / rel)

    def node(self, tree: str | None, rel: str) -> Node | None:
        """Return what stands at a path of a tree; on the disk a node without id."""
        if tree == DISK:
            return Node(0o100644, "") if (self.root / rel).exists() else None
        return self.repository.find(tree, joined(self.prefix, rel))

    def profiles(self, tree: str | None) -> Iterator[tuple[str, Node]]:
        """Yield the profiles of a tree."""
        if tree == DISK:
            for file in profile_files(self.root):
                yield file.relative_to(self.root).as_posix(), Node(0o100644, "")
            return
        for rel, node in self._where_profiles_are(tree):
            if is_profile(rel):
                yield rel, node

    def plants(self, tree: str | None) -> Iterator[str]:
        """Yield the paths of all that holds or may hold a plant in a tree: profiles, and what is not followed."""
        for rel, node in self._where_profiles_are(tree):
            if is_profile(rel) or (not node.is_file and _may_hold_plant(PurePath(rel), node)):
                yield rel

    def others(self, tree: str | None) -> Iterator[str]:
        """Yield the paths of all other files in a tree, but those of the controls and of the portfolio."""
        plants = set(self.plants(tree))
        start = len(self.prefix) + 1 if self.prefix else 0
        for path, node in self.repository.files(tree, self.prefix):
            rel = path[start:]
            control = rel.startswith(f"{CONTROLS}/") and rel.endswith(".toml")
            if node.is_file and rel not in plants and rel != PORTFOLIO_FILE and not control:
                yield rel

    def _where_profiles_are(self, tree: str | None) -> Iterator[tuple[str, Node]]:
        below = SITES if self._has_sites(tree) else ""
        start = len(self.prefix) + 1 if self.prefix else 0
        for path, node in self.repository.files(tree, joined(self.prefix, below)):
            yield path[start:], node

    def users(self, tree: str, controls: Set[str]) -> Iterator[tuple[str, Node, str]]:
        """Yield the profiles of a tree that name one of some controls, with its name."""
        words = [name.encode("utf-8", "surrogateescape") for name in controls]
        for rel, node in self.profiles(tree) if controls else ():
            try:
                if node.id and (rel, node.id) not in self._profiles:
                    content = self.repository.blob(node, rel)
                    if b"\\" not in content and not any(word in content for word in words):
                        continue  # no need to read it whole
                control = self.profile(rel, node).control
            except Unreadable:
                continue
            if control in controls:
                yield rel, node, control

    def _has_sites(self, tree: str | None) -> bool:
        if tree == DISK:
            return (self.root / SITES).is_dir()
        sites = self.node(tree, SITES)
        return sites is not None and sites.is_folder

    def changed(self, old: str | None, new: str) -> list[tuple[str, Node | None, Node | None]]:
        """Return path, before and after of every file below the portfolio's folder that differs."""
        if new == DISK:
            return list(self._changed_on_disk(old))
        start = len(self.prefix) + 1 if self.prefix else 0
        found = self.repository.changed(old, new, self.prefix)
        return [(path[start:], before, after) for path, before, after in found]

    def _changed_on_disk(self, old: str | None) -> Iterator[tuple[str, Node | None, Node | None]]:
        start = len(self.prefix) + 1 if self.prefix else 0
        before = {path[start:]: node for path, node in self.repository.files(old, self.prefix)}
        here = {rel for rel, _ in self.profiles(DISK)}
        here |= {f"{CONTROLS}/{file.name}" for file in (self.root / CONTROLS).glob("*.toml")}
        here |= {PORTFOLIO_FILE} if (self.root / PORTFOLIO_FILE).exists() else set()
        for rel in sorted(here | {rel for rel in before if rel.endswith(".toml")}):
            node = before.get(rel)
            if rel not in here:
                if not (self.root / rel).exists():
                    yield rel, node, None
            elif node is None or not self._same_on_disk(rel, node):
                yield rel, node, Node(0o100644, "")

    def _same_on_disk(self, rel: str, node: Node) -> bool:
        try:
            return lines_alike(Disk().read(self.root / rel, rel), self.repository.blob(node, rel))
        except Unreadable:
            return False

    # plants -----------------------------------------------------------------------------------------------------------

    def profile(self, rel: str, node: Node) -> Profile:
        """Return a profile; without an id of its node it is read from the disk.

        Raises:
            Unreadable: where it can't be used.
        """
        known = self._profiles.get((rel, node.id)) if node.id else None
        if known is None:
            try:
                known = self._parsed(rel, node)
            except Unreadable as unread:
                known = unread
            if node.id:
                if len(self._profiles) > MOST_KEPT:
                    self._profiles.clear()
                self._profiles[rel, node.id] = known
        if isinstance(known, Unreadable):
            raise known
        return known

    def know(self, rel: str, profile: Profile) -> None:
        """Take note of a profile that was read from the disk, so that a commit with the same bytes needs no reading."""
        content = profile.source.text.encode("utf-8", "surrogatepass")
        id_ = hashlib.sha1(b"blob %d\0%b" % (len(content), content), usedforsecurity=False).hexdigest()
        self._profiles.setdefault((rel, id_), profile)

    def _parsed(self, rel: str, node: Node) -> Profile:
        name = self.shown(rel)
        content = self.repository.blob(node, name) if node.id else Disk().read(self.root / rel, name)
        source = parse(content, name)
        check_schema(source, "profile")
        return profile_from(source)

    def reader(self, tree: str) -> Reader:
        """Return what reads controls and portfolio.toml of a tree; the same for trees in which they are the same."""
        if tree == DISK:
            if DISK not in self._readers:
                self._readers[DISK] = Reader(self.root, EPOCH)
            return self._readers[DISK]
        key = self._shared(tree)
        if key not in self._readers:
            files = TreeFiles(self.repository, tree, self.root, self._hours)
            reader = Reader(self.root, EPOCH, files)
            owner = self.node(tree, PORTFOLIO_FILE)
            self._weather[owner.id if owner else ""] = files.weather
            key = self._shared(tree)
            self._readers[key] = reader
        return self._readers[key]

    def _shared(self, tree: str) -> object:
        """Return the ids of what all plants of a tree share."""
        return (self.node(tree, CONTROLS), *self._owner(tree))

    def _owner(self, tree: str) -> tuple[Node | None, Node | None]:
        """Return portfolio.toml of a tree, and the weather file that it names."""
        owner = self.node(tree, PORTFOLIO_FILE)
        weather = self._weather.get(owner.id if owner else "")
        return owner, self.node(tree, weather) if weather else None

    def plant(self, tree: str, rel: str, node: Node, as_of: date) -> Plant:
        """Return a plant with the values that the control of that tree makes effective.

        Raises:
            Unreadable: where the profile or its control can't be used.
        """
        profile = self.profile(rel, node)
        reader = self.reader(tree)
        if not node.id:
            return reader.plant_of(profile).on(as_of)
        control = None if tree == DISK else self.node(tree, f"{CONTROLS}/{profile.control}.toml")
        shared = id(reader) if control is None else (control, *self._owner(tree))
        key = (rel, node.id, shared)
        known = self._plants.get(key)
        if known is None:
            try:
                known = reader.plant_of(profile)
            except Unreadable as unread:
                known = self._lost(control) or unread
            if len(self._plants) > MOST_KEPT:
                self._plants.clear()
            self._plants[key] = known
        if isinstance(known, Unreadable):
            raise known
        return known.on(as_of)

    def _lost(self, control: Node | None) -> Lost | None:
        """Return that a control file is not held by the repository, where that is why a plant can't be read."""
        try:
            if control is not None:
                self.repository.blob(control, CONTROLS)
        except Lost as lost:
            return lost
        except Unreadable:
            pass
        return None

    def steps(self, old: str | None, new: str) -> tuple[list[Step], set[str], bool]:
        """Return what happened to profiles between two trees.

        Returns:
            the profiles that differ, those that moved joined by name and serial number; the names of the controls
            that differ; and whether portfolio.toml or its weather file differs.
        """
        olds: dict[str, Node] = {}
        news: dict[str, Node] = {}
        controls: set[str] = set()
        owner = False
        weather = {self._weather_of(tree) for tree in (old, new) if tree is not None}
        sites = [self._has_sites(tree) for tree in (old, new)]
        for rel, before, after in self.changed(old, new):
            path = PurePath(rel)
            if path.parts[:1] == (CONTROLS,):
                controls.add(path.stem)
                continue
            if rel == PORTFOLIO_FILE or rel in weather:
                owner = True
                continue
            below = path.parts[:1] == (SITES,)
            for side, node, has_sites in ((olds, before, sites[0]), (news, after, sites[1])):
                if node is not None and (below or not has_sites) and _may_hold_plant(path, node):
                    side[rel] = node
        return list(self._joined(olds, news)), controls, owner

    def _weather_of(self, tree: str) -> str | None:
        owner = self.node(tree, PORTFOLIO_FILE)
        if owner is None:
            return None
        if owner.id not in self._weather:
            self.reader(tree)
        return self._weather.get(owner.id)

    def _joined(self, olds: Mapping[str, Node], news: Mapping[str, Node]) -> Iterator[Step]:
        """Yield pairs of one plant: by name and serial, by serial, by site and name, by path, by content."""
        left, right = dict(olds), dict(news)
        if left.keys() == right.keys() and len(left) == 1:  # the ordinary case needs no reading
            for rel, node in left.items():
                yield Step((rel, node), (rel, right[rel]))
            return
        sides = enumerate((olds, news))
        identities = {(side, rel): self.identity(rel, node) for side, all_ in sides for rel, node in all_.items()}
        for match in range(5):
            keys: dict[object, list[str]] = {}
            for rel, node in left.items():
                key = _match(match, rel, node, identities[0, rel])
                if key is not None:
                    keys.setdefault(key, []).append(rel)
            claims = {rel: _match(match, rel, right[rel], identities[1, rel]) for rel in right}
            # of several copies of one plant the one that stayed where it was comes first
            for rel in sorted(claims, key=lambda one: one not in left):
                candidates = keys.get(claims[rel], [])
                if candidates:
                    was = rel if rel in candidates else candidates[0]
                    candidates.remove(was)
                    yield Step((was, left.pop(was)), (rel, right.pop(rel)))
        for rel, node in left.items():
            yield Step((rel, node), None)
        for rel, node in right.items():
            yield Step(None, (rel, node))

    def identity(self, rel: str, node: Node | None) -> Identity | None:
        """Return site, name and serial number of a profile, or None where it can't be read."""
        if node is None:
            return None
        try:
            profile = self.profile(rel, node)
        except Unreadable:
            return None
        return profile.site, profile.name, profile.serial


def _may_hold_plant(path: PurePath, node: Node) -> bool:
    """Return whether a profile is looked for there; behind a submodule or a linked folder too, to name it as unread."""
    if not path.parts:
        return False
    hidden = any(part.startswith(".") for part in path.parts)
    behind = node.mode == Entry.OTHER_REPOSITORY or (node.mode == Entry.LINK and not path.suffix)
    return is_profile(path.as_posix()) or (behind and path.parts[0] == SITES and not hidden)


def _match(match: int, rel: str, node: Node, identity: Identity | None) -> object | None:
    """Return what a profile is recognised by in the first, second... attempt, or None."""
    if match == 3:
        return rel
    if match == 4:
        return node.id or None
    if identity is None:
        return None
    site, name, serial = identity
    if match == 2:
        return (site, name)
    if serial is None:
        return None
    return (name, serial) if match == 0 else serial


def lines_alike(one: bytes, other: bytes) -> bool:
    """Return whether two files are the same but for the kind of line ends."""
    return one == other or one.replace(b"\r\n", b"\n") == other.replace(b"\r\n", b"\n")
