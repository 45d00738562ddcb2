"""What a rule is: metadata, the facts it needs, and one function that yields what it found.

A rule sees a `Plant` of effective values and facts, never a file, a clock or git. A fact that is missing is answered
by the mechanism (`settingslint.checking.audit`), not by the rule: the accessors of `Plant` raise `Missing`.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, Any, Final

from settingslint.model.values import Value
from settingslint.units import Kind

if TYPE_CHECKING:
    from settingslint.rules.plant import Plant
    from settingslint.rules.summary import Plants, Summary


class Severity(StrEnum):
    """The worst credible outcome, worst first."""

    DANGER = "danger"
    DAMAGE = "damage"
    OUTAGE = "outage"
    WASTE = "waste"
    RECORD = "record"

    @property
    def rank(self) -> int:
        """0 for danger up to 4 for record."""
        return _RANKS[self]

    def at_least(self, other: Severity) -> bool:
        """Return whether this is as bad as the other, or worse."""
        return self.rank <= other.rank

    def forbids(self, other: Severity) -> bool:
        """Return whether a new finding of this severity is too high a price for the end of one of the other."""
        return self.rank < other.rank or (self is other and self.at_least(Severity.OUTAGE))


_RANKS: Final = {severity: rank for rank, severity in enumerate(Severity)}


class Certainty(StrEnum):
    """How far a finding follows from what is recorded."""

    PROVEN = "proven"
    LIKELY = "likely"
    ASK = "ask"


class Missing(Exception):
    """A setting or fact that is not known; raised by accessors, or yielded by a rule that can go on."""

    def __init__(self, name: str, why: str = "") -> None:
        self.name = name
        self.why = why


class DoesNotApply(Exception):
    """The rule has nothing to say about this plant, and that is known."""


@dataclass(frozen=True, slots=True)
class Threshold:
    """A number that is habit, not law or physics; an owner can set it in portfolio.toml by its name. `value` is SI."""

    name: str
    value: float
    kind: Kind
    origin: str
    means: str


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number that proves a finding, in SI, with its kind; `unit` where the kind has none of its own."""

    value: float
    kind: Kind
    unit: str | None = None


@dataclass(frozen=True, slots=True)
class Remedy:
    """The way out. `set` proposes settings in SI: temperatures, times and switches only, never firing or limits.

    `verified` is set by the audit: with `set` applied the finding is gone and nothing as bad or worse is new.
    """

    text: str
    set: Mapping[str, Value] = field(default_factory=dict)
    verified: bool | None = None


@dataclass(frozen=True, slots=True)
class Draft:
    """What a rule yields; the audit completes it to a `Finding`."""

    at: str
    message: str
    numbers: Mapping[str, Quantity] = field(default_factory=dict)
    remedy: Remedy | None = None
    severity: Severity | None = None
    certainty: Certainty | None = None
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Finding:
    """A finding with its proof and its place. `typed` and `effective` are SI; `at` is a setting or a fact."""

    rule: str
    severity: Severity
    certainty: Certainty
    at: str
    message: str
    typed: Value | None
    effective: Value | None
    numbers: Mapping[str, Quantity]
    remedy: Remedy | None
    cautions: tuple[str, ...]
    sources: tuple[str, ...]
    file: str
    line: int
    column: int
    accepted: Mapping[str, str] | None = None
    """because, by, until of the acceptance that covers it."""


@dataclass(frozen=True, slots=True)
class NotChecked:
    """A rule that lacked something: the names it needs, and why where that says more."""

    rule: str
    needs: tuple[str, ...]
    why: str = ""


