"""The two examples of a rule: changes to a correctly set plant, kept as a line of TOML, shown as a file has them."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from itertools import groupby
from typing import Any, Final

from settingslint.rules.rule import Rule

TABLES: Final = ("", "combustion", "control", "control.setting")
"""Tables that hold tables; `control` is the control file beside the profile."""
CONTROL: Final = "control."


def tripping(rule: Rule) -> dict[str, Any]:
    """Return what trips a rule, by dotted path; without what only a history can show."""
    return _flat(tomllib.loads(f"_ = {{ {rule.trips} }}")["_"])


def passing(rule: Rule) -> dict[str, Any]:
    """Return what does not trip it: the tripping example with the differences that the rule states."""
    return {**tripping(rule), **_flat(tomllib.loads(f"_ = {{ {rule.passes} }}")["_"])}


def as_toml(example: Mapping[str, Any]) -> str:
    """Return an example as a profile has it, in tables.

    >>> print(as_toml({"settings.keep_warm": "off", "emitter": [{"mixed": True}]}))
    [settings]
    keep_warm = "off"
    [[emitter]]
    mixed = true
    """
    return "\n".join(_lines(example))


def _lines(example: Mapping[str, Any]) -> Iterator[str]:
    for table, pairs in groupby(example.items(), key=lambda pair: pair[0].rpartition(".")[0]):
        if table:
            if table.startswith(CONTROL):
                yield "# in the control file"
            yield f"[{table.removeprefix(CONTROL)}]"
            yield from (f"{path.rpartition('.')[2]} = {_value(value)}" for path, value in pairs)
            continue
        for name, tables in pairs:
            for one in tables:
                yield f"[[{name}]]"
                yield from (f"{key} = {_value(value)}" for key, value in one.items())


def _value(value: Any) -> str:
    from tomlkit import item

    if isinstance(value, dict):
        return f"{{ {', '.join(f'{key} = {_value(one)}' for key, one in value.items())} }}"
    if isinstance(value, list):
        return f"[{', '.join(map(_value, value))}]"
    return str(item(value).as_string())


def _flat(data: Mapping[str, Any], above: str = "") -> dict[str, Any]:
    """Return tables as dotted paths down to settings and facts, whose own tables stay whole."""
    flat: dict[str, Any] = {}
    for key, value in data.items():
        path = f"{above}.{key}" if above else key
        if isinstance(value, dict) and above in TABLES:
            flat.update(_flat(value, path))
        else:
            flat[path] = value
    return flat
