"""A portfolio as one table: a row for each boiler, a column for everything that can be recorded, always the same."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Final

from settingslint.checking.guesses import EMITTERS
from settingslint.model.profile import Entry, Fact, Profile
from settingslint.model.values import NUMERIC, Value
from settingslint.plain import Plain
from settingslint.sheets.cells import table
from settingslint.units import Kind, System, from_si, unit_name
from settingslint.vocabulary.facts import FACTS
from settingslint.vocabulary.settings import SETTINGS

PLANT: Final = ("site", "name", "control", "size", "serial", "revision", "group", "first_fired")
"""What a row begins with, all of them of `[plant]`."""
IDENTITY: Final = PLANT[:3]
KIND: Final = "emitter.kind"
"""The column for what the emitters are."""
NOT_CARRIED: Final = ("why", "by", "on", "until", "then", "read_back", "watched_by")
"""Keys of a setting that have no column."""


def columns(system: System) -> list[str]:
    """Return the header: names with the unit of that system, in the order of the vocabulary; `import` knows them.

    >>> [one for one in columns("us") if "tank_setpoint" in one or one.endswith("kind")][:2]
    ['hot_water.kind', 'emitter.kind']
    """
    kinds = {name: row.kind for name, row in FACTS.items()} | {name: row.kind for name, row in SETTINGS.items()}
    plant = [f"plant.{name}" for name in PLANT]
    return [*plant, *(f"{name} [{unit}]" if (unit := unit_name(kinds[name], system)) else name for name in kinds)]


def question_columns(names: Iterable[str], system: System) -> list[str]:
    """Return the header of a table to fill in: which boiler it is, then a column for each question, in its order.

    >>> question_columns(["emitter", "tank_setpoint"], "us")[3:]
    ['emitter.kind', 'tank_setpoint [F]']
    """
    every = {one.partition(" [")[0]: one for one in columns(system)}
    asked = list(dict.fromkeys(
        one
        for name in names
        for one in ([KIND] if name == EMITTERS else [KIND, name] if name.startswith("emitter.") else [name])
    ))  # fmt: skip
    return [*(f"plant.{name}" for name in IDENTITY), *(every[name] for name in asked if name in every)]


def table_text(profiles: Iterable[Profile], system: System) -> Plain:
    """Return profiles as CSV text with commas: what was typed, and the facts; guessed numbers with a ~ before them.

    Of several emitters the first is given.
    """
    return table(columns(system), (_row(profile, system) for profile in profiles))


def questions_text(profiles: Iterable[Profile], names: Iterable[str], system: System) -> Plain:
    """Return a table to fill in: profiles with a column for each question, empty where nobody knows the answer."""
    every = columns(system)
    head = question_columns(names, system)
    places = [every.index(one) for one in head]
    rows = ([*_row(profile, system)] for profile in profiles)
    return table(head, ([row[place] for place in places] for row in rows))


def not_carried(profiles: Iterable[Profile]) -> dict[str, int]:
    """Return what these profiles have and a table has no column for, each kind with how many there are of it."""
    found: Counter[str] = Counter()
    for profile in profiles:
        entries = profile.settings.values()
        for key in NOT_CARRIED:
            found[f"{key} of a setting"] += sum(getattr(one, key) is not None for one in entries)
        facts = [*profile.facts.values(), *(fact for one in profile.emitters[:1] for fact in one.values())]
        found["the date of a fact"] += sum(fact.on is not None for fact in facts)
        found["the source of a fact, unless a guessed number"] += sum(
            fact.source is not None and not (fact.source == "guessed" and isinstance(fact.value, float))
            for fact in facts
        )
        found["an emitter after the first"] += len(profile.emitters[1:])
        found["an acceptance"] += len(profile.accepted)
        found["a revision in since"] += len(profile.since)
    return {kind: count for kind, count in found.items() if count}


def _row(profile: Profile, system: System) -> Iterator[object]:
    for name in PLANT:
        yield _cell(getattr(profile, name), Kind.TEXT, system)
    first = {f"emitter.{name}": fact for name, fact in profile.emitters[0].items()} if profile.emitters else {}
    facts: dict[str, Fact] = {**profile.facts, **first}
    for name, row in FACTS.items():
        fact = facts.get(name)
        cell = _cell(fact.value, row.kind, system) if fact is not None else None
        guessed = fact is not None and fact.source == "guessed" and row.kind in NUMERIC
        yield f"~{cell}" if guessed else cell
    for name, setting in SETTINGS.items():
        entry = profile.settings.get(name)
        yield _typed(entry, setting.kind, system) if entry is not None else None


def _typed(entry: Entry, kind: Kind, system: System) -> object:
    return entry.left if entry.typed is None else _cell(entry.typed, kind, system)


def _cell(value: Value | None, kind: Kind, system: System) -> object:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if not isinstance(value, float | int):
        return value
    number = value if kind is Kind.FAN_SPEED or kind not in NUMERIC else round(from_si(value, kind, system), 4)
    return int(number) if number == int(number) else number
