"""What a rule finds, and what it lacks: severity, certainty, the proof, the remedy."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Final

from settingslint.model.values import Value
from settingslint.units import Kind
from settingslint.vocabulary.settings import FIRING


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


def worse(one: Severity, other: Severity) -> Severity:
    """Return the worse of two severities."""
    return one if one.at_least(other) else other


_RANKS: Final = {severity: rank for rank, severity in enumerate(Severity)}


class Certainty(StrEnum):
    """How far a finding follows from what is recorded."""

    PROVEN = "proven"
    LIKELY = "likely"
    ASK = "ask"


class Missing(Exception):
    """A setting or fact that is not known; raised by accessors, or yielded by a rule that can go on.

    `kind` is the state of the setting's effect (`settingslint.model.effect`), empty for facts.
    """

    def __init__(self, name: str, why: str = "", kind: str = "") -> None:
        self.name = name
        self.why = why
        self.kind = kind


class DoesNotApply(Exception):
    """The rule has nothing to say about this plant, and that is known."""


ROUNDING: Final = 1e-9
"""What a conversion may add to a number that is at its bound."""


@dataclass(frozen=True, slots=True)
class Threshold:
    """A number that is habit, not law or physics; an owner can set it in portfolio.toml by its name. Numbers are SI.

    An owner's number outside `low` to `high` is refused and this one holds; `reason` says why there, by a published
    source or common practice.
    """

    name: str
    value: float
    kind: Kind
    origin: str
    means: str
    low: float
    high: float
    reason: str
    looser: str = ""

    def takes(self, value: float) -> bool:
        """Return whether an owner may set this number, SI; one that is no number is never taken."""
        return self.low - ROUNDING <= value <= self.high + ROUNDING


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number that proves a finding, in SI, with its kind; `unit` where the kind has none of its own."""

    value: float
    kind: Kind
    unit: str | None = None


@dataclass(frozen=True, slots=True)
class Remedy:
    """The fix. `set` proposes settings in SI: temperatures, times and switches only, never firing or limits.

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
    tool_severity: Severity | None = None
    """The severity before the owner set another; set by the audit."""
    remarks: tuple[str, ...] = ()
    """What it rests on, each a few words; added by the audit."""
    question: str = ""
    """What is to be asked, and `case` with which answer it is so; set by the audit."""
    case: str = ""
    asks: tuple[str, ...] = ()
    """Names that nobody recorded and whose answer decides whether this is so; set by the audit."""
    assumed: tuple[str, ...] = ()
    """Names that nobody recorded and of which something is assumed; set by the audit."""


@dataclass(frozen=True, slots=True)
class Finding:
    """A finding with its proof and its place. `typed` and `effective` are SI; `at` is a setting or a fact."""

    rule: str
    severity: Severity
    certainty: Certainty
    at: str
    says: str
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
    tool_severity: Severity | None = None
    """The severity before the owner set another; None where nobody did."""
    remarks: tuple[str, ...] = ()
    """What it rests on, each a few words: what is assumed, the owner's numbers, an acceptance that does not hold."""
    question: str = ""
    """What is to be asked, where that decides whether it is so."""
    case: str = ""
    """With which answer it is so: `if not`."""
    asks: tuple[str, ...] = ()
    """Names that nobody recorded and whose answer decides whether this is so."""
    assumed: tuple[str, ...] = ()
    """Names that nobody recorded and of which something is assumed."""

    @property
    def headline(self) -> str:
        """The question where there is one, else what was found: one line."""
        return self.question or self.says

    @property
    def message(self) -> str:
        """All of it in one sentence: question and case, what was found, what it rests on."""
        asked = f"{self.question} {self.case[:1].upper()}{self.case[1:]}: " if self.question else ""
        return f"{asked}{self.says}" + "".join(f" ({one})" for one in self.remarks)

    @property
    def gravest(self) -> Severity:
        """The worse of the owner's severity and the tool's; an acceptance goes by it."""
        return worse(self.severity, self.tool_severity or self.severity)


@dataclass(frozen=True, slots=True)
class NotChecked:
    """A rule that lacked something: the names it needs, and why where that says more; `kind` as of `Missing`."""

    rule: str
    needs: tuple[str, ...]
    why: str = ""
    kind: str = ""


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

WITHOUT_WEATHER: Final = "each outdoor temperature lasts equally long (no weather file)"
"""An assumption that a weather file makes needless."""

RESTORE_FIRING: Final = "restore the maker's value (licensed gas technician); prove combustion at high and low fire"
RESTORE_LIMIT: Final = "restore the maker's value (qualified person) and test it afterwards"
"""What there is to do about a setting of firing or a limit: never a figure."""


def restored(name: str) -> str:
    """Return what there is to do about a setting of firing, or a limit, by its class."""
    return RESTORE_FIRING if name in FIRING else RESTORE_LIMIT


DANGER, DAMAGE, OUTAGE, WASTE, RECORD = Severity
PROVEN, LIKELY, ASK = Certainty
