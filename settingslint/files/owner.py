"""What portfolio.toml sets in place of what the tool has: numbers within their bounds, and severities."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from math import isclose
from typing import Final

from settingslint.files.usual import OwnUsual, Place, usual_of
from settingslint.model.source import Path_, Source
from settingslint.model.values import Problem
from settingslint.rules import all_rules
from settingslint.rules.base import Severity, Threshold
from settingslint.rules.record.acceptance import LONGEST
from settingslint.units import System, from_si, to_si, unit_name, written

ACCEPTANCE: Final = "acceptance"
THRESHOLDS: Final = "thresholds"
SEVERITIES: Final = "severities"


@dataclass(frozen=True, slots=True)
class OwnNumber:
    """A number that an owner has set in place of the tool's, SI, with the units that it was set in."""

    threshold: Threshold
    value: float
    system: System
    place: Place

    @property
    def differs(self) -> bool:
        """Whether it is another number than the tool's."""
        return not isclose(self.value, self.threshold.value, rel_tol=1e-9, abs_tol=1e-9)


@dataclass(frozen=True, slots=True)
class Owner:
    """What one portfolio file sets, and what of it can't be taken."""

    numbers: tuple[OwnNumber, ...] = ()
    severities: Mapping[str, Severity] = field(default_factory=dict)
    places: Mapping[str, Place] = field(default_factory=dict)
    """Where the severity of a rule is set."""
    problems: tuple[Problem, ...] = ()
    usual: tuple[OwnUsual, ...] = ()

    @property
    def thresholds(self) -> Mapping[str, float]:
        """The owner's numbers by their names, SI."""
        return {one.threshold.name: one.value for one in self.numbers}


@cache
def _known() -> Mapping[str, Mapping[str, Threshold]]:
    """Return the numbers that an owner may set, by their tables."""
    habits = {one.name: one for rule in all_rules() for one in rule.thresholds}
    return {THRESHOLDS: habits, ACCEPTANCE: {LONGEST.name: LONGEST}}


def owner_of(source: Source) -> Owner:
    """Return what a portfolio file sets that its schema has accepted; what can't be taken is a problem with its place.

    Where a number is outside its bounds, or its unit is not given, the tool's own is used.
    """
    problems: list[Problem] = []
    numbers: list[OwnNumber] = []
    system: System = source.data.get("units", "metric")
    for table, known in _known().items():
        for name, raw in source.data.get(table, {}).items():
            path: Path_ = (table, name)
            if name not in known:
                problems.append(source.problem_at_key(path, unknown("threshold", name, known)))
            elif refused := _refused(float(raw), known[name], system, "units" in source.data):
                problems.append(source.problem(path, refused))
            else:
                value = to_si(float(raw), known[name].kind, system)
                numbers.append(OwnNumber(known[name], value, system, _place(source, path)))
    rules = {rule.name for rule in all_rules()}
    severities: dict[str, Severity] = {}
    places: dict[str, Place] = {}
    for name, word in source.data.get(SEVERITIES, {}).items():
        if name in rules:
            severities[name], places[name] = Severity(word), _place(source, (SEVERITIES, name))
        else:
            problems.append(source.problem_at_key((SEVERITIES, name), unknown("rule", name, rules)))
    usual, refused_usual = usual_of(source)
    return Owner(tuple(numbers), severities, places, (*problems, *refused_usual), usual)


def _refused(raw: float, threshold: Threshold, system: System, said: bool) -> str:
    """Return why a number can't be set, or an empty string."""
    kind, name = threshold.kind, threshold.name
    if not said and unit_name(kind, "us") != unit_name(kind, "metric"):
        both = " or ".join(unit_name(kind, one) for one in ("us", "metric"))
        return f"{name}: {both}? write units at the top of this file; until then the tool's own number is used"
    if threshold.takes(to_si(raw, kind, system)):
        return ""
    unit = unit_name(kind, system)
    low, high = (f"{from_si(one, kind, system):.6g}" for one in (threshold.low, threshold.high))
    own = written(threshold.value, kind, system)
    bounds = f"{low} to {high} {unit}".rstrip()
    set_to = f"{raw:g} {unit}".rstrip()
    return f"{name} = {set_to}: it must be within {bounds} ({threshold.reason}); the tool's own {own} is used"


def _place(source: Source, path: Path_) -> Place:
    place = source.place(path)
    return Place(source.name, place.line, place.column)


def unknown(what: str, name: str, known: Iterable[str]) -> str:
    """Return what is said of an unknown name, with the known one that is most like it."""
    from settingslint.model.values import nearest

    return f"unknown {what} {name}{nearest(name, known)}"
