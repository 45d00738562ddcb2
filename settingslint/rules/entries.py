"""What rules about the record ask of settings as they were typed: which class, and when they were last changed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Final

from settingslint.model.effect import same
from settingslint.model.profile import Entry
from settingslint.model.values import Value, title_of
from settingslint.rules.base import DAMAGE, DANGER, WASTE, Missing, Severity
from settingslint.rules.plant import Plant
from settingslint.units import from_si
from settingslint.vocabulary.settings import FIRING, LICENSED, SAFETY_CAUTIONS, SETTINGS

ROOM: Final = 45
"""Letters that the names of several settings or facts may take in a headline; the first is named however long."""


def safety(name: str) -> bool:
    """Return whether a setting belongs to a class that wants a reason and a read-back."""
    return SETTINGS[name].caution in SAFETY_CAUTIONS


def licensed(name: str) -> bool:
    """Return whether a setting is one of firing or a limit: for licensed persons, and never given a number."""
    return name in LICENSED


def person_for(name: str) -> str:
    """Return who may change a setting of firing or a limit."""
    return "licensed gas technician" if name in FIRING else "qualified person"


def severity_of(name: str) -> Severity:
    """Return how bad a wrong record of a setting can be, by its caution class."""
    caution = SETTINGS[name].caution
    if caution in ("firing", "scald", "hygiene", "limit"):
        return DANGER
    return DAMAGE if caution == "freeze" else WASTE


def cautions_of(name: str) -> tuple[str, ...]:
    """Return the cautions of a setting, hygiene and scald together."""
    caution = SETTINGS[name].caution
    return ("scald", "hygiene") if caution in ("scald", "hygiene") else (caution,)


def typed_entries(plant: Plant) -> list[tuple[str, Entry]]:
    """Return the settings that somebody typed."""
    return [(name, entry) for name, entry in plant.entries.items() if entry.typed is not None]


def ask_for_firing(plant: Plant) -> None:
    """Make sure that something of firing is recorded, before anybody says that nothing of it was changed.

    Raises:
        Missing: where the control has firing settings that somebody can set, and none of them is recorded.
    """
    rows = [row for name in SETTINGS if name in FIRING and (row := plant.row(name)) is not None]
    own = [row.name for row in rows if row.access != "factory"]
    if own and not any(name in plant.entries for name in own):
        raise Missing(own[0], "no firing setting is recorded")


def few(names: Sequence[str]) -> str:
    """Return the titles of the first of some settings or facts, as many as fit, and how many more there are."""
    titles = [title_of(name) for name in names]
    every = ", ".join(titles)
    named = len(titles)
    while len(every) > ROOM and named > 1:
        named -= 1
        every = f"{', '.join(titles[:named])} and {len(titles) - named} more"
    return every


def recorded_value(plant: Plant, name: str) -> Value | None:
    """Return what the record says the control holds: what was typed, or the default it was left at."""
    entry = plant.entries.get(name)
    if entry is None:
        return None
    return plant.default_of(name) if entry.typed is None and entry.left == "default" else entry.typed


def shown_apart(plant: Plant, name: str, one: Value | None, other: Value | None) -> tuple[str, str]:
    """Return two different values of a setting as text; finer than usual where rounding would make them the same."""
    shown = plant.show(name, one), plant.show(name, other)
    if shown[0] != shown[1] or not isinstance(one, float) or not isinstance(other, float):
        return shown
    kind = SETTINGS[name].kind
    unit = shown[0].rpartition(" ")[2] if " " in shown[0] else ""
    finer = [f"{round(from_si(value, kind, plant.system), 3):g} {unit}".rstrip() for value in (one, other)]
    return finer[0], finer[1]


def visit_day(plant: Plant) -> date | None:
    """Return the date of the last visit, or None."""
    visited = plant.known("visit.on")
    return visited if isinstance(visited, date) else None


def told_on(plant: Plant, name: str) -> date | None:
    """Return the day on which a fact was read: its own date, else that of the last visit, None where neither is."""
    fact = plant.facts.get(name)
    return fact.on if fact is not None and fact.on is not None else visit_day(plant)


def changed_at_visit(plant: Plant, name: str) -> bool | None:
    """Return whether a typed setting was changed at the last visit: by its own date, else by the state before.

    None where neither a date nor a history tells.
    """
    entry = plant.entries[name]
    if entry.on is not None:
        return entry.on == visit_day(plant)
    if plant.past is None:
        return None
    before = plant.before().typed.get(name) if plant.past.states else None
    return before is not None and not same(before, entry.typed)
