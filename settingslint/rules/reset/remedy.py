"""The fix for a wrong reset line: the lowest line, in steps that can be typed, that covers the emitters' need."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import ceil
from typing import Final

from settingslint.model.values import Value
from settingslint.physics import OutOfRange
from settingslint.physics.reset import grid
from settingslint.rules.base import DoesNotApply, Missing, Remedy
from settingslint.rules.derived.line import line, top
from settingslint.rules.derived.need import heating_range, needs_of
from settingslint.rules.plant import Plant
from settingslint.rules.steps import attainable, step_of
from settingslint.units import Celsius

NEAR: Final = 0.01
"""Shortfall that counts as none, K."""
EVERY: Final = 8
"""Of the outdoor temperatures so many are passed over while the line is looked for; what is found is tried at all."""
RAISED: Final = 8
"""Steps that are tried at all outdoor temperatures, from the line that was found with few of them upwards."""


def line_remedy(plant: Plant, text: str, otherwise: str = "") -> Remedy:
    """Return a remedy that lets the line follow the need; only its words where the need or such a line is not known.

    Args:
        plant: the plant.
        text: what to do; the proposed line follows it.
        otherwise: what else can be done, after the line.
    """
    try:
        values = {} if plant.sketched else line_that_meets_need(plant)
    except (Missing, DoesNotApply, OutOfRange):
        values = {}
    if not values:
        return Remedy(f"{text}{otherwise}")
    return Remedy(f"{text}: {_in_words(plant, values)}{otherwise}", values)


def _in_words(plant: Plant, values: Mapping[str, Value]) -> str:
    """Return a line with some settings changed: both its ends, or the one setting that moves it."""

    def shown(name: str) -> str:
        return plant.show(f"reset_{name}", values.get(f"reset_{name}"))

    match plant.reset_style:
        case "two points":
            cold = f"{shown('hot_supply')} at {shown('cold_outdoor')}"
            return f"{cold} and {shown('cool_supply')} at {shown('warm_outdoor')} outdoors"
        case "one number":
            return f"end point {shown('endpoint')}"
        case _:
            return f"shift {shown('shift')}"


def line_that_meets_need(plant: Plant) -> dict[str, Value]:
    """Return settings of the control's style of reset with which the line is nowhere short, or nothing.

    Raises:
        Missing: where the need is not known.
    """
    (design, warm), need = heating_range(plant), needs_of(plant)
    room, highest = plant.point("building.indoor_design"), top(plant)[0]
    outdoors = [(outdoor, min(need(outdoor), highest)) for outdoor in grid(design, warm)]
    few = [*outdoors[::EVERY], outdoors[-1]]

    def short(values: Mapping[str, Value], roughly: bool = False) -> bool:
        supply = line(plant.instead(values)).supply
        points = few if roughly else outdoors
        return any(wanted - (supply(outdoor) or highest) > NEAR for outdoor, wanted in points)

    switch: dict[str, Value] = {"reset": True} if plant.has("reset") and plant.is_off("reset") else {}
    match plant.reset_style:
        case "one number":
            ends = _lowest(plant, "reset_endpoint", room, highest, switch, short)
            end = ends.get("reset_endpoint")
            return ends if isinstance(end, float) and end < plant.point("heating_setpoint") - NEAR else {}
        case "two points":
            cold = plant.point("reset_cold_outdoor")
            ends = dict(switch)
            if not design - 5 <= cold <= design + 0.5:
                cold = Celsius(attainable(plant, "reset_cold_outdoor", at_most=design) or design)
                ends["reset_cold_outdoor"] = cold
            if plant.point("reset_warm_outdoor") <= cold:
                ends["reset_warm_outdoor"] = attainable(plant, "reset_warm_outdoor", at_least=warm) or warm
            hot = attainable(plant, "reset_hot_supply", at_least=min(need(cold), highest))
            if hot is None:
                return {}
            ends["reset_hot_supply"] = hot
            return _lowest(plant, "reset_cool_supply", room, hot, ends, short)
        case "slope and shift" if plant.has("reset_shift") and plant.number("reset_slope") > 0:
            return _lowest(plant, "reset_shift", -30.0, 40.0, switch, short)
    return {}


def _lowest(
    plant: Plant,
    name: str,
    low: float,
    high: float,
    others: Mapping[str, Value],
    short: Callable[..., bool],
) -> dict[str, Value]:
    """Return the others with the lowest value of one setting at which nothing is short; nothing where none will do."""
    lowest, step = attainable(plant, name, at_least=low), step_of(plant, name)
    if lowest is None:
        return {}

    def at(steps: int) -> float | None:
        return attainable(plant, name, at_least=lowest + steps * step)

    too_few, enough = -1, ceil((high - lowest) / step)
    while enough - too_few > 1:
        middle = (too_few + enough) // 2
        value = at(middle)
        if value is not None and short({**others, name: value}, roughly=True):
            too_few = middle
        else:
            enough = middle
    for steps in range(enough, enough + RAISED):
        value = at(steps)
        if value is None:
            break
        if not short({**others, name: value}):
            return {**others, name: value}
    return {}
