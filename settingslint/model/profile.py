"""The profile: one boiler's as-left settings and the facts around it, read from a validated file. Values are SI."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Final, NamedTuple

from settingslint.model.source import Path_, Source
from settingslint.model.values import Value, value_from_file
from settingslint.units import System
from settingslint.vocabulary.facts import COMBUSTION, EMITTER, FACTS, TABLES, VISIT, WEAK_SOURCES, FactRow
from settingslint.vocabulary.settings import SETTINGS

PROPOSED: Final = "calculated from the recorded facts; not yet set at the boiler"
"""The reason that a proposal carries until somebody has set it."""
LEFT: Final = ("default", "not reachable", "not applicable")
"""What can be said of a setting in place of a value."""


class Fact(NamedTuple):
    """A fact with its value in SI, where it comes from and the date."""

    value: Value
    source: str | None = None
    on: date | None = None

    @property
    def weak(self) -> bool:
        """Whether the source lowers the certainty of what rests on it."""
        return self.source in WEAK_SOURCES


class Entry(NamedTuple):
    """A setting as recorded: what was typed (None where it was left alone), read back and why.

    `observed` is what it was seen to run at, whatever else is said; no file has it.
    """

    name: str
    typed: Value | None
    left: str | None = None
    read_back: Value | None = None
    why: str | None = None
    by: str | None = None
    on: date | None = None
    until: date | None = None
    then: Value | None = None
    watched_by: str | None = None
    observed: Value | None = None


@dataclass(frozen=True, slots=True)
class Acceptance:
    """A finding that somebody has accepted, for one rule and, where named, one setting."""

    index: int
    rule: str
    setting: str | None
    because: str | None
    by: str | None
    until: date | None


@dataclass(frozen=True, slots=True)
class Profile:
    """A profile, read. `facts` has the dotted names of the vocabulary; `emitters` one mapping for each emitter."""

    source: Source
    system: System
    name: str
    site: str
    control: str
    size: str | None
    serial: str | None
    group: str | None
    revision: str | None
    first_fired: date | bool | None
    settings: Mapping[str, Entry]
    facts: Mapping[str, Fact]
    emitters: tuple[Mapping[str, Fact], ...] = ()
    since: tuple[str, ...] = ()
    accepted: tuple[Acceptance, ...] = field(default=())

    @property
    def path(self) -> str:
        """The file's name as it is shown."""
        return self.source.name

    def identity(self) -> dict[str, Value]:
        """Return what `[plant]` says of the boiler and its control, by dotted name."""
        own = {
            "plant.size": self.size, "plant.serial": self.serial, "plant.group": self.group,
            "plant.revision": self.revision, "plant.first_fired": self.first_fired,
        }  # fmt: skip
        return {name: value for name, value in own.items() if value is not None}

    def all_facts(self) -> dict[str, Fact]:
        """Return all recorded facts by name, those of emitters as `emitter[0].kind`."""
        facts = dict(self.facts)
        for index, emitter in enumerate(self.emitters):
            facts.update({f"emitter[{index}].{name}": fact for name, fact in emitter.items()})
        return facts

    def fact_value(self, name: str) -> Value | None:
        """Return a fact's value, or None where it is not recorded."""
        fact = self.facts.get(name)
        return fact.value if fact else None


def toml_path(name: str) -> Path_:
    """Return where a setting, a fact or an emitter's fact stands in a profile.

    >>> toml_path("heating_setpoint"), toml_path("emitter[1].maximum_supply")
    (('settings', 'heating_setpoint'), ('emitter', 1, 'maximum_supply'))
    """
    if name in SETTINGS:
        return ("settings", name)
    parts: list[str | int] = []
    for part in name.split("."):
        head, bracket, rest = part.partition("[")
        parts.append(head)
        if bracket:
            parts.append(int(rest.rstrip("]")))
    return tuple(parts)


def _fact(raw: object, row: FactRow, system: System) -> Fact:
    if not isinstance(raw, dict):
        return Fact(value_from_file(raw, row.kind, system))
    on = raw.get("on")
    return Fact(
        value_from_file(raw["value"], row.kind, system), raw.get("from"), date.fromisoformat(on) if on else None
    )


def _entry(name: str, raw: object, system: System) -> Entry:
    kind = SETTINGS[name].kind
    if not isinstance(raw, dict):
        return Entry(name, value_from_file(raw, kind, system))

    def value(key: str) -> Value | None:
        return value_from_file(raw[key], kind, system) if key in raw else None

    def day(key: str) -> date | None:
        return date.fromisoformat(raw[key]) if key in raw else None

    return Entry(
        name, value("value"), raw.get("left"), value("read_back"), raw.get("why"), raw.get("by"), day("on"),
        day("until"), value("then"), raw.get("watched_by"),
    )  # fmt: skip


def profile_from(source: Source) -> Profile:
    """Return the profile that a validated file describes."""
    data = source.data
    system: System = data["units"]
    plant: dict[str, Any] = data["plant"]
    facts: dict[str, Fact] = {}
    for table in TABLES:
        for short, raw in data.get(table, {}).items():
            name = f"{table}.{short}"
            facts[name] = _fact(raw, FACTS[name], system)
    facts.update({f"visit.{name}": _fact(raw, VISIT[name], system) for name, raw in data.get("visit", {}).items()})
    for end, readings in data.get("combustion", {}).items():
        facts.update(
            {f"combustion.{end}.{name}": _fact(raw, COMBUSTION[name], system) for name, raw in readings.items()}
        )
    fired = plant.get("first_fired")
    accepted = tuple(
        Acceptance(
            index, raw["rule"], raw.get("setting"), raw.get("because"), raw.get("by"),
            date.fromisoformat(raw["until"]) if "until" in raw else None,
        )
        for index, raw in enumerate(data.get("accepted", ()))
    )  # fmt: skip
    return Profile(
        source=source,
        system=system,
        name=plant["name"],
        site=plant["site"],
        control=plant["control"],
        size=plant.get("size"),
        serial=plant.get("serial"),
        group=plant.get("group"),
        revision=plant.get("revision"),
        first_fired=date.fromisoformat(fired) if isinstance(fired, str) else fired,
        settings={name: _entry(name, raw, system) for name, raw in data.get("settings", {}).items()},
        facts=facts,
        emitters=tuple(
            {name: _fact(raw, EMITTER[name], system) for name, raw in emitter.items()}
            for emitter in data.get("emitter", ())
        ),
        since=tuple(plant.get("since", ())),
        accepted=accepted,
    )