PlantCheck = Callable[["Plant"], Iterable["Draft | Missing"]]
GroupCheck = Callable[["Plants"], Iterable["tuple[Summary, Draft | Missing]"]]


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule. `scope` is `plant`, or for rules about several plants `group`, `site` or `portfolio`.

    A rule of scope `acceptance` looks, after all others, at what a profile accepts and at what was found.

    `only_if` names facts or settings and the values with which the rule applies at all, `applies` says it by code;
    `needs` is what must be known after that.
    """

    name: str
    severity: Severity
    certainty: Certainty
    needs: tuple[str, ...]
    only_if: Mapping[str, tuple[Value, ...]]
    cautions: tuple[str, ...]
    source: tuple[str, ...]
    assumes: str
    thresholds: tuple[Threshold, ...]
    scope: str
    applies: Callable[[Plant], bool] | None
    trips: str
    passes: str
    history: tuple[str, str]
    check: Callable[[Any], Iterable[Any]]

    @property
    def doc(self) -> str:
        """The rule's documentation: what it looks for, and the formula."""
        return inspect.cleandoc(self.check.__doc__ or "")

    @property
    def title(self) -> str:
        """The first line of the documentation."""
        return self.doc.partition("\n")[0]


def rule(
    name: str,
    *,
    severity: Severity,
    certainty: Certainty = Certainty.PROVEN,
    needs: Sequence[str] = (),
    only_if: Mapping[str, Sequence[Value]] | None = None,
    cautions: Sequence[str],
    source: str | Sequence[str],
    assumes: str = "",
    thresholds: Sequence[Threshold] = (),
    scope: str = "plant",
    applies: Callable[[Plant], bool] | None = None,
    trips: str = "",
    passes: str = "",
    history: tuple[str, str] = ("", ""),
) -> Callable[[Callable[[Any], Iterable[Any]]], Rule]:
    """Make a function a rule; its docstring is the user's documentation.

    Args:
        name: words joined by hyphens, of the trade.
        severity: worst credible outcome.
        certainty: what can be said at best.
        needs: settings and facts that must be known, else the rule is not checked.
        only_if: names and the values with which the rule applies at all.
        cautions: classes of `settingslint.vocabulary.cautions`.
        source: where the threshold or formula comes from.
        assumes: for a likely finding, the assumption, in words that end "(assumes ...)".
        thresholds: numbers of habit that an owner can set.
        scope: plant, group, site, portfolio or acceptance.
        applies: says of a plant whether the rule applies at all, where that takes more than `only_if`: a thing that is
            switched off needs no facts.
        trips: changes to a correctly set plant that trip the rule, TOML, as in an inline table.
        passes: what of them is different, or added, in an example that passes.
        history: of what history each example speaks, where a file alone can't show it.
    """
    sources = (source,) if isinstance(source, str) else tuple(source)
    values_of = {key: tuple(values) for key, values in (only_if or {}).items()}

    def make(check: Callable[[Any], Iterable[Any]]) -> Rule:
        return Rule(
            name, severity, certainty, tuple(needs), values_of, tuple(cautions), sources, assumes,
            tuple(thresholds), scope, applies, trips, passes, history, check,
        )  # fmt: skip

    return make


def found(
    at: str,
    message: str,
    numbers: Mapping[str, Quantity] | None = None,
    remedy: Remedy | str | None = None,
    *,
    severity: Severity | None = None,
    certainty: Certainty | None = None,
    cautions: Sequence[str] = (),
) -> Draft:
    """Return what a rule found; `severity` and `certainty` only where they differ from the rule's."""
    if isinstance(remedy, str):
        remedy = Remedy(remedy)
    return Draft(at, message, numbers or {}, remedy, severity, certainty, tuple(cautions))


def celsius_of(value: float) -> Quantity:
    """Return a point on the temperature scale as a proof."""
    return Quantity(value, Kind.POINT)


def kelvin_of(value: float) -> Quantity:
    """Return a temperature difference as a proof."""
    return Quantity(value, Kind.DIFFERENCE)


def watts_of(value: float) -> Quantity:
    """Return a power as a proof."""
    return Quantity(value, Kind.POWER)


def minutes_of(seconds: float) -> Quantity:
    """Return a time in seconds as a proof shown in minutes."""
    return Quantity(seconds, Kind.MINUTES)


Drafts = Iterator[Draft | Missing]
"""What a rule's function returns."""

DANGER, DAMAGE, OUTAGE, WASTE, RECORD = Severity
PROVEN, LIKELY, ASK = Certainty
