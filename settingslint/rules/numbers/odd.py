"""Numbers of a plant that are outside their range, and what was meant by them where the number itself tells.

The ranges are those of the vocabulary, narrowed for a setting by its control file.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, NamedTuple

from settingslint.model.bounds import OTHER, Range, plausible_range
from settingslint.rules.base import (
    DAMAGE,
    DANGER,
    OUTAGE,
    RECORD,
    RESTORE_FIRING,
    RESTORE_LIMIT,
    Quantity,
    Remedy,
    Severity,
)
from settingslint.rules.plant import Plant
from settingslint.units import Kind, System, from_si, to_si
from settingslint.vocabulary.settings import FIRING, LIMITS, SETTINGS

SEVERITY_OF: Final[dict[str, Severity]] = {
    "firing": DANGER, "scald": DANGER, "hygiene": DANGER, "limit": DANGER, "freeze": DAMAGE,
}  # fmt: skip
"""How bad a wrong number is, by the caution class of its setting; the rest is an outage. A wrong fact spoils the
record; what it keeps from being checked, the audit adds."""

TIMES: Final = frozenset({Kind.SECONDS, Kind.MINUTES, Kind.HOURS})
DEGREES: Final = frozenset({Kind.POINT, Kind.DIFFERENCE})

OTHER_UNIT, WITH_32, TIME, RAW = "other unit", "converted with 32", "another time", "raw"
"""How a number came about that makes no sense."""


class Number(NamedTuple):
    """A recorded number outside its range: SI, as its file shows it, and the range; how it came about, what was meant.

    `certain` says whether it is outside what is plausible at all, and not only outside the control's own range.
    """

    name: str
    value: float
    shown: float
    span: Range
    certain: bool
    how: str = ""
    meant: float = 0.0

    @property
    def kind(self) -> Kind:
        """What it measures."""
        return self.span.kind


def odd_numbers(plant: Plant) -> tuple[Number, ...]:
    """Return the numbers of the profile that lie outside their range: settings as typed, then facts."""
    return tuple(_told(number, plant.system) for number in _odd_numbers(plant))


def _odd_numbers(plant: Plant) -> Iterator[Number]:
    for name in plant.entries:
        typed, wide = plant.typed(name), plausible_range(name)
        if wide is None or not isinstance(typed, float):
            continue
        narrow = _narrowed(plant, name, wide)
        if not narrow.holds(typed):
            shown = from_si(typed, wide.kind, plant.system)
            yield Number(name, typed, shown, narrow, not wide.holds(typed))
    for name, fact in plant.facts.items():
        wide = plausible_range(name) if isinstance(fact.value, float) else None
        if wide is not None and isinstance(fact.value, float) and not wide.holds(fact.value):
            yield Number(name, fact.value, from_si(fact.value, wide.kind, plant.system), wide, True)


def _narrowed(plant: Plant, name: str, wide: Range) -> Range:
    has = plant.row(name)
    low = max(wide.low, has.low) if has and has.low is not None else wide.low
    high = min(wide.high, has.high) if has and has.high is not None else wide.high
    return wide._replace(low=low, high=high)


def _told(number: Number, system: System) -> Number:
    """Return a number with what was meant by it, where it is plausible in another unit, scale or reading."""
    fits = ((how, meant) for how, meant in _readings(number, system) if number.span.holds(meant))
    how, meant = next(fits, ("", 0.0))
    return number._replace(how=how, meant=meant)


def _readings(number: Number, system: System) -> Iterator[tuple[str, float]]:
    """Yield what a number may have been meant to be, SI, the likeliest first."""
    if number.kind in DEGREES:
        yield OTHER_UNIT, to_si(number.shown, number.kind, OTHER[system])
    if number.kind is Kind.DIFFERENCE and number.span.low >= 0:  # converted as if it were a point on the scale
        yield WITH_32, (number.shown - 32) / 1.8 if system == "us" else number.shown + 32 / 1.8
    if number.kind in TIMES:
        yield TIME, number.value / 60
        yield TIME, number.value * 60.0
    if number.name in SETTINGS and number.certain and number.kind not in (Kind.COUNT, Kind.PRESSURE):
        below = number.shown - 65536
        raw = [number.shown / 10, number.shown / 100] if number.shown <= 32767 else [below, below / 10, below / 100]
        for one in raw:
            yield RAW, to_si(one, number.kind, system)


def severity_of(name: str) -> Severity:
    """Return how bad a wrong number is."""
    return SEVERITY_OF.get(SETTINGS[name].caution, OUTAGE) if name in SETTINGS else RECORD


def barred(name: str) -> bool:
    """Return whether a setting is one of firing or a limit, for which no number is ever named."""
    return name in FIRING or name in LIMITS


def remedy_for(name: str, value: float | None, text: str) -> Remedy:
    """Return a remedy with a value, without one for firing, limits and facts, or where nothing is known of it."""
    if name in FIRING:
        return Remedy(RESTORE_FIRING)
    if name in LIMITS:
        return Remedy(RESTORE_LIMIT)
    return Remedy(text, {name: value} if name in SETTINGS and value is not None else {})


def proof_of(number: Number) -> dict[str, Quantity]:
    """Return what proves a number odd: as recorded, and as meant where that may be named."""
    proof = {"recorded": Quantity(number.value, number.kind)}
    return proof if barred(number.name) or not number.how else {**proof, "meant": Quantity(number.meant, number.kind)}


def cautions_of(name: str) -> tuple[str, ...]:
    """Return the caution class of a setting, or none for a fact."""
    return (SETTINGS[name].caution,) if name in SETTINGS else ()
