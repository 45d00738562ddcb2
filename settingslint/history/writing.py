"""Writing a visit: both commits or none, with the person's own identity, hooks and signing key.

The order is: blobs, trees and commits first, which nobody sees yet; then the branch is moved, once, and only if it
still stands where the visit began; then the profile is put in place by a rename, and the index follows. Whoever is cut
off in between finds a whole profile, and runs the same visit again.
"""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from functools import cached_property
from pathlib import Path
from typing import Final

from settingslint.files.whole import NotMeant, may_replace, put_bytes
from settingslint.history import NoHistory, git
from settingslint.history.git import Failed, Person
from settingslint.history.place import Place
from settingslint.history.repository import Repository
from settingslint.history.snapshots import lines_alike
from settingslint.history.visit import Step, Visit
from settingslint.model.values import one_line

FOLDER: Final = "settingslint-visit"
"""Below the repository's own folder: the lock, and what is being made."""
UNDER_WAY: Final = {
    "MERGE_HEAD": "a merge", "CHERRY_PICK_HEAD": "a cherry-pick", "REVERT_HEAD": "a revert", "rebase-merge": "a rebase",
    "rebase-apply": "a rebase",
}  # fmt: skip
HOOKS: Final = ("pre-commit", "prepare-commit-msg", "commit-msg")
MOST_LINES: Final = 12


def write(repository: Repository, visit: Visit, ran: list[str] | None = None) -> list[str]:
    """Write a visit's commits and its profile; return what could not be finished after the commits were there.

    Args:
        repository: around the profile.
        visit: what is written.
        ran: filled with what is to be said of the hooks that ran, where somebody wants it.

    Raises:
        NoHistory: where nothing was changed, with the reason.
    """
    with _alone(repository.folder) as folder:
        writer = _Writer(repository, visit, folder)
        try:
            remarks = writer.write()
        except Failed as error:
            raise NoHistory(_said(error)) from None
    if ran is not None:
        ran += writer.heard_by()
    return remarks


@contextmanager
def _alone(git_folder: Path) -> Iterator[Path]:
    """Give the folder in which one visit at a time is made; the lock goes with the process that holds it."""
    folder = git_folder / FOLDER
    try:
        folder.mkdir(exist_ok=True)
        with (folder / "lock").open("a+b") as lock:
            _take(lock.fileno())
            inside = folder / "made"
            shutil.rmtree(inside, ignore_errors=True)
            inside.mkdir()
            try:
                yield inside
            finally:
                shutil.rmtree(inside, ignore_errors=True)
    except OSError as error:
        raise NoHistory(f"can't write in {folder}: {error.strerror or error}") from None


def _take(descriptor: int) -> None:
    try:
        _lock(descriptor)
    except OSError:
        message = "another visit is being written in this repository; nothing was changed, run it again"
        raise NoHistory(message) from None


def _lock(descriptor: int) -> None:
    if sys.platform == "win32":
        import msvcrt

        msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
    else:
        import fcntl

        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)


def who(repository: Repository) -> str:
    """Return the name under which this person commits.

    Raises:
        NoHistory: where git does not know it.
    """
    return git.identity(repository.place)


def check(repository: Repository, visit: Visit) -> None:
    """Raise NoHistory where `write` would refuse a visit at once."""
    lock = repository.folder / FOLDER / "lock"
    if lock.is_file():  # a visit that is being written has its profile in place already
        with lock.open("a+b") as held:
            _take(held.fileno())
    _Writer(repository, visit, Path())._check()


def ready(repository: Repository, path: Path, accepted: Sequence[bytes], blob: str | None) -> bytes:
    """Return a profile as it lies on the disk, where a visit can be recorded on it.

    Args:
        repository: around the profile.
        path: the profile.
        accepted: what it may be: as the last commit has it, or as this visit leaves it.
        blob: what the index must have for it; None for anything.

    Raises:
        NoHistory: where it has changes that are not committed, or something else is under way.
    """
    name, shown = repository.below(path), one_line(str(path))
    for mark, what in UNDER_WAY.items():
        if (repository.folder / mark).exists():
            raise NoHistory(f"{what} is under way in this repository; end it first")
    file = repository.top / name
    if file.is_symlink():
        raise NoHistory(f"{shown} is a symbolic link: not written through")
    try:
        content = file.read_bytes()
    except OSError as error:
        raise NoHistory(f"{shown} can't be read: {error.strerror or error}") from None
    if not any(lines_alike(content, one) for one in accepted):
        raise NoHistory(f"{shown} has changes that are not committed; commit them or take them back first")
    staged = os.fsdecode(git.read(repository.place, "ls-files", "--stage", "-z", "--", name))
    rows = [row for row in staged.split("\0") if row]
    if blob is not None and [row.split()[1] for row in rows] != [blob]:
        raise NoHistory(f"{shown} has staged changes; commit them or unstage them first")
    return content


def _said(error: NoHistory) -> str:
    """Return all that git or a hook said, its last lines where there are many."""
    lines = error.said.splitlines() if isinstance(error, Failed) else [str(error)]
    return "\n".join(one_line(line) for line in lines[-MOST_LINES:]) or "git failed and said nothing"


