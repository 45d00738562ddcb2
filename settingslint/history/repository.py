"""Reading a repository: revisions, commits, trees and blobs, through one long-lived object reader.

Nothing that a repository or its configuration names is run while reading: no external diff, text conversion, filter,
pager, hook or file-system monitor, and nothing is fetched. Names in trees are bytes; what is not UTF-8 keeps its bytes
as surrogates, as paths do in Python. Everything a commit says is untrusted text.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from pathlib import Path
from typing import Final

from settingslint.history import NoHistory, git
from settingslint.history.objects import Commit, Entry, Node, read_commit, read_tree
from settingslint.history.place import place_of
from settingslint.model.source import LARGEST_FILE
from settingslint.model.values import Problem, Unreadable, one_line

MOST_TREES: Final = 20_000
"""Trees that are kept in memory."""
LARGEST_OBJECT: Final = 64_000_000
"""Bytes of a commit or a tree; above it the repository is not one of settings."""
LARGE_FILE_POINTER: Final = b"version https://git-"
SHALLOW: Final = "shallow clone"
PARTIAL: Final = "partial clone"
BROKEN: Final = "missing or broken object"
"""Why something in the history can't be read, in two words."""


class Lost(Unreadable):
    """What a commit had can't be read, since the repository does not hold it."""


