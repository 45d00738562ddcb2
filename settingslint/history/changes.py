"""What physically differs between two states of one plant: values and effects, never text, order or units."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Final

from settingslint.model.effect import Effect, same
from settingslint.model.profile import Entry, Fact, Profile
from settingslint.model.values import Value, kind_of
from settingslint.rules.plant import Plant
from settingslint.units import CONVERSIONS, Kind, System

IDENTITY: Final = ("name", "site", "control", "size", "serial", "group", "revision", "first_fired", "since")
"""What says which boiler it is and what control it has."""
RECORD_KEYS: Final = ("read_back", "why", "by", "on", "watched_by")
"""What is known about a setting's value, and is no value itself."""
FACT_KEYS: Final = ("source", "on")
"""The same about a fact."""


@dataclass(frozen=True, slots=True)
class SettingChange:
    """One setting that was set to another value, or that the control now treats differently. Values are SI."""

    name: str
    old: Entry | None
    new: Entry | None
    old_effect: Effect | None
    new_effect: Effect | None

    @property
    def typed(self) -> tuple[Value | None, Value | None]:
        """What it was set to, before and after."""
        return (self.old.typed if self.old else None, self.new.typed if self.new else None)

    @property
    def effective(self) -> tuple[Value | None, Value | None]:
        """What the boiler runs at, before and after; None where it is unknown or has no effect."""
        old, new = self.old_effect, self.new_effect
        return (old.effective if old else None, new.effective if new else None)


@dataclass(frozen=True, slots=True)
class FactChange:
    """A fact (`site.design_outdoor`, `plant.serial`) that was recorded differently. Values are SI."""

    name: str
    old: Value | None
    new: Value | None


@dataclass(frozen=True, slots=True)
class RecordChange:
    """What is known about a value: of a setting one of `RECORD_KEYS`, of a fact one of `FACT_KEYS`."""

    name: str
    key: str
    old: Value | None
    new: Value | None


@dataclass(frozen=True, slots=True)
class Differences:
    """Everything that differs. `record` is no physical difference."""

    settings: tuple[SettingChange, ...] = ()
    facts: tuple[FactChange, ...] = ()
    record: tuple[RecordChange, ...] = ()
    accepted: bool = field(default=False)

    @property
    def physical(self) -> bool:
        """Whether anything differs at the plant or in what is known of it."""
        return bool(self.settings or self.facts)

    def __bool__(self) -> bool:
        return bool(self.settings or self.facts or self.record or self.accepted)


def alike(old: Value | None, new: Value | None, kind: Kind, before: System, after: System) -> bool:
    """Return whether two SI values mean the same.

    Between files of different units a value is the same when it is the other one as the new file can write it: within
    half of the last digit that is shown in its units.

    >>> alike(73.888889, 73.9, Kind.POINT, "us", "metric"), alike(73.888889, 73.9, Kind.POINT, "us", "us")
    (True, False)
    """
    if same(old, new):
        return True
    if before == after or isinstance(old, bool) or isinstance(new, bool):
        return False
    rows = CONVERSIONS.get(kind)
    if rows is None or rows["us"] == rows["metric"] or not isinstance(old, float) or not isinstance(new, float):
        return False
    row = rows[after]
    return bool(abs(old - new) <= 0.5 * 10.0**-row.digits * row.factor + 1e-9)


def differences(old: Plant | None, new: Plant | None) -> Differences:
    """Return what differs between two states of a plant; None is the state before the first or after the last."""
    if old is None and new is None:
        return Differences()
    before = (old or new).profile.system  # type: ignore[union-attr]
    after = (new or old).profile.system  # type: ignore[union-attr]
    return Differences(
        tuple(_settings(old, new, before, after)),
        tuple(_facts(old.profile if old else None, new.profile if new else None, before, after)),
        tuple(_record(old, new, before, after)) if old and new else (),
        bool(old and new and _acceptances(old.profile) != _acceptances(new.profile)),
    )


def _acceptances(profile: Profile) -> list[tuple[object, ...]]:
    rows = [(one.rule, one.setting, one.because, one.by, one.until) for one in profile.accepted]
    return sorted(rows, key=repr)


