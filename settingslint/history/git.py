"""The only place of the package that runs git, in two manners: `read`, which runs nothing else, and `Person`.

What reads gets an environment of its own, in which no repository and no configuration can name a program that is run:
no protocol, hook, file-system monitor, pager, helper or filter, and nothing is fetched. The repository is named in
full, so git looks for none; of the caller's variables of git only those count that say where git and its configuration
are. `Person` commits as the person would, with their identity, their signing key and, where asked, their hooks.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Mapping, Sequence
from functools import cache
from hashlib import sha1
from pathlib import Path
from secrets import token_hex
from typing import Final, NamedTuple

from settingslint.history import NoHistory
from settingslint.history.place import Place
from settingslint.model.values import one_line

OLDEST: Final = (2, 30)
"""The oldest git whose `rev-parse` knows where its options end."""
RUNS_HOOKS: Final = (2, 36)
"""From this git on a hook is run by `git hook run`."""
NOWHERE: Final = "/dev/null/none"
"""A file that can't be, on any system."""
QUIET: Final = {"core.fsmonitor": "", "core.hooksPath": NOWHERE}
"""What else may run when a command writes. No monitor is an empty one: before 2.36, `false` was a program's name."""
SILENT: Final = {
    **QUIET, "safe.bareRepository": "explicit", "protocol.allow": "never", "core.pager": "cat", "core.askPass": "",
    "credential.helper": "", "core.attributesFile": NOWHERE,
}  # fmt: skip
READING: Final = {
    "GIT_OPTIONAL_LOCKS": "0",
    "GIT_NO_REPLACE_OBJECTS": "1",
    "GIT_GRAFT_FILE": NOWHERE,
    "GIT_NO_LAZY_FETCH": "1",
    "GIT_PROTOCOL_FROM_USER": "0",
    "GIT_ALLOW_PROTOCOL": token_hex(16),  # one word that no configuration can know; with none, an empty name is allowed
    "GIT_TERMINAL_PROMPT": "0",
    "GIT_LITERAL_PATHSPECS": "1",
    "GIT_PAGER": "cat",
    "LC_ALL": "C",
}
WHERE: Final = ("GIT_EXEC_PATH", "GIT_CONFIG_GLOBAL", "GIT_CONFIG_SYSTEM", "GIT_CONFIG_NOSYSTEM")
OWN: Final = (
    *(f"GIT_{role}_{what}" for role in ("AUTHOR", "COMMITTER") for what in ("NAME", "EMAIL", "DATE")),
    "GIT_SSH", "GIT_SSH_COMMAND", "GIT_ASKPASS", "GIT_TERMINAL_PROMPT",
)  # fmt: skip
"""The caller's variables that count: for all commands, and for what a person commits."""


class Failed(NoHistory):
    """Git ended with an error; the message is the line that says why, `said` all of it."""

    def __init__(self, said: str) -> None:
        lines = [line.strip() for line in said.splitlines() if line.strip()]
        first = next((line for line in lines if line.startswith("fatal:")), lines[0] if lines else "")
        super().__init__(one_line(first.removeprefix("fatal: ") or "git failed"))
        self.said = said.strip()


def program() -> str:
    """Return the path of git.

    Raises:
        NoHistory: where it is not on the path. A relative folder on the path does not count: a repository may be there.
    """
    found = shutil.which("git")
    if found is None or not os.path.isabs(found):
        raise NoHistory("git is not on the path; what looks into the history needs it")
    return found


def too_old() -> str:
    """Return what to say where the git on the path is older than the oldest that serves, or an empty string."""
    found = version(program())
    if not found or found >= OLDEST:
        return ""
    return f"git {'.'.join(map(str, found))} is too old; what looks into the history needs 2.30 or newer"


@cache
def version(git: str) -> tuple[int, ...]:
    """Return the version of a git, as numbers; nothing where it does not tell."""
    words = _run([git, "version"], None, environment()).split()
    parts = words[2].split(b".")[:3] if len(words) > 2 else []
    return tuple(int(part) for part in parts if part.isdigit())


def environment(more: Mapping[str, str] | None = None, own: bool = False) -> dict[str, str]:
    """Return the variables that git gets: none of the caller's about git but those that count."""
    kept = (*WHERE, *OWN) if own else WHERE
    named = {name for name in os.environ if name.startswith(("GIT_CONFIG_KEY_", "GIT_CONFIG_VALUE_"))}
    named |= {"GIT_CONFIG_COUNT", *kept}
    plain = {name: value for name, value in os.environ.items() if not name.startswith("GIT_") or name in named}
    return plain | dict(more or {})


def _words(options: Mapping[str, str], words: Sequence[str]) -> list[str]:
    return [program(), *(part for name, value in options.items() for part in ("-c", f"{name}={value}")), *words]


def _run(words: Sequence[str], folder: Path | None, variables: Mapping[str, str], given: bytes = b"") -> bytes:
    """Run a command and return what it prints.

    Raises:
        NoHistory: where git is not there or fails.
    """
    try:
        done = subprocess.run(words, cwd=folder, env=variables, input=given, capture_output=True, check=False)
    except OSError as error:
        raise NoHistory(f"git can't be run: {error.strerror or error}") from None
    if done.returncode:
        raise Failed(os.fsdecode(done.stderr))
    return done.stdout


def _named(place: Place) -> dict[str, str]:
    return {"GIT_DIR": str(place.folder), "GIT_WORK_TREE": str(place.top)}


# reading --------------------------------------------------------------------------------------------------------------


def read(place: Place, *words: str, given: bytes = b"") -> bytes:
    """Run a command that reads, and nothing else; return what it prints.

    Raises:
        NoHistory: where git is not there or fails.
    """
    return _run(_words(SILENT, words), place.top, environment({**READING, **_named(place)}), given)


