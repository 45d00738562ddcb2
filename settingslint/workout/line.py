"""The lowest line of outdoor reset, in values that can be typed, that covers the need over the whole range."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Final

from settingslint.model.effect import TOLERANCE
from settingslint.model.values import Value
from settingslint.physics.reset import Line, OneNumber, TwoPoints, grid
from settingslint.rules.base import DoesNotApply, Missing
from settingslint.rules.derived.line import FIXED_SUPPLY_KINDS, follows, reset_is_on
from settingslint.rules.derived.line import line as line_of
from settingslint.rules.derived.need import heating_range
from settingslint.rules.derived.need import need as need_at
from settingslint.rules.heating.need import NEED_MARGIN
from settingslint.rules.plant import Plant
from settingslint.rules.reset.fit import SURPLUS
from settingslint.units import Celsius, Kelvin
from settingslint.workout.steps import heating_ceiling, typed_for

NONE: Final = 0.02
"""Shortfall that counts as none, K."""
HIGHER: Final = 15
"""How many kelvin the set point is tried above the bare need, where the line depends on it."""
HALVINGS: Final = 14
HOTTEST: Final = Celsius(120.0)
"""A cap that cuts nothing off."""
SLOPES: Final = 12
"""How many slopes are tried."""

Needs = Mapping[Celsius, Celsius]
"""The supply that is needed, by outdoor temperature."""


@dataclass(frozen=True, slots=True)
class Found:
    """Settings that make a line; by how much it stays short of the need at most, K; its sum above it, K."""

    settings: Mapping[str, Value]
    short: float
    surplus: float


def lowest_line(plant: Plant) -> Found | None:
    """Return the line that is lowest above the need, or None where this control can make none.

    Where nothing covers the need to the last tenth, or only a line far above it does, a line is taken that the rules
    take for enough; and where the set point stays short of the need, one whose hot end the set point cuts off.
    """
    needs = {outdoor: need_at(plant, outdoor) for outdoor in grid(*heating_range(plant))}
    exact = _lowest(plant, needs, NONE)
    if exact is not None and exact.surplus <= plant.threshold(SURPLUS) * len(needs):
        return exact
    loose = _lowest(plant, needs, plant.threshold(NEED_MARGIN))
    if loose is not None and (exact is None or loose.surplus < exact.surplus):
        return loose
    return exact or _lowest(plant, needs, plant.threshold(NEED_MARGIN), cut=True)


def _lowest(plant: Plant, needs: Needs, allowed: float, cut: bool = False) -> Found | None:
    """Return the lowest line that is nowhere shorter than allowed, K; `cut`: its hot end may be above its cap."""
    best: Found | None = None
    for trial in _set_points(plant, lift=not cut):
        moved, before = plant.instead(trial), best
        for ends in _ends(moved, needs, allowed, cut):
            found = _judged(moved, {**trial, **ends}, ends, needs, cut)
            if found is not None and found.short <= allowed and (best is None or found.surplus < best.surplus - NONE):
                best = found
        if best is not None and best is before and plant.reset_style != "one number":
            break  # only a line of one number depends on the set point throughout
    return best


def _set_points(plant: Plant, lift: bool) -> Iterator[dict[str, Value]]:
    """Yield the present set point with reset on, then higher ones as far as emitters and limits allow."""
    switch: dict[str, Value] = {"reset": True} if plant.has("reset") else {}
    yield switch
    base, ceiling = plant.point("heating_setpoint"), heating_ceiling(plant)
    top = ceiling[0] if ceiling is not None else None
    maximum = plant.known("maximum_supply")
    if plant.control.rows["heating_setpoint"].access == "factory" or not lift:
        return
    for more in range(1, HIGHER + 1):
        raised: dict[str, Value] = {}
        if isinstance(maximum, float) and maximum < base + more:
            value = typed_for(plant, "maximum_supply", at_least=base + more)
            raised = {"maximum_supply": value} if value is not None else {}
        value = typed_for(plant.instead(raised), "heating_setpoint", at_least=base + more, at_most=top)
        if value is None:
            return
        yield {**switch, **raised, "heating_setpoint": value}


def _judged(
    moved: Plant, settings: Mapping[str, Value], ends: Mapping[str, Value], needs: Needs, cut: bool
) -> Found | None:
    """Return what a line comes to; None where it is none, or its hot end is above its cap and may not."""
    plant = moved.instead(ends)
    try:
        line = line_of(plant)
    except Missing:
        return None
    if line.style is None:
        return None
    cap = _cap(line)
    hot = line.style.hot_supply if isinstance(line.style, TwoPoints) else line.style.supply(min(needs))
    if hot > cap + TOLERANCE and not cut:
        return None
    if isinstance(line.style, OneNumber) and line.style.endpoint >= line.setpoint - NONE:
        return None
    pairs = [(wanted, supply) for outdoor, wanted in needs.items() if (supply := line.supply(outdoor)) is not None]
    short = max(min(wanted, cap) - supply for wanted, supply in pairs)
    return Found(settings, short, sum(supply - wanted for wanted, supply in pairs))


def _cap(line: Line) -> Celsius:
    return min(line.setpoint, line.maximum) if line.maximum is not None else line.setpoint


def _ends(plant: Plant, needs: Needs, allowed: float, cut: bool) -> Iterator[dict[str, Value]]:
    caps = _caps(plant)
    wanted = {outdoor: need if cut else min(need, _cap(caps)) for outdoor, need in needs.items()}
    match plant.reset_style:
        case "one number":
            yield from _one_number(plant, caps, wanted, allowed)
        case "two points":
            yield from _two_points(
                plant, replace(caps, setpoint=HOTTEST, maximum=None) if cut else caps, wanted, allowed
            )
        case "slope and shift":
            yield from _slopes(plant, wanted, allowed)


def _caps(plant: Plant) -> Line:
    setpoint = plant.point("heating_setpoint")
    values = {name: plant.known(name) for name in ("maximum_supply", "minimum_supply")}
    points = {name: Celsius(value) for name, value in values.items() if isinstance(value, float)}
    return Line(None, setpoint, points.get("maximum_supply"), points.get("minimum_supply"))


def _least(low: float, high: float, line_of: Callable[[float], Line], needs: Needs, allowed: float) -> float | None:
    """Return the least value between two at which the line is short enough; None where the highest is not enough."""

    def short(value: float) -> float:
        line = line_of(value)
        return max(wanted - (line.supply(outdoor) or wanted) for outdoor, wanted in needs.items())

    if high <= low or short(high) > allowed:
        return None
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        if short(middle) > allowed * 0.9:
            low = middle
        else:
            high = middle
    return high


def _cold_end(plant: Plant, design: Celsius) -> tuple[Celsius, dict[str, Value]] | None:
    if not plant.has("reset_cold_outdoor"):
        return (plant.point("control.cold_anchor"), {}) if "control.cold_anchor" in plant.control.stated else None
    typed = typed_for(plant, "reset_cold_outdoor", at_most=design)
    typed = typed if typed is not None else typed_for(plant, "reset_cold_outdoor", at_least=design)
    if typed is None:
        return None
    settings: dict[str, Value] = {"reset_cold_outdoor": typed}
    return plant.instead(settings).point("reset_cold_outdoor"), settings


def _one_number(plant: Plant, caps: Line, needs: Needs, allowed: float) -> Iterator[dict[str, Value]]:
    anchor = _cold_end(plant, min(needs))
    if anchor is None:
        raise Missing("reset_cold_outdoor", "the control file does not say where the line is hottest")
    cold, settings = anchor

    def line_of(end: float) -> Line:
        return replace(caps, style=OneNumber(Celsius(end), caps.setpoint, cold))

    lowest = max(cold + 1.0, plant.point("building.indoor_design") - 5.0)
    end = _least(lowest, caps.setpoint - 0.1, line_of, needs, allowed)
    if end is not None:
        typed = typed_for(plant.instead(settings), "reset_endpoint", at_least=end)
        if typed is not None:
            yield {**settings, "reset_endpoint": typed}


def _two_points(plant: Plant, caps: Line, needs: Needs, allowed: float) -> Iterator[dict[str, Value]]:
    design, warm = min(needs), max(needs)
    anchor = _cold_end(plant, design)
    if anchor is None:
        return
    cold, settings = anchor
    mild = typed_for(plant, "reset_warm_outdoor", at_least=max(warm, cold + 1.0))
    mild = mild if mild is not None else typed_for(plant, "reset_warm_outdoor", at_least=cold + 1.0, near=warm)
    if mild is None:
        return
    settings["reset_warm_outdoor"] = mild
    moved, cap = plant.instead(settings), _cap(caps)
    wanted = min(need_at(plant, min(cold, design)), cap)
    hot = typed_for(moved, "reset_hot_supply", at_least=wanted, at_most=cap)
    hot = hot if hot is not None else typed_for(moved, "reset_hot_supply", at_most=cap)
    if hot is None:
        return
    settings["reset_hot_supply"] = hot
    moved = plant.instead(settings)
    top, mild_end = moved.point("reset_hot_supply"), moved.point("reset_warm_outdoor")

    def line_of(cool: float) -> Line:
        return replace(caps, style=TwoPoints(top, cold, Celsius(cool), mild_end))

    cool = _least(plant.point("building.indoor_design") - 5.0, top, line_of, needs, allowed)
    if cool is None:
        return
    floor = caps.minimum if caps.minimum is not None else cool
    typed = typed_for(moved, "reset_cool_supply", at_least=max(cool, min(floor, top)))
    if typed is not None:
        yield {**settings, "reset_cool_supply": typed}


def _slopes(plant: Plant, needs: Needs, allowed: float) -> Iterator[dict[str, Value]]:
    room, design = plant.point("building.indoor_design"), min(needs)
    less = allowed * 0.9
    if not plant.has("reset_shift"):
        wanted = max((need - less - room) / (room - outdoor) for outdoor, need in needs.items() if outdoor < room)
        typed = typed_for(plant, "reset_slope", at_least=wanted)
        if typed is not None:
            yield {"reset_slope": typed}
        return
    steep = (needs[design] - room) / (room - design)
    tried: set[float] = set()
    for count in range(SLOPES):
        slope = typed_for(plant, "reset_slope", at_least=steep * (0.5 + 0.6 * count / (SLOPES - 1)))
        if slope is None or slope in tried:
            continue
        tried.add(slope)
        settings: dict[str, Value] = {"reset_slope": slope}
        moved = plant.instead(settings)
        effective = moved.number("reset_slope")
        shift = max(need - less - room - effective * max(0.0, room - outdoor) for outdoor, need in needs.items())
        typed = typed_for(moved, "reset_shift", at_least=Kelvin(shift))
        if typed is not None:
            yield {**settings, "reset_shift": typed}


def applies(plant: Plant) -> None:
    """Pass where a line can be calculated at all.

    Raises:
        Missing: where it is not known whether reset is on, or whether an outdoor sensor is fitted.
        DoesNotApply: where there is no reset, no sensor, or the supply comes from elsewhere.
    """
    if plant.reset_style == "none":
        raise DoesNotApply("the control has no outdoor reset")
    if follows(plant):
        raise DoesNotApply("the supply is set from outside")
    if reset_is_on(plant):
        return
    if not plant.flag("accessories.outdoor_sensor"):
        raise DoesNotApply("no outdoor sensor is fitted")
    if any(plant.known(f"emitter[{index}].kind") in FIXED_SUPPLY_KINDS for index in plant.emitters):
        raise DoesNotApply("a coil or a pool wants the same water in all weathers, and reset is off")
