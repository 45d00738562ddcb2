"""The values that can be typed: by range and step of the control, else by steps in which people type. All SI."""

from __future__ import annotations

from settingslint.rules.plant import Plant
from settingslint.units import Kind, System
from settingslint.vocabulary.settings import SETTINGS


def step_of(plant: Plant, name: str) -> float:
    """Return the step in which a setting with numbers goes on this control; else one in which people type."""
    row = plant.row(name)
    return (row.step if row else None) or _nice_step(SETTINGS[name].kind, plant.system)


def attainable(plant: Plant, name: str, at_least: float | None = None, at_most: float | None = None) -> float | None:
    """Return the nearest value that can be typed, by range and step, on the wanted side; None where there is none.

    Args:
        name: a setting with numbers.
        at_least: the smallest value that will do, SI; the result is the smallest step at or above it.
        at_most: the largest value that will do, SI; the result is the largest step at or below it.
    """
    row = plant.row(name)
    kind = SETTINGS[name].kind
    low = row.low if row and row.low is not None else None
    high = row.high if row and row.high is not None else None
    step = step_of(plant, name)
    base = low if low is not None else _zero(kind, plant.control.system if row and row.step else plant.system)
    if at_least is not None:
        count = -((base - at_least + 1e-9) // step)
        value = base + max(count, 0 if low is not None else count) * step
        if value < at_least - 1e-9:
            value += step
    else:
        assert at_most is not None
        value = base + ((at_most - base + 1e-9) // step) * step
    if (low is not None and value < low - 1e-9) or (high is not None and value > high + 1e-9):
        return None
    return value


def _nice_step(kind: Kind, system: System) -> float:
    """Return a step in which people type a value where the control states none: 1 F, 1 K, 0.1, 5 min; SI."""
    if kind in (Kind.POINT, Kind.DIFFERENCE):
        return 1 / 1.8 if system == "us" else 1.0
    return {Kind.MINUTES: 300.0, Kind.HOURS: 3600.0, Kind.RATIO: 0.1}.get(kind, 1.0)


def _zero(kind: Kind, system: System) -> float:
    return -32 / 1.8 if kind is Kind.POINT and system == "us" else 0.0
