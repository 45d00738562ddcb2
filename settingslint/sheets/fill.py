"""Answers of a table go into a profile that is there: only what nobody recorded in it; comments and layout stay."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from typing import Any, Final

from settingslint.model.edit import NotEditable, edited, raw_value
from settingslint.model.profile import Fact, Profile
from settingslint.model.values import kind_of

HEADER: Final = "[[emitter]]"


def filled(there: Profile, fresh: Profile) -> tuple[str, list[str]]:
    """Return the text of a profile with what another one knows and it does not, and the names of what was added.

    A visit is not filled in: it is recorded by `visit`.

    Raises:
        NotEditable: where its layout does not allow it.
    """
    added = dict(_added(there, fresh))
    text = edited(there.source.text, {tuple(name.split(".")): value for name, value in added.items()} if added else {})
    emitter = dict(_emitter(there, fresh))
    if emitter:
        text = _with_emitter(text, emitter)
    return text, [*added, *(f"emitter.{name}" for name in emitter)]


def _added(there: Profile, fresh: Profile) -> Iterator[tuple[str, object]]:
    for name, fact in fresh.facts.items():
        if name not in there.facts and not name.startswith("visit."):
            yield name, _raw(fact, name, there)
    for name, entry in fresh.settings.items():
        if name not in there.settings and entry.typed is not None:
            yield f"settings.{name}", raw_value(entry.typed, kind_of(name), there)


def _emitter(there: Profile, fresh: Profile) -> Iterator[tuple[str, object]]:
    """Yield what is new about the first emitter, which is the only one in a table."""
    known = there.emitters[0] if there.emitters else {}
    for name, fact in (fresh.emitters[0] if fresh.emitters else {}).items():
        if name not in known:
            yield name, _raw(fact, f"emitter.{name}", there)


def _raw(fact: Fact, name: str, there: Profile) -> object:
    value = raw_value(fact.value, kind_of(name), there)
    return value if fact.source is None else {"value": value, "from": fact.source}


def _with_emitter(text: str, added: Mapping[str, object]) -> str:
    """Return a text with keys added below its first heading of emitters, or with such a heading at its end."""
    key = "x"
    body = edited(f"[{key}]\n", {(key, name): value for name, value in added.items()}).split("\n", 1)[1].strip("\n")
    lines = text.split("\n")
    if HEADER in (one.strip() for one in lines):
        at = next(index for index, line in enumerate(lines) if line.strip() == HEADER)
        lines[at + 1 : at + 1] = body.split("\n")
        changed = "\n".join(lines)
    else:
        changed = f"{text.rstrip()}\n\n{HEADER}\n{body}\n"
    old: dict[str, Any]
    try:
        old, new = tomllib.loads(text), tomllib.loads(changed)
    except tomllib.TOMLDecodeError as error:
        raise NotEditable(f"the text can't be changed with its layout kept: {error}") from None
    first = old.setdefault("emitter", [{}])[0]
    first.update(added)
    if old != new:
        raise NotEditable("the text can't be changed with its layout kept: emitter")
    return changed
