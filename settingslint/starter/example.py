"""The example portfolio with its history: what stands today, and step by step what stood before.

The last state is the portfolio that comes with the program, byte for byte. A step keeps the lines that stood before it,
so the states are made backwards and then committed forwards. The schemas that editors want lie beside it from the first
commit on, and the files name them there.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any, Final

from settingslint.history.past import DATE, REASON, STEP
from settingslint.history.start import commit_states
from settingslint.history.visit import KIND, ROLE, WORK_ORDER
from settingslint.model.validate import SCHEMA_NAMES, schema_text
from settingslint.rules.past import AS_FOUND, AS_LEFT

MAIL: Final = "example.org"
"""The domain of everybody in the example."""
IGNORED: Final = ".settingslint/\n"
PICTURE: Final = ".svg"
"""What lies beside the example for those who read about it, and is no part of it."""
TRAILERS: Final = {"step": STEP, "reason": REASON, "role": ROLE, "kind": KIND, "work_order": WORK_ORDER}

Files = dict[str, bytes]
"""What a state holds: content by path, with slashes."""


@dataclass(frozen=True, slots=True)
class Moment:
    """One commit of the example: when, who, what is said, and every file as it then stands."""

    at: datetime
    by: str
    message: str
    files: Files

    @property
    def mail(self) -> str:
        """An invented address."""
        return f"{re.sub(r'[^a-z]+', '.', self.by.casefold()).strip('.')}@{MAIL}"


def example_files() -> Files:
    """Return the example portfolio from the installed package, or from the checkout beside it."""
    packaged = resources.files("settingslint") / "profiles"
    root: Traversable = packaged if packaged.is_dir() else Path(__file__).parents[2] / "profiles"
    return dict(sorted(_below(root, "")))


def _below(folder: Traversable, prefix: str) -> Iterator[tuple[str, bytes]]:
    for item in folder.iterdir():
        if item.is_dir():
            if not item.name.startswith((".", "__")):
                yield from _below(item, f"{prefix}{item.name}/")
        elif not item.name.startswith(".") and not item.name.endswith(PICTURE):
            yield prefix + item.name, item.read_bytes()


def moments(files: Files) -> list[Moment]:
    """Return the commits that lead to these files, oldest first.

    Raises:
        ValueError: where the history names a place that a file does not have.
    """
    text = (resources.files("settingslint.starter") / "files" / "history.toml").read_text(encoding="utf-8")
    steps: list[dict[str, Any]] = tomllib.loads(text)["step"]
    found: list[Moment] = []
    state = dict(files)
    for step in reversed(steps):
        at = datetime.fromisoformat(step["at"]).replace(tzinfo=UTC)
        found.append(Moment(at, step["by"], _message(step), dict(state)))
        for name, lines in step.get("before", {}).items():
            path = f"sites/{name}.toml"
            state[path] = before(state[path].decode(), lines).encode()
        for path in step.get("made", ()):
            del state[path]
    if state:
        raise ValueError(f"the history never makes {', '.join(state)}")
    return found[::-1]


def _message(step: Mapping[str, Any]) -> str:
    visit: Mapping[str, str] = step.get("visit", {})
    if not visit:
        return f"{step['message']}\n"
    assert visit["step"] in (AS_FOUND, AS_LEFT)
    trailers = {DATE: step["at"][:10], **{TRAILERS[key]: value for key, value in visit.items()}}
    return f"{step['message']}\n\n" + "".join(f"{key}: {value}\n" for key, value in trailers.items())


def before(text: str, lines: Sequence[str]) -> str:
    """Return a profile's text with lines as they stood before: `settings.reset_endpoint = 76`.

    A line without a value was not there; `[[accepted]] =` says that no acceptance was.

    >>> before('[settings]\\nkeep_warm = 8   # long\\n', ["settings.keep_warm = 4", "visit.on = 2025-01-02"])
    '[settings]\\nkeep_warm = 4\\n\\n[visit]\\non = 2025-01-02\\n'
    """
    for line in lines:
        place, _, value = line.partition(" = ")
        if place == "[[accepted]]":
            text = text.partition("[[accepted]]")[0].rstrip("\n") + "\n"
            continue
        table, _, key = place.rpartition(".")
        text = _put(text, table, key, value.strip())
    return text


def _put(text: str, table: str, key: str, value: str) -> str:
    head = re.search(rf"^\[{re.escape(table)}\]\n", text, re.MULTILINE)
    line = f"{key} = {value}\n" if value else ""
    if head is None:
        return f"{text.rstrip()}\n\n[{table}]\n{line}" if line else text
    end = re.compile(r"^\[|\Z", re.MULTILINE).search(text, head.end())
    assert end is not None
    inside = text[head.end() : end.start()]
    changed, count = re.subn(rf"^{re.escape(key)} = .*\n", lambda _: line, inside, count=1, flags=re.MULTILINE)
    if not count and line:
        bare = inside.rstrip("\n")
        changed = f"{bare}\n{line}{inside[len(bare) + 1 :]}"
    if not changed.strip():  # a table of which nothing is left
        return text[: head.start()].rstrip("\n") + "\n" + (f"\n{text[end.start() :]}" if text[end.start() :] else "")
    return text[: head.end()] + changed + text[end.start() :]


def with_schemas(files: Files) -> Files:
    """Return files that name the schemas in their own portfolio and no longer those beside it.

    >>> with_schemas({"sites/a/b.toml": b"#:schema ../../../schemas/profile.schema.json"})
    {'sites/a/b.toml': b'#:schema ../../schemas/profile.schema.json'}
    """
    return {
        path: re.sub(rb"\A#:schema \.\./(?=(\.\./)*schemas/)", b"#:schema ", content) for path, content in files.items()
    }


def write_example(folder: Path) -> int:
    """Write the example with its history into an empty folder that is there; return the number of commits.

    Raises:
        OSError: where something can't be written, or git is not there or fails.
    """
    schemas = {f"schemas/{name}.schema.json": schema_text(name).encode() for name in SCHEMA_NAMES}
    story = [replace(one, files={**with_schemas(one.files), **schemas}) for one in moments(example_files())]
    commit_states(folder, story, IGNORED)
    return len(story)
