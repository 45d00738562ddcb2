"""What a change weakens: what an acceptance, the owner's file or a control file now lets pass, and what it silences."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from settingslint.rules.base import Severity

NUMBER: Final = "owner's number"
SEVERITY: Final = "severity"
WEATHER: Final = "weather file"
USUAL: Final = "owner's usual value"
ACCEPTANCE: Final = "acceptance"
CONTROL: Final = "control file"
OTHER_CONTROL: Final = "other control file"
GONE: Final = "plant gone"
TOGETHER: Final = "together"
WEAKENED: Final = "weakened"
TITLE: Final = "What this change weakens"


@dataclass(frozen=True, slots=True)
class Weakening:
    """One thing that lets more pass than it did, with how many findings of each severity it silences, worst first.

    `name` is of a rule, a number or a setting; `old` and `new` are as a reader has them, empty where there is none.
    A finding is silenced that the plant as it is would have, open and as severe, were this one thing as it was.
    """

    what: str
    name: str
    old: str
    new: str
    text: str
    silences: tuple[tuple[Severity, int], ...]
    file: str
    line: int = 1
    column: int = 1
    site: str = ""
    plant: str = ""

    @property
    def said(self) -> str:
        """The one sentence that says it."""
        counts = ", ".join(f"{count} {severity}" for severity, count in self.silences)
        return f"{self.file}: {self.text}: silences {counts or 'nothing that is found now'}"


def counted(severities: Iterable[Severity]) -> tuple[tuple[Severity, int], ...]:
    """Return how many there are of each severity, worst first.

    >>> counted([Severity.WASTE, Severity.DANGER, Severity.WASTE])
    ((<Severity.DANGER: 'danger'>, 1), (<Severity.WASTE: 'waste'>, 2))
    """
    return tuple(sorted(Counter(severities).items(), key=lambda pair: pair[0].rank))


def worst_first(found: Iterable[Weakening]) -> tuple[Weakening, ...]:
    """Return weakenings, those that silence the worst and the most of it first."""

    def weight(one: Weakening) -> tuple[object, ...]:
        counts = dict(one.silences)
        return (*(-counts.get(severity, 0) for severity in Severity), one.file, one.line, one.text)

    return tuple(sorted(found, key=weight))
