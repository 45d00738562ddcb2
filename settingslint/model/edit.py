"""Changing a profile's text with comments and layout kept."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from datetime import date
from difflib import SequenceMatcher
from typing import Any, Final

from settingslint.model.profile import PROPOSED, Entry, Profile
from settingslint.model.values import Value, one_line
from settingslint.plain import as_toml, plain
from settingslint.units import Kind, rounded
from settingslint.vocabulary.settings import SETTINGS

LONGEST_REASON: Final = 1950
"""Characters of a proposal's reason, with what is kept of an old one; a profile takes 2,000."""
BEFORE: Final = "; before, "
"""Between the reason of a proposal and that of the value before."""
Way = tuple[str, ...]
"""Where a value stands: the names of its tables and its key."""


def raw_value(value: Value, kind: Kind, profile: Profile) -> object:
    """Return an SI value as the profile writes it: in its units, whole where it is whole."""
    if isinstance(value, float) and kind is not Kind.FAN_SPEED:
        number = rounded(value, kind, profile.system)
        return int(number) if number == int(number) else number
    return value


def propose(profile: Profile, values: Mapping[str, Value], on: date, usual: Mapping[str, str] | None = None) -> str:
    """Return the profile's text with settings typed anew: not read back, dated, and marked as calculated.

    A setting that has the value already stays as it is. Behind the mark stand the usual values that were taken for what
    nobody recorded, and what somebody gave as the reason of the old value; the comment on its line says of which value
    it was.

    Args:
        profile: the profile.
        values: what is proposed, SI.
        on: the day.
        usual: with a setting, in words, the usual values that it rests on.
    """
    asked: dict[Way, object] = {}
    was: dict[Way, str] = {}
    for name in to_propose(profile, values):
        old = profile.settings.get(name)
        value = raw_value(values[name], SETTINGS[name].kind, profile)
        rests = f"; assuming {words}" if (words := (usual or {}).get(name)) else ""
        why = f"{PROPOSED}{rests}{_before(old, profile) if old else ''}"[:LONGEST_REASON]
        asked["settings", name] = {"value": value, "on": on, "why": why}
        was["settings", name] = _was(old, profile) if old else ""
    return edited(profile.source.text, asked, was)


def to_propose(profile: Profile, values: Mapping[str, Value]) -> list[str]:
    """Return the settings of these that the profile does not have already, as it would write them."""

    def raw(name: str, value: Value | None) -> object:
        return None if value is None else raw_value(value, SETTINGS[name].kind, profile)

    old = {name: entry.typed for name, entry in profile.settings.items()}
    return [name for name, value in values.items() if raw(name, old.get(name)) != raw(name, value)]


def _was(old: Entry, profile: Profile) -> str:
    """Return an old value as the file has it, or the word for why there was none."""
    if old.typed is None:
        return old.left or ""
    raw = raw_value(old.typed, SETTINGS[old.name].kind, profile)
    return str(raw).lower() if isinstance(raw, bool) else str(raw)


def _before(old: Entry, profile: Profile) -> str:
    """Return what follows the mark of a proposal: the old value's reason, or what an older proposal kept of it."""
    if old.why is not None and old.why.startswith(PROPOSED):
        _, mark, kept = old.why.removeprefix(PROPOSED).partition(BEFORE)
        return mark + kept
    said = [f"until {old.until}"] if old.until is not None else []
    if not said and not old.why:
        return ""
    reason = "".join(f": {one}" for one in [old.why] if one)
    return f"{BEFORE}{' '.join([_was(old, profile), *said])}{reason}"


class NotEditable(Exception):
    """Raised where a text can't be changed with its layout kept; the message says which value."""


def edited(text: str, values: Mapping[Way, object], was: Mapping[Way, str] | None = None) -> str:
    """Return a TOML text with values put at (table, key) or (table, table, key); comments and layout stay.

    A mapping becomes a table in braces, None takes the key away. What stands there already is not touched. Where `was`
    names an old value, the comment on its line is said to be of that. The result is read again and compared with what
    was asked for.

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
                _put(table, way[-1], value, (was or {}).get(way, ""))
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

    if isinstance(value, str):
        return tomlkit.value(as_toml(tomlkit.item(value).as_string()))
    if not isinstance(value, Mapping):
        return tomlkit.item(value)
    inside = as_toml(", ".join(f"{key} = {tomlkit.item(one).as_string()}" for key, one in value.items()))
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


def _put(table: Any, key: str, value: object, was: str = "") -> None:
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
            _put(old, one, inner, was)
        return
    item = _item(value)
    if old is not None:
        for part in ("indent", "comment_ws", "comment", "trail"):
            setattr(item.trivia, part, getattr(getattr(old, "trivia", item.trivia), part))
        if was and item.trivia.comment and not item.trivia.comment.startswith("# at "):
            item.trivia.comment = f"# at {plain(was)}: {item.trivia.comment.lstrip('# ')}"
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
