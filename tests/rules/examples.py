"""The examples in the rules' documentation, read as what they say: changes to the kit's plant."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, cast

from settingslint.rules.examples import passing, tripping
from settingslint.rules.rule import Rule
from tests.rules.kit import Style

STYLE = "control.reset_style"


@dataclass(frozen=True, slots=True)
class Example:
    """Changes at dotted paths to the kit's profile and control, and the control's reset style."""

    style: Style
    profile: Mapping[str, Any]
    control: Mapping[str, Any]


def example_of(rule: Rule, trips: bool) -> Example:
    """Return the example that trips a rule, or the one that passes.

    Raises:
        tomllib.TOMLDecodeError: where it is no TOML.
    """
    changes = {path: _plain(value) for path, value in (tripping if trips else passing)(rule).items()}
    control = {
        path.removeprefix("control."): changes.pop(path) for path in list(changes) if path.startswith("control.")
    }
    style = cast(Style, control.pop(STYLE, "one number"))
    return Example(style, changes, control)


def _plain(value: Any) -> Any:
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, dict):
        return {key: _plain(one) for key, one in value.items()}
    return [_plain(one) for one in value] if isinstance(value, list) else value
