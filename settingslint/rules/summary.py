"""What rules about several plants see of one."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from hashlib import blake2b
from typing import Final

from settingslint.model.effect import NOT_RECORDED, UNKNOWN, same
from settingslint.model.profile import Acceptance
from settingslint.model.values import Value, kind_of, show_value
from settingslint.rules.base import Threshold
from settingslint.rules.plant import Plant, owner_number
from settingslint.units import System
from settingslint.vocabulary.settings import LICENSED

SET_FOR_EACH_SITE: Final = ("heating_setpoint", "reset_endpoint", "tank_setpoint", "hot_water_boiler_setpoint")
"""Temperatures that hang on the building, so that a default is right only by chance (common practice, no source)."""
OF_ONE_BOILER: Final = "boiler.serial_on_plate"
"""The fact that is corrected in a copy first of all."""


@dataclass(frozen=True, slots=True)
class Summary:
    """One plant as rules about several plants see it: light enough for a hundred thousand of them. Values are SI."""

    path: str
    name: str
    site: str
    group: str | None
    control: str
    serial: str | None
    size: str | None
    system: System
    settings: Mapping[str, Value]
    facts: Mapping[str, Value]
    at_default: tuple[str, ...]
    """Those of `SET_FOR_EACH_SITE` that stand at their default, whether typed or left, without a reason."""
    same_building: tuple[int, bytes]
    """How many facts of building and boiler there are, and what identifies them all together."""
    changed: Mapping[str, date] = field(default_factory=dict)
    accepted: tuple[Acceptance, ...] = ()
    unknown: tuple[str, ...] = ()
    """Settings of firing and limits that the control has and of which nobody knows what they run at."""

    def show(self, name: str, value: Value | None = None) -> str:
        """Return a setting or fact in the plant's units."""
        own = self.settings.get(name, self.facts.get(name)) if value is None else value
        return show_value(own, kind_of(name), self.system)


class Plants(tuple[Summary, ...]):
    """The plants of a group, a site or a portfolio, with the owner's numbers."""

    thresholds: Mapping[str, float]
    owner_numbers: set[str]
    """Names of the owner's numbers that were asked for."""

    @classmethod
    def of(cls, summaries: Iterable[Summary], thresholds: Mapping[str, float]) -> Plants:
        """Return plants with the owner's numbers, SI."""
        plants = cls(summaries)
        plants.thresholds, plants.owner_numbers = thresholds, set()
        return plants

    def threshold(self, threshold: Threshold) -> float:
        """Return a number of habit, SI: the owner's where one is set, else the tool's."""
        return owner_number(threshold, self.thresholds, self.owner_numbers)


def summary_of(plant: Plant) -> Summary:
    """Return what rules about several plants need of one."""
    profile = plant.profile
    told = {name: fact.value for name, fact in plant.facts.items()}
    return Summary(
        profile.path, profile.name, profile.site, profile.group, profile.control, profile.serial, profile.size,
        profile.system, plant.in_force, {name: value for name, value in told.items() if name not in plant.doubts},
        tuple(_at_default(plant)), _same_building(told),
        {name: entry.on for name, entry in profile.settings.items() if entry.on is not None}, profile.accepted,
        tuple(sorted(name for name in LICENSED.intersection(plant.effects) if _unknown(plant, name))),
    )  # fmt: skip


def _same_building(facts: Mapping[str, Value]) -> tuple[int, bytes]:
    own = sorted([
        f"{name} {value}"
        for name, value in facts.items()
        if name.startswith(("building.", "boiler.")) and name != OF_ONE_BOILER
    ])  # fmt: skip
    return len(own), blake2b("\n".join(own).encode("utf-8", "surrogatepass"), digest_size=16).digest()


def _unknown(plant: Plant, name: str) -> bool:
    return plant.effects[name].state in (UNKNOWN, NOT_RECORDED) or plant.said_not_to_apply(name)


def _at_default(plant: Plant) -> Iterator[str]:
    for name in SET_FOR_EACH_SITE:
        entry = plant.entries.get(name)
        if entry is not None and entry.why is None:
            default = plant.default_of(name)
            if entry.left == "default" or (default is not None and same(entry.typed, default)):
                yield name
