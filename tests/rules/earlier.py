"""Earlier states of the kit's plant, as its history would tell them, in the kit's US units."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from settingslint.model.values import kind_of, value_from_file
from settingslint.rules.past import Left, Past


def earlier(
    on: str, typed: Mapping[str, Any] | None = None, facts: Mapping[str, Any] | None = None, kind: str = "as left"
) -> Left:
    """Return one state that was left on a day: settings by name, facts by dotted name."""

    def si(values: Mapping[str, Any] | None) -> dict[str, Any]:
        return {name: value_from_file(value, kind_of(name), "us") for name, value in (values or {}).items()}

    return Left(date.fromisoformat(on), "A. Lund", kind, si(typed), si(facts))


def past(*states: Left) -> dict[str, Past]:
    """Return states, oldest first, as what `ask` takes."""
    return {"past": Past(states)}
