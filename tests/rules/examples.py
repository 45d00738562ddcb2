"""The examples in the rules' documentation, read as what they say: changes to the kit's plant."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from textwrap import dedent
from typing import Any, Final, cast

from settingslint.model.control import RESET_STYLES
from settingslint.rules.base import Rule
from tests.rules.kit import Style

STYLE: Final = "# reset style:"


@dataclass(frozen=True, slots=True)
class Example:
    """Changes at dotted paths to the kit's profile and control, and the control's reset style."""

    style: Style
    profile: Mapping[str, Any]
    control: Mapping[str, Any]


def example_of(rule: Rule, heading: str) -> Example | None:
    """Return the example below "Trips" or "Passes" in a rule's documentation, None where there is none in TOML.

    Raises:
        tomllib.TOMLDecodeError: where it is no TOML.
    """
    lines = rule.doc.splitlines()
    start = next((index for index, line in enumerate(lines) if line.strip() == f"{heading}:"), None)
    if start is None:
        return None
    block = []
    for line in lines[start + 1 :]:
        if line.strip() and not line.startswith("    "):
            break
        block.append(line)
    text = dedent("\n".join(block))
    style = next(
        (line.removeprefix(STYLE).strip() for line in text.splitlines() if line.startswith(STYLE)), "one number"
    )
    assert style in RESET_STYLES, style
    data = tomllib.loads(text)
    control = data.pop("control", {})
    return Example(cast(Style, style), _flat(data), _flat(control))


THREE_DEEP: Final = ("setting", "size", "combustion")


def _flat(data: Mapping[str, Any]) -> dict[str, Any]:
    """Return tables as dotted paths, as deep as a value stands; settings' and facts' own tables stay whole."""
    flat: dict[str, Any] = {}
    for key, value in data.items():
        if not isinstance(value, dict):
            flat[key] = _plain(value)
        elif key in THREE_DEEP:
            flat.update({f"{key}.{rest}": one for rest, one in _flat(value).items()})
        else:
            flat.update({f"{key}.{name}": _plain(one) for name, one in value.items()})
    return flat


def _plain(value: Any) -> Any:
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, dict):
        return {key: _plain(one) for key, one in value.items()}
    return [_plain(one) for one in value] if isinstance(value, list) else value