class Repository:
    """A repository around a folder, for reading. Not for several threads."""

    def __init__(self, folder: Path) -> None:
        """Open the repository around a folder.

        Raises:
            NoHistory: where there is none that can be read.
        """
        git.program()
        place = place_of(folder)
        if place is None:
            raise NoHistory(f"{folder} is not in a git repository")
        self.place = place
        self.top = place.top
        self.folder = place.folder
        named = os.environ.get("GIT_DIR")
        if named is not None and Path(named).resolve() != self.folder:
            raise NoHistory(f"GIT_DIR names another repository than the one around {folder}; unset it")
        git.agreed(place)
        self._objects = git.Objects(place)
        self._absent: frozenset[str] | None = None
        self._trees: dict[str, dict[str, Node]] = {}
        self._commits: dict[str, Commit] = {}
        self._touched: dict[str, dict[str, list[str]]] = {}
        self._asked: set[str] = set()
        self.cut = self._cut()

    def close(self) -> None:
        """End the object reader."""
        self._objects.close()

    def __enter__(self) -> Repository:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _cut(self) -> frozenset[str]:
        """Return the commits at which a shallow clone ends; their parents are not here."""
        try:
            text = (self.place.common / "shallow").read_text(encoding="ascii", errors="replace")
        except OSError:
            return frozenset()
        return frozenset(text.split())

    @property
    def shallow(self) -> str:
        """What to say of a clone whose history is cut off, or an empty string."""
        if not self.cut:
            return ""
        return "this clone is shallow: older history is not here; git fetch --unshallow brings it"

    def below(self, path: Path) -> str:
        """Return a path relative to the top with slashes; empty for the top itself.

        Raises:
            NoHistory: where it lies outside.
        """
        try:
            relative = (path.parent.resolve() / path.name if path.name else path.resolve()).relative_to(self.top)
        except (ValueError, OSError):
            raise NoHistory(f"{path} lies outside the repository {self.top}") from None
        return "" if relative == Path() else relative.as_posix()

    # commands ---------------------------------------------------------------------------------------------------------

    def _run(self, *words: str, given: bytes = b"") -> str:
        return os.fsdecode(git.read(self.place, *words, given=given))

    def resolve(self, revision: str) -> str:
        """Return the id of the commit that a revision names.

        Raises:
            NoHistory: where it names none.
        """
        if not revision or revision.startswith("-") or not revision.isprintable():
            raise NoHistory(f"{one_line(revision) or 'an empty text'} is no revision")
        try:
            words = ("rev-parse", "--verify", "--quiet", "--end-of-options", f"{revision}^{{commit}}")
            id_ = self._run(*words).strip()
        except NoHistory:
            if too_old := git.too_old():
                raise NoHistory(too_old) from None
            if revision == "HEAD":
                raise NoHistory("the git repository has no commit yet") from None
            hint = f" ({self.shallow})" if self.cut else ""
            raise NoHistory(f"{revision} names no commit here{hint}") from None
        if len(id_) != 40:
            raise NoHistory("the repository names its objects by SHA-256, which is not read here")
        return id_

    def walk(self, old: str | None, new: str, names: Sequence[str] = (), whole: bool = False) -> list[str]:
        """Return the ids of the commits in `new` and not in `old`, parents first, that changed one of some paths.

        What a merge threw away is left out, unless the `whole` history is asked for.
        """
        words = ["rev-list", "--topo-order", "--reverse", *(["--full-history"] if whole else []), new]
        return self._run(*words, *([f"^{old}"] if old else []), "--", *names).split()

    def touching(self, start: str, name: str) -> list[str]:
        """Return the ids of the commits up to one, parents first, that changed a path; a merge, from all its parents.

        The first question about a commit is put to git; from the second one on it is looked up for all paths at once,
        which costs one pass over the history however many paths are asked for.
        """
        index = self._touched.get(start)
        if index is None:
            if start not in self._asked:
                self._asked.add(start)
                return self.walk(None, start, [name], whole=True)
            index = self._touched[start] = self._index(start)
        return index.get(name, [])

    def touched_last(self, start: str) -> Iterator[tuple[str, str]]:
        """Yield each path that the commits up to one changed with the last that did, the longest ago first."""
        if start not in self._touched:
            self._touched[start] = self._index(start)
        yield from ((path, ids[-1]) for path, ids in self._touched[start].items())

    def _index(self, start: str) -> dict[str, list[str]]:
        index: dict[str, list[str]] = {}
        for id_, path in self._touches(self.walk(None, start)):
            index.setdefault(path, []).append(id_)
        return index

    def touched_by(self, ids: Sequence[str]) -> set[str]:
        """Return the paths that some commits changed; a merge, from all its parents."""
        return {path for _, path in self._touches(ids)}

    def _touches(self, ids: Sequence[str]) -> Iterator[tuple[str, str]]:
        words = (
            "diff-tree", "--stdin", "-r", "-c", "--root", "--no-renames", "--no-ext-diff", "--no-textconv",
            "--name-only", "-z",
        )  # fmt: skip
        told = self._run(*words, given="".join(f"{id_}\n" for id_ in ids).encode())
        following = iter(ids)
        here, ahead = "", next(following, "")
        for word in told.split("\0"):
            if ahead and word == ahead:
                here, ahead = ahead, next(following, "")
            elif word:
                yield here, word

    def branch(self) -> str | None:
        """Return the name of the branch that is checked out, or None where the head is detached."""
        try:
            text = (self.folder / "HEAD").read_text(encoding="utf-8", errors="replace").strip()
        except OSError:
            return None
        return text.removeprefix("ref: refs/heads/") if text.startswith("ref: refs/heads/") else None

    # objects ----------------------------------------------------------------------------------------------------------

    def _object(self, id_: str, kind: str, most: int) -> bytes | None:
        """Return an object's bytes, or None where there are too many."""
        if self._absent is None:
            self._absent = self._promised()
        found = self._objects.read(id_, most) if id_ not in self._absent else None
        if found is None:
            raise NoHistory(f"git object {id_[:10]} can't be read: it is missing or broken{self._hint()}")
        if found.kind != kind:
            raise NoHistory(f"git object {id_[:10]} is no {kind}")
        return found.content

    def _hint(self) -> str:
        if self.cut:
            return f"; {self.shallow}"
        return "; a partial clone lacks it until git fetch --refetch" if self.partial else ""

    def _promised(self) -> frozenset[str]:
        """Return the objects up to the last commit that a partial clone lacks, so that git is not asked for them."""
        if not self._left_out():
            return frozenset()
        try:
            told = self._run("rev-list", "--objects", "--missing=print", "HEAD")
        except NoHistory:
            return frozenset()
        return frozenset(line[1:] for line in told.split("\n") if line.startswith("?"))

    def _left_out(self) -> bool:
        return any((self.place.common / "objects" / "pack").glob("*.promisor"))

    @cached_property
    def partial(self) -> bool:
        """Whether this is a clone that left objects out."""
        if self._left_out():
            return True
        try:
            return bool(self._run("config", "--get-regexp", r"^(extensions\.partialclone|remote\..*\.promisor)$"))
        except NoHistory:  # there are none
            return False

    @property
    def lacks(self) -> str:
        """Why something in this history can't be read, in two words."""
        return SHALLOW if self.cut else PARTIAL if self.partial else BROKEN

    def commit(self, id_: str) -> Commit:
        """Return a commit by its full id."""
        known = self._commits.get(id_)
        if known is None:
            content = self._object(id_, "commit", LARGEST_OBJECT)
            if content is None:
                raise NoHistory(f"commit {id_[:10]} is too large")
            known = self._commits[id_] = read_commit(id_, content, cut=id_ in self.cut)
        return known

    def tree(self, id_: str) -> Mapping[str, Node]:
        """Return a tree's entries by name."""
        known = self._trees.get(id_)
        if known is None:
            if len(self._trees) > MOST_TREES:
                self._trees.clear()
            content = self._object(id_, "tree", LARGEST_OBJECT)
            if content is None:
                raise NoHistory(f"tree {id_[:10]} is too large")
            known = self._trees[id_] = dict(read_tree(content))
        return known

    def find(self, tree: str | None, path: str) -> Node | None:
        """Return what stands at a path below a tree, or None; an empty path is the tree itself."""
        if tree is None:
            return None
        node = Node(Entry.FOLDER, tree)
        for part in path.split("/") if path else ():
            if not node.is_folder:
                return None
            found = self.tree(node.id).get(part)
            if found is None:
                return None
            node = found
        return node

    def blob(self, node: Node, name: str, most: int = LARGEST_FILE) -> bytes:
        """Return the content of a file in a tree; `name` is how messages call it.

        Raises:
            Unreadable: where it is no regular file, or too large, or only the pointer to it is in the repository.
        """
        what = {
            Entry.LINK: "is a symbolic link: not followed in history",
            Entry.OTHER_REPOSITORY: "is a submodule: not read",
            Entry.FOLDER: "is a folder",
        }.get(node.mode)
        if what is not None or not node.is_file:
            raise Unreadable([Problem(name, 1, 1, what or "is not a file")])
        try:
            content = self._object(node.id, "blob", most)
        except NoHistory as error:
            raise Lost([Problem(name, 1, 1, str(error))]) from None
        if content is None:
            raise Unreadable([Problem(name, 1, 1, f"larger than {most:,} bytes: not read")])
        if content.startswith(LARGE_FILE_POINTER):
            message = "only the pointer to a large file is in the repository: commit the file itself"
            raise Lost([Problem(name, 1, 1, message)])
        return content

    def files(self, tree: str | None, path: str) -> Iterator[tuple[str, Node]]:
        """Yield everything below a folder that is no folder, with its path from the top."""
        node = self.find(tree, path)
        if node is not None and node.is_folder:
            yield from self._below(path, node.id)

    def _below(self, path: str, tree: str) -> Iterator[tuple[str, Node]]:
        for name, node in self.tree(tree).items():
            here = f"{path}/{name}" if path else name
            if node.is_folder:
                yield from self._below(here, node.id)
            else:
                yield here, node

    def changed(self, old: str | None, new: str | None, path: str) -> Iterator[tuple[str, Node | None, Node | None]]:
        """Yield path, before and after of what differs below a folder; folders that are the same are never opened."""
        before, after = self.find(old, path), self.find(new, path)
        yield from self._changed(path, before, after)

    def _changed(
        self, path: str, before: Node | None, after: Node | None
    ) -> Iterator[tuple[str, Node | None, Node | None]]:
        if before == after:
            return
        old = self.tree(before.id) if before is not None and before.is_folder else {}
        new = self.tree(after.id) if after is not None and after.is_folder else {}
        one = before if before is not None and not before.is_folder else None
        other = after if after is not None and not after.is_folder else None
        if one is not None or other is not None:
            yield path, one, other
        for name in {**old, **new}:
            here = f"{path}/{name}" if path else name
            yield from self._changed(here, old.get(name), new.get(name))