def _settings(old: Plant | None, new: Plant | None, before: System, after: System) -> Iterator[SettingChange]:
    olds, news = (plant.profile.settings if plant else {} for plant in (old, new))
    effects = [plant.effects if plant else {} for plant in (old, new)]
    for name in {**effects[0], **effects[1]}:
        entry, other = olds.get(name), news.get(name)
        effect, changed = effects[0].get(name), effects[1].get(name)
        if entry is None and other is None and (old is None or new is None):
            continue  # a default nobody recorded is no change of a plant that comes or goes
        kind = kind_of(name)
        asked = (_asked(entry), _asked(other))
        if (
            asked[0][1:] != asked[1][1:]
            or not alike(asked[0][0], asked[1][0], kind, before, after)
            or not alike(entry.then if entry else None, other.then if other else None, kind, before, after)
            or not alike(
                effect.effective if effect else None, changed.effective if changed else None, kind, before, after
            )
        ):
            yield SettingChange(name, entry, other, effect, changed)


def _asked(entry: Entry | None) -> tuple[Value | None, str | None, date | None]:
    return (entry.typed, entry.left, entry.until) if entry else (None, None, None)


def all_facts(profile: Profile | None) -> dict[str, Value]:
    """Return all facts, those of emitters and of the boiler's identity too, by name; SI."""
    if profile is None:
        return {}
    facts: dict[str, Value] = {name: fact.value for name, fact in profile.facts.items()}
    for name in IDENTITY:
        value = getattr(profile, name)
        if value is not None and value != ():
            facts[f"plant.{name}"] = ", ".join(value) if isinstance(value, tuple) else value
    return facts


def _facts(old: Profile | None, new: Profile | None, before: System, after: System) -> Iterator[FactChange]:
    yield from _unlike(all_facts(old), all_facts(new), before, after)
    olds, news = old.emitters if old else (), new.emitters if new else ()
    pairs = _paired(olds, news)
    for (index, emitter), (other, changed) in pairs:
        place = other if changed is not None else index
        yield from _unlike(
            {f"emitter[{place}].{name}": fact.value for name, fact in (emitter or {}).items()},
            {f"emitter[{place}].{name}": fact.value for name, fact in (changed or {}).items()},
            before, after,
        )  # fmt: skip


_Emitter = Mapping[str, Fact]


def _paired(
    olds: tuple[_Emitter, ...], news: tuple[_Emitter, ...]
) -> list[tuple[tuple[int, _Emitter | None], tuple[int, _Emitter | None]]]:
    """Return emitters before and after: those of one name belong together, the rest in their order."""

    def named(emitters: tuple[_Emitter, ...]) -> dict[object, int]:
        return {emitter["name"].value: index for index, emitter in enumerate(emitters) if "name" in emitter}

    here, there = named(olds), named(news)
    both = [(here[name], there[name]) for name in here if name in there]
    rest = [index for index in range(len(olds)) if index not in {one for one, _ in both}]
    others = [index for index in range(len(news)) if index not in {one for _, one in both}]
    pairs: list[tuple[tuple[int, _Emitter | None], tuple[int, _Emitter | None]]] = []
    for index, other in both:
        pairs.append(((index, olds[index]), (other, news[other])))
    for place in range(max(len(rest), len(others))):
        left = (rest[place], olds[rest[place]]) if place < len(rest) else (0, None)
        right = (others[place], news[others[place]]) if place < len(others) else (0, None)
        pairs.append((left, right))
    return sorted(pairs, key=lambda pair: (pair[1][0], pair[0][0]))


def _kind(name: str) -> Kind:
    return Kind.TEXT if name.startswith("plant.") else kind_of(name)


def _unlike(
    olds: Mapping[str, Value], news: Mapping[str, Value], before: System, after: System
) -> Iterator[FactChange]:
    for name in {**olds, **news}:
        old, new = olds.get(name), news.get(name)
        if not alike(old, new, _kind(name), before, after):
            yield FactChange(name, old, new)


def _record(old: Plant, new: Plant, before: System, after: System) -> Iterator[RecordChange]:
    olds, news = old.profile.settings, new.profile.settings
    for name in {**olds, **news}:
        entry, other = olds.get(name), news.get(name)
        if entry == other:
            continue
        for key in RECORD_KEYS:
            one, two = getattr(entry, key, None), getattr(other, key, None)
            kind = kind_of(name) if key == "read_back" else Kind.TEXT
            if not alike(one, two, kind, before, after):
                yield RecordChange(name, key, one, two)
    facts, others = old.profile.facts, new.profile.facts
    for name in {**facts, **others}:
        fact, changed = facts.get(name), others.get(name)
        for key in FACT_KEYS if fact != changed else ():
            one, two = getattr(fact, key, None), getattr(changed, key, None)
            if one != two:
                yield RecordChange(name, key, one, two)