def identity(place: Place) -> str:
    """Return the name under which this person commits.

    Raises:
        NoHistory: where git does not know it.
    """
    variables = environment({**READING, **_named(place)}, own=True)
    try:
        for role in ("GIT_COMMITTER_IDENT", "GIT_AUTHOR_IDENT"):
            found = os.fsdecode(_run(_words(SILENT, ["var", role]), place.top, variables))
    except Failed as error:
        hint = "git config user.name and user.email set it"
        raise NoHistory(f"git does not know who commits; {hint} ({error})") from None
    return one_line(found.rpartition(" <")[0])


def agreed(place: Place) -> None:
    """Ask git whether it finds the same repository, and whether it trusts its owner.

    Raises:
        NoHistory: where it does not.
    """
    around = environment({**READING, "GIT_CEILING_DIRECTORIES": str(place.top.parent)})

    def ask(*words: str) -> str:
        return os.fsdecode(_run(_words(SILENT, ["rev-parse", *words]), place.top, around)).removesuffix("\n")

    try:
        told = ask("--absolute-git-dir", "--show-toplevel")
    except Failed:
        if ask("--is-bare-repository") == "true":
            raise NoHistory(f"{place.top} lies in a bare repository: there are no files to work with") from None
        raise
    if told != f"{place.folder.as_posix()}\n{place.top.as_posix()}" and not _same(told, place):
        raise NoHistory(f"git takes another repository than {place.folder} for the one around {place.top}: not opened")


def _same(told: str, place: Place) -> bool:
    """Return whether git's names of folder and top lead to the same places, as on disks that ignore case."""
    folder, _, top = told.partition("\n")
    try:
        return os.path.samefile(folder, place.folder) and os.path.samefile(top, place.top)
    except OSError:
        return False


class Found(NamedTuple):
    """An object: its kind, its size, and its content unless that was more than asked for."""

    kind: str
    size: int
    content: bytes | None


class Objects:
    """One long-lived reader of objects. It starts with the first question, and again after a fault."""

    def __init__(self, place: Place) -> None:
        self._place = place
        self._process: subprocess.Popen[bytes] | None = None
        self._owner = 0

    def close(self) -> None:
        """End the reader; that of the process from which this one was forked is left to it."""
        process, self._process = self._process, None
        if process is None or self._owner != os.getpid():
            return
        for stream in (process.stdin, process.stdout):
            try:
                assert stream is not None
                stream.close()
            except OSError:
                continue
        process.terminate()
        process.wait()

    def __del__(self) -> None:
        self.close()

    def read(self, id_: str, most: int) -> Found | None:
        """Return an object, without its content where that is larger than `most` bytes; None where it can't be read.

        Raises:
            NoHistory: where git is not there.
        """
        try:
            return self._read(id_, most)
        except (OSError, ValueError):
            self.close()
            return None

    def _read(self, id_: str, most: int) -> Found | None:
        if self._process is None:
            variables = environment({**READING, **_named(self._place)})
            self._process = subprocess.Popen(
                _words(SILENT, ["cat-file", "--batch"]), cwd=self._place.top, env=variables, stdin=subprocess.PIPE,
                stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
            )  # fmt: skip
            self._owner = os.getpid()
        put, get = self._process.stdin, self._process.stdout
        assert put is not None and get is not None
        put.write(f"{id_}\n".encode())
        put.flush()
        head = get.readline().split()
        if len(head) == 2:  # `ID missing`
            return None
        name, kind, length = head
        size = int(length)
        if name.decode() != id_:
            raise ValueError(name)
        content = get.read(size) if size <= most else None
        left = 1 if content is not None else size + 1
        while left:
            part = get.read(min(left, 1 << 20))
            if not part:
                raise ValueError("cut off")
            left -= len(part)
        if content is not None and sha1(b"%b %d\0%b" % (kind, size, content), usedforsecurity=False).hexdigest() != id_:
            return None  # git itself looks at that only when it is asked to
        return Found(kind.decode(), size, content)


# writing --------------------------------------------------------------------------------------------------------------


class Person:
    """Runs git on a repository as its owner would: with their identity and key, with hooks where a commit has them."""

    def __init__(self, place: Place) -> None:
        self._place = place

    def run(self, *words: str, hooks: bool = False, given: bytes = b"", more: Mapping[str, str] | None = None) -> str:
        """Return what git prints; no hook is run unless asked for.

        Raises:
            NoHistory: with what it says where it fails.
        """
        plain = {"LC_ALL": "C", "GIT_LITERAL_PATHSPECS": "1"} if hooks else READING
        variables = {**plain, **_named(self._place), **(more or {})}
        options = {"core.fsmonitor": ""} if hooks else QUIET
        return os.fsdecode(_run(_words(options, words), self._place.top, environment(variables, own=True), given))

    def hook(self, name: str, file: Path, *words: str, **more: str) -> None:
        """Run a hook in the environment that the person has, as git would.

        Raises:
            NoHistory: with what it says where it fails.
        """
        variables = environment(more, own=True)
        if version(program()) >= RUNS_HOOKS:
            command = ["hook", "run", "--ignore-missing", name, "--", *words]
        elif not file.is_file():
            return
        else:  # git's own shell, at the top of the work tree
            command = ["-c", 'alias.run-hook=!exec "$SETTINGSLINT_HOOK" >&2', "run-hook", *words]
            variables["SETTINGSLINT_HOOK"] = str(file)
        _run([program(), *command], self._place.top, variables)


def init(folder: Path) -> None:
    """Make a repository in a folder that has none.

    Raises:
        NoHistory: where git is not there or fails.
    """
    _run(_words({}, ["init", "--quiet", "--initial-branch=main"]), folder, environment())
