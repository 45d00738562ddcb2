"""Rules of the firing group: is combustion proved, at both ends and after the last change of firing."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Final, NamedTuple

from settingslint.model.bounds import FIRED, too_early
from settingslint.model.effect import same
from settingslint.model.values import Value, title_of
from settingslint.rules.base import ASK, DANGER, RECORD, DoesNotApply, Drafts, Missing, Threshold, found
from settingslint.rules.entries import ask_for_firing, recorded_value, visit_day
from settingslint.rules.past import Left
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.units import Kind
from settingslint.vocabulary.settings import FIRING
from settingslint.vocabulary.sources import COMMON_PRACTICE

CAUTION: Final = ("firing", "combustion")
ENDS: Final = ("high", "low")
PROVED_ANEW: Final = ("gas.fuel", "vent.material")
"""Facts whose change asks for a new reading as a firing setting does; only a history shows it."""

READING_DAYS: Final = Threshold(
    "combustion_reading_days", 400.0, Kind.COUNT, COMMON_PRACTICE, "days after which a combustion reading is old",
    90.0, 762.0, "common practice, no source: a reading older than two services proves nothing", looser="up",
)  # fmt: skip


class Change(NamedTuple):
    """A change that combustion has to be proved after: on a known day, or at some time up to `latest`.

    `certain` is whether something was changed at all: not so where neither a date, a default nor a history tells.
    """

    name: str
    on: date | None
    latest: date | None
    certain: bool = True


def firing_changes(plant: Plant) -> Iterator[Change]:
    """Yield what was changed in firing.

    A change is dated by the setting's own date where that can be, else by the history. What equals the control's
    default and was never another is no change.
    """
    states = plant.past.states if plant.past else ()
    fired = None if FIRED in plant.doubts else plant.recorded(FIRED)
    for name in sorted(FIRING):
        entry, now = plant.entries.get(name), recorded_value(plant, name)
        if entry is None or now is None:
            continue
        on = None if too_early(entry.on, fired) else entry.on
        others = [state.on for state in states if not same(state.typed.get(name, now), now)]
        if on is None or any(on < other for other in others):  # by the history it was another value after that day
            on = _changed_in_history(plant, [(state, state.typed.get(name)) for state in states], now) or on
        default = plant.default_of(name)
        latest = next((state.on for state in states if name in state.typed), visit_day(plant))
        if on is not None:
            yield Change(name, on, on)
        elif default is None and not states:
            yield Change(name, None, latest, certain=False)
        elif default is not None and not same(default, now) and not _refused(plant, name, default):
            yield Change(name, None, latest)
    for name in PROVED_ANEW:
        fact = plant.known(name) if states else None
        if fact is not None:
            on = _changed_in_history(plant, [(state, state.facts.get(name)) for state in states], fact)
            if on is not None:
                yield Change(name, on, on)


def _refused(plant: Plant, name: str, default: Value) -> bool:
    """Return whether only the factory sets it, so that what was typed changed nothing."""
    row = plant.row(name)
    return row is not None and row.access == "factory" and same(plant.recorded(name), default)


def _changed_in_history(plant: Plant, states: list[tuple[Left, Value | None]], now: Value) -> date | None:
    """Return the day of the state that first had the present value, where an earlier one had another."""
    since = visit_day(plant)
    for state, value in reversed(states):
        if value is not None and not same(value, now):
            return since
        since = state.on
    return None


@rule(
    "firing-change-without-combustion-proof",
    severity=DANGER,
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    trips="settings.maximum_fan_speed = { value = 6000, on = 2026-10-07 }",
    passes="settings.maximum_fan_speed = { value = 6000, on = 2026-10-06 }",
)
def firing_change_without_combustion_proof(plant: Plant) -> Drafts:
    """Firing was changed, and combustion was not proved at high and low fire since.

    Date of the newest change of a firing setting, by its own date or by the history, against the dates of the readings
    at high and at low fire. By the history, another gas or vent is such a change too. A value that is not the control's
    default and has no date is a change of unknown age: a reading must be there, and one of the last visit's day or
    later proves it. Where no reading at all is recorded, this is asked.
    """
    changes = list(firing_changes(plant))
    if not changes:
        ask_for_firing(plant)
        raise DoesNotApply("no firing setting was changed")
    dated = [(one.on, one.name) for one in changes if one.on is not None]
    undated = [one for one in changes if one.on is None]
    when, name = max(dated, key=lambda one: one[0]) if dated else (None, next(_names(undated), None))
    readings = {end: plant.known(f"combustion.{end}.on") for end in ENDS}
    dates = [day for day in readings.values() if isinstance(day, date)]
    unread = [end for end, day in readings.items() if not isinstance(day, date)]
    if name is not None and (unread or (when is not None and min(dates) < when)):
        changed = f"changed on {when}" if when is not None else "is not at default"
        if not dates:
            proof = "was combustion read since?"
        elif unread:
            proof = f"no combustion reading at {unread[0]} fire"
        else:
            proof = f"combustion last read on {min(dates)}"
        yield found(
            name,
            f"{title_of(name)} {changed}{', ' if dates else ': '}{proof}",
            {},
            "have a licensed gas technician prove combustion at high and low fire, or undo it",
            certainty=None if dates else ASK,
        )
        return
    for one in undated:
        if one.latest is None or any(not isinstance(day, date) or day < one.latest for day in readings.values()):
            yield Missing("history", f"when {title_of(one.name)} was changed is not recorded")
            return


def _names(changes: list[Change]) -> Iterator[str]:
    return (one.name for one in changes if one.certain)


@rule(
    "combustion-reading-missing-or-old",
    severity=RECORD,
    cautions=("combustion",),
    source=COMMON_PRACTICE,
    thresholds=(READING_DAYS,),
    trips="combustion.low.on = 2025-10-20",
    passes="combustion.low.on = 2025-10-21",
)
def combustion_reading_missing_or_old(plant: Plant) -> Drafts:
    """A combustion reading at high or low fire is missing or old.

    At each there must be a reading since the first firing, not older than 400 days.
    """
    fired = plant.known("plant.first_fired")
    if fired is None:
        raise Missing("plant.first_fired")
    if fired is False:
        raise DoesNotApply("the burner has not fired yet")
    most = timedelta(days=plant.threshold(READING_DAYS))
    faults: dict[str, str] = {}
    for end in ENDS:
        at = f"combustion.{end}.on"
        reading = plant.known(at)
        if not isinstance(reading, date):
            faults[at] = f"none at {end} fire"
        elif isinstance(fired, date) and reading < fired:
            faults[at] = f"{end} fire before the first firing"
        elif plant.as_of - reading > most:
            faults[at] = f"{end} fire {(plant.as_of - reading).days:,} days old"
    if faults:
        yield found(
            next(iter(faults)),
            f"combustion readings: {', '.join(faults.values())}",
            {},
            "have a licensed gas technician measure it at high and low fire, by the maker's limits",
        )


RULES: Final[tuple[Rule, ...]] = (firing_change_without_combustion_proof, combustion_reading_missing_or_old)
