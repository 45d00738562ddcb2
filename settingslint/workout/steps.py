"""What a step of the calculation is; the search for what must be typed so that the control runs at a wanted value."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from settingslint.model.effect import TOLERANCE, same
from settingslint.model.values import Value, title_of
from settingslint.rules.base import DoesNotApply, Missing
from settingslint.rules.derived.line import overshoot
from settingslint.rules.derived.need import direct_emitters
from settingslint.rules.limits.margin import MARGIN
from settingslint.rules.plant import Plant
from settingslint.rules.steps import attainable, step_of
from settingslint.units import Celsius, Kelvin, Kind, rounded, to_si
from settingslint.vocabulary.settings import SETTINGS

NEIGHBOURS: Final = 3
"""How many steps to either side of a likely value are tried."""


@dataclass(frozen=True, slots=True)
class Step:
    """One thing calculated: its settings (SI), the working in words, assumptions and source; or why there is none.

    `usual` are the usual values that it takes for facts that nobody recorded, in words.
    """

    title: str
    settings: Mapping[str, Value]
    working: str
    assumes: str
    source: str
    why_not: str = ""
    usual: str = ""


@dataclass(frozen=True, slots=True)
class Remains:
    """What a rule still finds with all steps applied: no temperature or time of this control answers it."""

    rule: str
    at: str
    message: str
    fix: str


@dataclass(frozen=True, slots=True)
class Workout:
    """The steps in order, each on top of those before; the plant with all of them applied (a copy); what remains."""

    steps: tuple[Step, ...]
    plant: Plant
    remains: tuple[Remains, ...]

    @property
    def settings(self) -> dict[str, Value]:
        """All settings calculated, SI; a later step has the last word."""
        return {name: value for step in self.steps for name, value in step.settings.items()}

    @property
    def usual(self) -> dict[str, str]:
        """With each setting the usual values that its last step took for what nobody recorded, where it took any."""
        last = {name: step.usual for step in self.steps for name in step.settings}
        return {name: words for name, words in last.items() if words}


Work = Callable[[Plant], tuple[Mapping[str, Value], str]]
"""Calculates one thing: the settings to type, SI, and the working."""


class Unmet(DoesNotApply):
    """A demand that no value of this control meets."""


def own(plant: Plant, name: str) -> None:
    """Pass where the control has a setting and people can set it.

    Raises:
        DoesNotApply: where it has none, or only the factory sets it.
        Missing: where the control file does not say whether it has one.
    """
    row = plant.control.rows.get(name)
    if row is None and not plant.control.complete:
        raise Missing(name, f"the control file {plant.control.name} does not say whether it has {title_of(name)}")
    if row is None:
        raise DoesNotApply(f"the control has no {title_of(name)}")
    if row.access == "factory":
        raise DoesNotApply(f"only the factory sets the {title_of(name)}, and it stays at {plant.show(name)}")


def typed_for(
    plant: Plant,
    name: str,
    *,
    at_least: float | None = None,
    at_most: float | None = None,
    near: float | None = None,
) -> float | None:
    """Return what must be typed for an effective value within bounds, nearest to one of them; None where nothing will.

    Range, step, ignored bands, what the control adds and what caps it are all taken from the plant's own resolution.

    Args:
        plant: the plant, with everything that is settled already.
        name: a setting with numbers.
        at_least: the least that will do, SI.
        at_most: the most that will do, SI.
        near: which value is wanted, SI; the least, or else the most, where None.

    Raises:
        Missing: where it is not known what the control makes of any value.
        DoesNotApply: where the setting has no effect in this plant.
    """
    target = near if near is not None else at_least if at_least is not None else at_most
    assert target is not None
    best: tuple[float, float, float] | None = None
    lack: Missing | None = None
    treatments = plant.control.rows[name].treatments or ()
    capped = any(item.does == "cap" for item in treatments)
    plain = all(item.does not in ("add", "ignore") for item in treatments)
    for typed in _candidates(plant, name, target):
        try:
            effective = plant.instead({name: typed}).number(name)
        except Missing as missing:
            lack = missing
            continue
        if at_least is not None and effective < at_least - TOLERANCE:
            continue
        if at_most is not None and (effective > at_most + TOLERANCE or (capped and typed > at_most + TOLERANCE)):
            continue
        one = (round(abs(effective - target), 6), round(abs(typed - effective), 6), typed)
        best = one if best is None else min(best, one)
        lack = None
        if plain and same(typed, effective):
            break
    if best is None and lack is not None and plant.control.rows[name].treatments is None:
        raise lack
    return best[2] if best is not None else None


def _candidates(plant: Plant, name: str, target: float) -> list[float]:
    """Return values that can be typed, near the target and near every edge in what the control makes of them."""
    row = plant.control.rows[name]
    treatments = row.treatments or ()
    added = sum(item.amount or 0.0 for item in treatments if item.does == "add")
    seeds = [target - added, target]
    seeds += [
        edge for item in treatments if item.does == "ignore" for edge in (item.low, item.high) if edge is not None
    ]
    seeds += [edge for edge in (row.low, row.high) if edge is not None]
    values: set[float] = set()
    kind, step = SETTINGS[name].kind, step_of(plant, name)
    for seed in seeds:
        for count in range(-NEIGHBOURS, NEIGHBOURS + 1):
            value = attainable(plant, name, at_least=seed + count * step)
            if value is not None:
                values.add(to_si(rounded(value, kind, plant.system), kind, plant.system))  # as a profile writes it
    return sorted(values, key=lambda value: abs(value - target))


def limit_ceiling(plant: Plant, over: float = 0.0) -> tuple[Celsius, str] | None:
    """Return the hottest working value that keeps the usual margin to the nearest known limit, and which limit."""
    limits = [
        (Celsius(value - over - plant.threshold(MARGIN)), name)
        for name in ("operating_limit", "high_limit")
        if isinstance(value := plant.known(name), float) and not isinstance(value, bool)
    ]
    return min(limits, default=None)


def heating_ceiling(plant: Plant) -> tuple[Celsius, str] | None:
    """Return the hottest heating supply that emitters, limits and local rules allow, and in words what says so."""
    ceilings: list[tuple[Celsius, str]] = []
    for index in direct_emitters(plant):
        most = plant.known(f"emitter[{index}].maximum_supply")
        if isinstance(most, float):
            point = Celsius(most)
            ceilings.append((point, f"emitter {index + 1} on the same line may have {plant.show(Kind.POINT, point)}"))
    if (limit := limit_ceiling(plant, _over(plant))) is not None:
        shown = plant.show(Kind.POINT, plant.point(limit[1]))
        ceilings.append((limit[0], f"the {title_of(limit[1])} of {shown} leaves no more than that"))
    law = plant.known("site.new_system_supply_ceiling")
    if plant.known("building.new_system") is True and isinstance(law, float):
        ceilings.append((Celsius(law), f"the ceiling for new systems here is {plant.show(Kind.POINT, Celsius(law))}"))
    return min(ceilings, default=None)


def _over(plant: Plant) -> Kelvin:
    try:
        return overshoot(plant)
    except (Missing, DoesNotApply):
        return Kelvin(0.0)
