"""Changing a profile's text with comments and layout kept."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from datetime import date
from difflib import SequenceMatcher
from typing import Any, Final

from settingslint.model.profile import Profile
from settingslint.model.values import Value, one_line
from settingslint.units import Kind, rounded
from settingslint.vocabulary.settings import SETTINGS

PROPOSED: Final = "worked out from the recorded facts; not yet set at the boiler"
"""The reason that a proposal carries until somebody has set it."""
Way = tuple[str, ...]
"""Where a value stands: the names of its tables and its key."""


def raw_value(value: Value, kind: Kind, profile: Profile) -> object:
    """Return an SI value as the profile writes it: in its units, whole where it is whole."""
    if isinstance(value, float) and kind is not Kind.FAN_SPEED:
        number = rounded(value, kind, profile.system)
        return int(number) if number == int(number) else number
    return value


def propose(profile: Profile, values: Mapping[str, Value], on: date) -> str:
    """Return the profile's text with settings asked for anew: not read back, dated, and marked as worked out."""
    return edited(profile.source.text, {
        ("settings", name): {"value": raw_value(value, SETTINGS[name].kind, profile), "on": on, "why": PROPOSED}
        for name, value in values.items()
    })  # fmt: skip


class NotEditable(Exception):
    """Raised where a text can't be changed with its layout kept; the message says which value."""


def edited(text: str, values: Mapping[Way, object]) -> str:
    """Return a TOML text with values put at (table, key) or (table, table, key); comments and layout stay.

    A mapping becomes a table in braces, None takes the key away. What stands there already is not touched. The result
    is read again and compared with what was asked for.

    Raises:
        NotEditable: where the text is laid out in a way that does not allow it.
    """
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    try:
        document: Any = tomlkit.parse(text)
        plain = str(document.as_string())
        for way, value in values.items():
            table = document
            for part in way[:-1]:
                if part not in table:
                    if value is None:
                        break
                    table[part] = tomlkit.table()
                table = table[part]
            else:
                _put(table, way[-1], value)
        changed = _with_own_lines(text, plain, str(document.as_string()))
        old, new = tomllib.loads(text), tomllib.loads(changed)
        if repr(old) == repr(new):
            return text
        _compare(old, new, values)
    except (TOMLKitError, tomllib.TOMLDecodeError, KeyError, TypeError, ValueError, AttributeError) as error:
        raise NotEditable(f"the text can't be changed with its layout kept: {one_line(str(error))}") from None
    if "\r\n" in text and "\n" not in text.replace("\r\n", ""):
        changed = changed.replace("\r\n", "\n").replace("\n", "\r\n")
    return changed


def _with_own_lines(text: str, plain: str, changed: str) -> str:
    """Return a changed text with the lines that only reading and writing changed as they were.

    `plain` is the text read and written, nothing else: a date in braces loses the blank behind it.
    """
    own, written, lines = (one.split("\n") for one in (text, plain, changed))
    if plain == text or len(own) != len(written):
        return changed
    for start, at, count in SequenceMatcher(None, written, lines, autojunk=False).get_matching_blocks():
        lines[at : at + count] = own[start : start + count]
    return "\n".join(lines)


def _item(value: object) -> Any:
    import tomlkit

    if not isinstance(value, Mapping):
        return tomlkit.item(value)
    inside = ", ".join(f"{key} = {tomlkit.item(one).as_string()}" for key, one in value.items())
    table: Any = tomlkit.value(f"{{ {inside} }}" if inside else "{}")
    if not table.as_string().endswith((" }", "{}")):  # a date at the end takes the blank for its own
        table.value.body.append((None, tomlkit.ws(" ")))
    return table


def _held(table: Any, key: str) -> Any:
    """Return the item of a key, or None; a plain look-up gives some of them without their comment."""
    from tomlkit.container import Container

    if key not in table:
        return None
    container = table if isinstance(table, Container) else table.value
    return container.item(key) if isinstance(container, Container) else table[key]


def _put(table: Any, key: str, value: object) -> None:
    from tomlkit.items import Table

    old = _held(table, key)
    if value is None:
        if old is not None:
            del table[key]
        return
    if old is not None and old.unwrap() == value and type(old.unwrap()) is type(value):
        return
    if isinstance(old, Table):  # a table under its own heading, or of dotted keys, stays one
        wanted = value if isinstance(value, Mapping) else {"value": value}
        for gone in [one for one in old if one not in wanted]:
            del old[gone]
        for one, inner in wanted.items():
            _put(old, one, inner)
        return
    item = _item(value)
    if old is not None:
        for part in ("indent", "comment_ws", "comment", "trail"):
            setattr(item.trivia, part, getattr(getattr(old, "trivia", item.trivia), part))
        table[key] = item
        return
    body = table.value.body if isinstance(table, Table) else []
    last = next((one for one, held in reversed(body) if one is not None and not isinstance(held, Table)), None)
    if last is None or table.is_super_table():
        table[key] = item
        return
    trivia = getattr(_held(table, last.key), "trivia", item.trivia)
    item.trivia.indent = trivia.indent
    item.trivia.trail = trivia.trail = trivia.trail or "\n"
    table.value._insert_after(last, key, item)


def _compare(old: dict[str, Any], new: dict[str, Any], values: Mapping[Way, object]) -> None:
    """Raise where the new data is not the old one with the values put in."""
    for way, value in values.items():
        at = old
        for part in way[:-1]:
            at = at.get(part, {}) if value is None else at.setdefault(part, {})
        if value is None:
            at.pop(way[-1], None)
        elif isinstance(at.get(way[-1]), dict) and not isinstance(value, Mapping):
            at[way[-1]] = new.get(way[0], {}).get(way[-1])
            if at[way[-1]] not in (value, {"value": value}):
                raise ValueError(".".join(way))
        else:
            at[way[-1]] = dict(value) if isinstance(value, Mapping) else value
    if old != new:
        raise ValueError(", ".join(one for one in {**old, **new} if old.get(one) != new.get(one)))
