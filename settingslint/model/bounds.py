"""What of a profile can't be, and what of it is not plausible: numbers beyond their bounds, dates on the wrong side.

The bounds and directions are columns of the vocabulary, see `settingslint.vocabulary.bounds`. A number that can't be
makes a file refused; what is not plausible is in doubt, and a rule that asks for it is not checked.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from functools import cache
from typing import Any, Final, NamedTuple

from settingslint.model.effect import TOLERANCE
from settingslint.model.profile import Entry, Fact
from settingslint.model.source import Path_, Source, dotted
from settingslint.model.values import Problem, Value
from settingslint.units import Kind, System, from_si, to_si, unit_name
from settingslint.vocabulary import facts
from settingslint.vocabulary.bounds import Bounds, Dated, Direction
from settingslint.vocabulary.settings import SETTINGS, Setting

NOT_PLAUSIBLE: Final = "not plausible"
"""The kind of what a rule lacks, where something is recorded that nothing may rest on."""
FIRED: Final = "plant.first_fired"
OLDEST: Final = date(1990, 1, 1)
"""No control that is described here was set before: common practice, no source."""
BEFORE_FIRED: Final = timedelta(days=366)
"""So long before its first firing a boiler may have been set, at the works or while it was built in: the same."""
OTHER: Final[dict[System, System]] = {"us": "metric", "metric": "us"}


class Range(NamedTuple):
    """A range of one kind of number, in SI; its ends belong to it."""

    kind: Kind
    low: float
    high: float
    origin: str

    def holds(self, value: float) -> bool:
        """Return whether a value lies in it."""
        return self.low - _slack(self.low) <= value <= self.high + _slack(self.high)

    def say(self, value: float, system: System) -> str:
        """Return a number, SI, as a file would state it, finer than findings show numbers."""
        return _shown(value, self.kind, system, 6)

    def show(self, system: System) -> str:
        """Return it in words: `80 to 190 F`."""
        low = _shown(self.low, self.kind, system).partition(" ")[0]
        return f"{low} to {_shown(self.high, self.kind, system)}"


class Doubt(NamedTuple):
    """Why nothing may rest on what is recorded; `dated` where it is for a date and not for a number."""

    why: str
    dated: bool = False


def _slack(bound: float) -> float:
    return TOLERANCE * max(1.0, abs(bound))


def _shown(value: float, kind: Kind, system: System, digits: int = 3) -> str:
    """Return a number, SI, as a file of that system would state it, with its unit."""
    return _typed(from_si(value, kind, system), kind, system, digits)


def _typed(number: float, kind: Kind, system: System, digits: int = 6) -> str:
    return f"{float(f'{number:.{digits}g}'):,.12g} {unit_name(kind, system)}".rstrip()


def range_of(kind: Kind, own: Bounds) -> Range:
    """Return bounds of a kind of number, which are in US units, as a range in SI."""
    return Range(kind, to_si(own.low, kind, "us"), to_si(own.high, kind, "us"), own.origin)


@cache
def plausible_range(name: str) -> Range | None:
    """Return the range in which a setting or a fact is plausible, None where it is no number."""
    row = _row(name)
    return range_of(row.kind, row.plausible) if row.plausible is not None else None


@cache
def physical_range(name: str) -> Range | None:
    """Return the range in which a setting or fact can be, where it has a narrower one than its kind; else None.

    What a kind of number can be is the same number in either unit system, and the schema's affair.
    """
    row = _row(name)
    return range_of(row.kind, row.physical) if row.physical is not None else None


def _row(name: str) -> Setting | facts.FactRow:
    return SETTINGS[name] if name in SETTINGS else facts.fact_row(name)


def wrong_day(day: object, dated: Dated, as_of: date) -> str:
    """Return what is wrong with a date as seen from the day of the check; an empty text where nothing is."""
    if not isinstance(day, date):
        return ""
    if dated.direction is Direction.PAST and day > as_of:
        return f"{day} is in the future"
    if dated.direction is Direction.FUTURE and day < as_of:
        return f"{day} is in the past"
    if dated.most_ahead is not None and day > as_of and day - as_of > timedelta(days=dated.most_ahead):
        return f"{day} is more than {dated.most_ahead} days ahead"
    return ""


def doubts(
    known: Mapping[str, Fact], in_force: Mapping[str, Value], identity: Mapping[str, Value], system: System, as_of: date
) -> dict[str, Doubt]:
    """Return what is recorded and not plausible, by name, with the reason: nothing may rest on it.

    Args:
        known: all facts, by name.
        in_force: the effective values of the settings, SI.
        identity: what `[plant]` says, by name.
        system: the unit system that the reasons speak.
        as_of: the day of the check.
    """
    found: dict[str, Doubt] = {}
    for name, fact in known.items():
        why = _wrong_number(name, fact.value, system)
        day = "" if why else _wrong_day_of(name, fact, as_of)
        if why or day:
            found[name] = Doubt(why or day, not why)
    for name, value in in_force.items():
        if why := _wrong_number(name, value, system):
            found[name] = Doubt(why)
    if why := wrong_day(identity.get(FIRED), facts.DATES["first_fired"], as_of):
        found[FIRED] = Doubt(why, dated=True)
    elif identity.get(FIRED) is False and (burned := burned_by(known)):
        found[FIRED] = Doubt(f"not yet, by the record, but {burned}")
    return found


def burned_by(known: Mapping[str, Fact]) -> str:
    """Return what is recorded of a burner that has fired, whatever is said of its first firing; else nothing."""
    for end in ("high", "low"):
        fact = known.get(f"combustion.{end}.on")
        if fact is not None:
            return f"combustion was read on {fact.value}"
    for name in ("counters.burner_hours", "counters.starts"):
        fact = known.get(name)
        if fact is not None and isinstance(fact.value, float) and fact.value > 0:
            return f"{facts.fact_row(name).title} are counted"
    return ""


def _wrong_number(name: str, value: Value, system: System) -> str:
    own = plausible_range(name) if isinstance(value, float) else None
    if own is None or not isinstance(value, float) or own.holds(value):
        return ""
    return f"{own.say(value, system)} is not plausible"


def _wrong_day_of(name: str, fact: Fact, as_of: date) -> str:
    dated = facts.fact_row(name).dated
    why = wrong_day(fact.value, dated, as_of) if dated is not None else ""
    if why:
        return why
    why = wrong_day(fact.on, facts.DATES["on"], as_of)
    return f"its date {why}" if why else ""


def wrong_days_of(entry: Entry, as_of: date) -> dict[str, str]:
    """Return what is wrong with the dates of a recorded setting, by their key."""
    days = {"on": entry.on, "until": entry.until}
    return {key: why for key, day in days.items() if (why := wrong_day(day, facts.DATES[key], as_of))}


def too_early(on: date | None, fired: Value | None) -> str:
    """Return what is wrong with the day of a setting that lies before the boiler; an empty text where nothing is."""
    if on is None:
        return ""
    if on < OLDEST:
        return f"{on} is before {OLDEST.year}"
    if isinstance(fired, date) and fired - on > BEFORE_FIRED:
        return f"{on} is over a year before the first firing on {fired}"
    return ""


# what can't be --------------------------------------------------------------------------------------------------------


def beyond(source: Source) -> Iterator[Problem]:
    """Yield a problem for each number of a profile, or of readings, that can't be; what is no number is passed over."""
    system = source.data.get("units")
    if system not in ("us", "metric"):
        return
    for path, name, value in _numbers(source.data):
        own = physical_range(name)
        if own is None or own.holds(to_si(value, own.kind, system)):
            continue
        low, high = (_shown(end, own.kind, system) for end in (own.low, own.high))
        what = f"{dotted(path)}: {_typed(value, own.kind, system)} can't be: at least {low}, at most {high}"
        yield source.problem(path, f"{what} ({own.origin}){_hint(name, value, system)}")


