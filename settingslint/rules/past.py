"""The states that earlier commits left, as rules see them; made from git by `settingslint.history`."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from settingslint.model.values import Value
from settingslint.rules.base import DoesNotApply, Missing


@dataclass(frozen=True, slots=True)
class Left:
    """One state that an earlier commit left: date, what kind of visit, and the values typed, SI."""

    on: date
    by: str
    kind: str
    typed: Mapping[str, Value]
    facts: Mapping[str, Value]


@dataclass(frozen=True, slots=True)
class Past:
    """The states before the present one, oldest first."""

    states: tuple[Left, ...]

    def before(self, now: Mapping[str, Value]) -> Left:
        """Return the last state in which something else was typed, or else the last one.

        Raises:
            DoesNotApply: where there is no earlier state.
        """
        if not self.states:
            raise DoesNotApply("no earlier state")
        return next((state for state in reversed(self.states) if state.typed != now), self.states[-1])


def known(past: Past | None) -> Past:
    """Return the past.

    Raises:
        Missing: where there is no history.
    """
    if past is None:
        raise Missing("history")
    return past