def _locked(place: Place, branch: str) -> str:
    """Return what to do about a lock of git that is there, or an empty string."""
    locks = (place.folder / "index.lock", place.folder / "HEAD.lock", place.common / f"refs/heads/{branch}.lock")
    for lock in (*locks, place.common / "packed-refs.lock"):
        if os.path.lexists(lock):
            return (
                f"{lock} is there: another git is at work, or one was cut off."
                " If no other git runs here, remove that file and run it again"
            )
    return ""


class _Writer:
    def __init__(self, repository: Repository, visit: Visit, folder: Path) -> None:
        self.repository = repository
        self.visit = visit
        self.folder = folder
        self.person = Person(repository.place)
        self.ran: dict[str, None] = {}
        self.name = repository.below(visit.path)
        self.file = repository.top / self.name
        self.index = {"GIT_INDEX_FILE": str(folder / "index")}
        self.ref = f"refs/heads/{visit.branch}"
        self.work = b""
        self.touched = False
        self.crlf = False

    def write(self) -> list[str]:
        self._check()
        if self.visit.recorded is not None or not self.visit.steps:
            return self._finish(self.visit.node.id if self.visit.recorded is None else self._blob_of_head())
        git.identity(self.repository.place)
        blobs = [self._blob(step) for step in self.visit.steps]
        trees = [self._tree(blob) for blob in blobs]
        try:
            messages = self._heard(trees)
            commits = self._commits(trees, messages)
            self._move(commits[-1])
        except BaseException:
            self._put_back()
            raise
        remarks = self._finish(blobs[-1])
        if self._has("post-commit"):
            try:
                self._noted("post-commit")
                self.person.hook("post-commit", self._hooks / "post-commit")
            except NoHistory as error:
                remarks.append(f"the post-commit hook failed: {error}")
        return remarks

    # before -----------------------------------------------------------------------------------------------------------

    def _check(self) -> None:
        """Raise where the repository is not as the visit was planned on."""
        visit = self.visit
        if lock := _locked(self.repository.place, visit.branch):
            raise NoHistory(f"nothing was changed: {lock}")
        if self.repository.branch() != visit.branch or self.repository.resolve("HEAD") != visit.base.id:
            raise NoHistory("somebody committed in between; nothing was changed, run it again")
        try:
            may_replace(self.file)
        except NotMeant as error:
            raise NoHistory(f"can't write {self.file} ({error.strerror}); nothing was changed") from None
        if not os.access(self.file.parent, os.W_OK):
            raise NoHistory(f"can't write in {self.file.parent}; nothing was changed")
        own = [visit.old, *([visit.before] if visit.recorded else []), *(step.text for step in visit.steps)]
        self.work = ready(self.repository, visit.path, own, None if visit.recorded else visit.node.id)
        self.crlf = self.work != visit.old and lines_alike(self.work, visit.old)

    # objects that nobody sees yet -------------------------------------------------------------------------------------

    def _blob(self, step: Step) -> str:
        file = self.folder / "blob"
        file.write_bytes(step.text)
        return self.person.run("hash-object", "-w", "--no-filters", "--", str(file)).strip()

    def _tree(self, blob: str) -> str:
        (self.folder / "index").unlink(missing_ok=True)
        self.person.run("read-tree", self.visit.base.tree, more=self.index)
        entry = f"{self.visit.node.mode:o},{blob},{self.name}"
        self.person.run("update-index", "--cacheinfo", entry, more=self.index)
        return self.person.run("write-tree", "--missing-ok", more=self.index).strip()

    def _commits(self, trees: Sequence[str], messages: Sequence[str]) -> list[str]:
        sign = ["-S"] if self._flag("commit.gpgSign") else []
        made: list[str] = []
        for tree, message in zip(trees, messages, strict=True):
            file = self.folder / "message"
            file.write_bytes(message.encode("utf-8", "surrogateescape"))
            parent = made[-1] if made else self.visit.base.id
            words = ["-c", "i18n.commitEncoding=utf-8", "commit-tree", *sign, "-p", parent, "-F", str(file), tree]
            made.append(self.person.run(*words).strip())
        return made

    def _flag(self, name: str) -> bool:
        try:
            return self.person.run("config", "--type=bool", "--get", name).strip() == "true"
        except NoHistory:
            return False

    def _move(self, commit: str) -> None:
        """Move the branch, if it still stands where the visit began."""
        subject = f"visit: {self.visit.steps[-1].message.partition(chr(10))[0]}"
        try:
            self._noted("reference-transaction")
            self.person.run("update-ref", "-m", subject, self.ref, commit, self.visit.base.id, hooks=True)
        except NoHistory as error:
            if self.repository.resolve("HEAD") != self.visit.base.id:
                raise NoHistory("somebody committed in between; nothing was changed, run it again") from None
            raise NoHistory(f"the branch could not be moved, nothing was changed: {error}") from None

    # hooks ------------------------------------------------------------------------------------------------------------

    @cached_property
    def _hooks(self) -> Path:
        """The folder of this person's hooks for this repository."""
        return self.repository.top / self.person.run("rev-parse", "--git-path", "hooks", hooks=True).rstrip("\n")

    @cached_property
    def _configured(self) -> frozenset[str]:
        """The hooks that the configuration names, as newer git allows."""
        try:
            named = self.person.run("config", "--null", "--get-regexp", r"^hook\..*\.event$")
        except NoHistory:  # there are none
            return frozenset()
        return frozenset(row.partition("\n")[2] for row in named.split("\0"))

    def _is_file(self, hook: str) -> bool:
        path = self._hooks / hook
        return path.is_file() and os.access(path, os.X_OK)

    def _has(self, hook: str) -> bool:
        """Return whether a hook is there: as a file, or named in the configuration."""
        return self._is_file(hook) or hook in self._configured

    def _noted(self, hook: str) -> None:
        """Take note of a hook that git is about to run, if it is there; of one that is configured if git heeds that."""
        heeded = self._is_file(hook)
        if not heeded and hook in self._configured:
            with suppress(NoHistory):  # a git that does not heed it does not know the command either
                heeded = bool(self.person.run("hook", "list", hook, hooks=True).strip())
        if heeded:
            self.ran[hook] = None

    def heard_by(self) -> Iterator[str]:
        """Yield what is to be said of the hooks that ran: their names, and where they are."""
        if self.ran:
            folder = self._hooks.resolve()
            inside = folder.is_relative_to(self.repository.top)
            where = folder.relative_to(self.repository.top).as_posix() if inside else str(folder)
            more = " and the configuration" if self._configured & self.ran.keys() else ""
            yield f"hooks run: {', '.join(self.ran)} (in {where}{more})"

    def _heard(self, trees: Sequence[str]) -> list[str]:
        """Return the messages after the person's hooks have seen each step, as they see any commit."""
        present = [hook for hook in HOOKS if self._has(hook)]
        if not present:
            return [step.message for step in self.visit.steps]
        messages = []
        for step, tree in zip(self.visit.steps, trees, strict=True):
            self._put(step.text)
            self.person.run("read-tree", tree, more=self.index)
            file = self.folder / "COMMIT_EDITMSG"
            file.write_bytes(step.message.encode("utf-8", "surrogateescape"))
            for hook in present:
                words = {"pre-commit": [], "prepare-commit-msg": [str(file), "message"]}.get(hook, [str(file)])
                self._hook(hook, words, step)
            if (
                self.person.run("write-tree", "--missing-ok", more=self.index).strip() != tree
                or self.file.read_bytes() != self.work
            ):
                raise NoHistory("a hook changed what was to be committed; nothing was changed")
            messages.append(os.fsdecode(file.read_bytes()))
        return messages

    def _hook(self, hook: str, words: Sequence[str], step: Step) -> None:
        environment = {**self.index, "GIT_EDITOR": ":", "SETTINGSLINT_VISIT_STEP": step.label}
        try:
            self._noted(hook)
            self.person.hook(hook, self._hooks / hook, *words, **environment)
        except NoHistory as error:
            raise NoHistory(
                f"the {hook} hook refused the commit {step.label!r}; nothing was changed\n{_said(error)}"
            ) from None

    # files ------------------------------------------------------------------------------------------------------------

    def _put(self, text: bytes) -> None:
        """Put the profile in place as a whole, with the line ends that it has here."""
        content = text.replace(b"\r\n", b"\n").replace(b"\n", b"\r\n") if self.crlf else text
        if self.file.read_bytes() == content:
            self.work = content
            return
        put_bytes(self.file, content, edit=True, made_in=self.folder)
        self.work, self.touched = content, True

    def _put_back(self) -> None:
        """Put the profile back as it was, unless somebody else has changed it since."""
        try:
            if self.touched and self.file.read_bytes() == self.work:
                self._put(self.visit.old)
        except OSError as error:
            raise NoHistory(f"{self.file} could not be put back: {error.strerror or error}") from None

    def _blob_of_head(self) -> str:
        node = self.repository.find(self.visit.base.tree, self.name)
        assert node is not None
        return node.id

    def _finish(self, blob: str) -> list[str]:
        """Put the profile in place and let the index follow; the commits are there already."""
        text = self.visit.steps[-1].text if self.visit.steps else self.visit.old
        back = f"git checkout HEAD -- {self.name} brings it"
        try:
            self._put(text)
        except OSError as error:
            return [f"committed, but {self.file} could not be written ({error.strerror or error}): {back}"]
        try:
            self._noted("post-index-change")
            entry = f"{self.visit.node.mode:o},{blob},{self.name}"
            self.person.run("update-index", "--cacheinfo", entry, hooks=True)
        except NoHistory as error:
            why = _locked(self.repository.place, self.visit.branch) or error
            return [f"committed, but the index could not follow ({why}): git add {self.name} mends it"]
        with suppress(NoHistory):  # it fails where other files are changed, and has done its work all the same
            self.person.run("update-index", "-q", "--refresh")
        return []
