"""Results held in little memory: what many plants have alike is one object for all of them."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import replace
from sys import intern
from typing import Any, Final, TypeVar

from settingslint.audit import Result
from settingslint.model.values import Value
from settingslint.rules.plant import Summary

T = TypeVar("T", bound=Hashable)
_SHARED: Final[dict[Any, Any]] = {}
_NUMBERS: Final[dict[float, float]] = {}
MOST: Final = 500_000
"""So many different things are held; above it all are forgotten, and held again as they come."""


def shared(thing: T) -> T:
    """Return the one object that is held for all that are equal to it."""
    if len(_SHARED) > MOST:
        _SHARED.clear()
    return _SHARED.setdefault(thing, thing)  # type: ignore[no-any-return]


def numbers_shared(table: Mapping[str, Value]) -> dict[str, Value]:
    """Return a table in which equal numbers are one object.

    A zero stays as it is: it may be a negative one, which a dictionary does not tell from the other.
    """
    if len(_NUMBERS) > MOST:
        _NUMBERS.clear()
    held = _NUMBERS.setdefault
    return {name: held(one, one) if type(one) is float and one else one for name, one in table.items()}


def compact(result: Result) -> Result:
    """Return a result that holds as much as it can together with others."""
    summary = result.summary
    return replace(
        result,
        not_checked=tuple([shared(lack) for lack in result.not_checked]),
        checked=shared(result.checked),
        not_applicable=shared(result.not_applicable),
        owner_numbers=shared(result.owner_numbers),
        summary=replace(
            summary,
            settings=_named(summary.settings),
            facts=_named(summary.facts),
            at_default=shared(summary.at_default),
        ),
    )


def _named(table: Mapping[str, Value]) -> dict[str, Value]:
    return numbers_shared({intern(name): value for name, value in table.items()})


def summary_from(*values: Any) -> Summary:
    """Return a summary of the values of its fields, which were written one after the other."""
    summary = Summary(*values)
    return replace(summary, settings=numbers_shared(summary.settings), facts=numbers_shared(summary.facts))