def _hint(name: str, value: float, system: System) -> str:
    """Return the same number in the other unit, where it is plausible there."""
    own, other = plausible_range(name), OTHER[system]
    if own is None or unit_name(own.kind, system) == unit_name(own.kind, other):
        return ""
    meant = to_si(value, own.kind, other)
    if not own.holds(meant):
        return ""
    return f"; {_typed(value, own.kind, other)} would be {_shown(meant, own.kind, system)}: is it in the other unit?"


def _numbers(data: Mapping[str, Any]) -> Iterator[tuple[Path_, str, float]]:
    """Yield the numbers of a file's tables with their path and the name of their row, also where it is not valid."""
    for table in (*facts.TABLES, "visit"):
        yield from _of_table(data.get(table), (table,), f"{table}.")
    ends = data.get("combustion")
    for end in ("high", "low"):
        part = ends.get(end) if isinstance(ends, dict) else None
        yield from _of_table(part, ("combustion", end), f"combustion.{end}.")
    emitters = data.get("emitter")
    for index, emitter in enumerate(emitters if isinstance(emitters, list) else ()):
        yield from _of_table(emitter, ("emitter", index), "emitter.")
    for table in ("settings", "found", "left"):
        yield from _of_table(data.get(table), (table,), "")


def _of_table(table: object, path: Path_, prefix: str) -> Iterator[tuple[Path_, str, float]]:
    if not isinstance(table, dict):
        return
    for key, raw in table.items():
        name = f"{prefix}{key}"
        if name not in (facts.FACTS if prefix else SETTINGS):
            continue
        values = raw.items() if isinstance(raw, dict) else ((None, raw),)
        for short, value in values:
            if isinstance(value, (int, float)) and not isinstance(value, bool):
                yield (*path, key) if short is None else (*path, key, short), name, float(value)
