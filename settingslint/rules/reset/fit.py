"""Rules of the reset group about the line against the need, and about what shifts the line."""

from __future__ import annotations

import math
from typing import Final

from settingslint.model.effect import TOLERANCE
from settingslint.model.values import title_of
from settingslint.physics.condensing import condensing_starts
from settingslint.physics.reset import Line, OneNumber, SlopeShift, TwoPoints, grid
from settingslint.rules.base import (
    LIKELY,
    OUTAGE,
    WASTE,
    WITHOUT_WEATHER,
    DoesNotApply,
    Drafts,
    Quantity,
    Remedy,
    Threshold,
    celsius_of,
    found,
    kelvin_of,
    minutes_of,
)
from settingslint.rules.derived.hours import between
from settingslint.rules.derived.line import on, own_line, own_reset, top
from settingslint.rules.derived.need import NEED_FACTS, drop_at_design, heating_range, load_fraction, needs_of, weighted
from settingslint.rules.derived.output import dew_point
from settingslint.rules.heating.need import NEED_MARGIN
from settingslint.rules.plant import Plant
from settingslint.rules.reset.remedy import line_remedy
from settingslint.rules.rule import Rule, rule
from settingslint.rules.steps import attainable
from settingslint.units import Celsius, Kelvin, Kind, kelvin
from settingslint.vocabulary.settings import OFF
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE, EN_442

SURPLUS: Final = Threshold(
    "line_above_need", kelvin(15), Kind.DIFFERENCE, COMMON_PRACTICE,
    "how far the line may be above the need on average",
    kelvin(5), kelvin(40), "common practice, no source: 40 F above the need is no line for these emitters",
    looser="up",
)  # fmt: skip
STYLES_APART: Final = Threshold(
    "lines_apart", kelvin(5), Kind.DIFFERENCE, COMMON_PRACTICE, "difference from which two lines are not the same line",
    kelvin(1), kelvin(15), "common practice, no source: 15 F is more than rounding of two records", looser="up",
)  # fmt: skip
CALL: Final = Threshold(
    "typical_call", 3600.0, Kind.MINUTES, COMMON_PRACTICE, "length of an ordinary heating call",
    600.0, 4 * 3600.0, "common practice, no source: calls last from ten minutes to some hours",
)  # fmt: skip

MILD_END: Final = {"one number": "reset_endpoint", "two points": "reset_cool_supply", "slope and shift": "reset_shift"}
"""The setting that raises or lowers the line in mild weather, by the style of reset."""

RANGE_FACTS: Final = ("heating_setpoint", *NEED_FACTS, "building.balance_point")


def _line_with_style(plant: Plant) -> Line:
    effective = own_line(plant)
    if effective.style is None:
        raise DoesNotApply("reset is off")
    return effective


def _mild_end(plant: Plant) -> str:
    name = MILD_END[plant.reset_style]
    return name if plant.has(name) else "reset_slope"


@rule(
    "reset-line-below-emitter-need",
    severity=OUTAGE,
    certainty=LIKELY,
    needs=RANGE_FACTS,
    applies=own_reset,
    cautions=("heating",),
    source=(EN_442, COMMON_PRACTICE),
    assumes=("design flow", "a load that follows the outdoor temperature"),
    thresholds=(NEED_MARGIN,),
    trips="settings.reset_endpoint = 66",
    passes="settings.reset_endpoint = 74",
)
def reset_line_below_emitter_need(plant: Plant) -> Drafts:
    """The reset line is below what the emitters need over some range of outdoor temperatures.

    A straight line under a bowed need: cold in spring and autumn, fine in deep winter; or cold only in hard weather.
    Need by load share, exponent and drop of the emitters; what the set point can't give has its own rule. Short on the
    design day it is an outage, elsewhere waste.
    """
    effective, margin, cap = _line_with_style(plant), plant.threshold(NEED_MARGIN), top(plant)[0]
    (cold, warm), need = heating_range(plant), needs_of(plant)
    short: list[tuple[Celsius, float]] = []
    for outdoor in grid(cold, warm):
        supply = effective.supply(outdoor)
        if supply is not None and min(need(outdoor), cap) - supply > margin + TOLERANCE:
            short.append((outdoor, min(need(outdoor), cap) - supply))
    if not short:
        return
    first, last = short[0][0], short[-1][0]
    worst, largest = max(short, key=lambda pair: pair[1])
    in_hard_weather = first <= cold + TOLERANCE
    at = _mild_end(plant)
    if in_hard_weather and plant.reset_style == "two points":
        at = "reset_hot_supply"
    part = "the whole line"
    if not in_hard_weather:
        part = "it for mild weather"
    elif last < warm:
        part = "it for hard weather"
    numbers = {
        "short": kelvin_of(largest), "at outdoors": celsius_of(worst), "from": celsius_of(first),
        "to": celsius_of(last),
    }  # fmt: skip
    if (hours := between(plant, first, last)) is not None:
        numbers["in a year"] = Quantity(hours, Kind.COUNT, "h")
    where = " to ".join(dict.fromkeys((plant.show(Kind.POINT, first), plant.show(Kind.POINT, last))))
    yield found(
        at,
        f"reset line is up to {plant.show(Kind.DIFFERENCE, largest)} too low for the emitters at {where} outdoors",
        numbers,
        line_remedy(plant, f"raise {part} in small steps"),
        severity=OUTAGE if in_hard_weather else WASTE,
    )


@rule(
    "reset-line-far-above-need",
    severity=WASTE,
    certainty=LIKELY,
    needs=(*RANGE_FACTS, "gas.fuel"),
    only_if={"boiler.condensing": (True,)},
    applies=own_reset,
    cautions=("heating",),
    source=(EN_442, COMMON_PRACTICE),
    assumes=("design flow", WITHOUT_WEATHER),
    thresholds=(SURPLUS,),
    trips='settings.reset_cool_supply = 125, control.control.reset_style = "two points"',
    passes="settings.reset_cool_supply = 100",
)
def reset_line_far_above_need(plant: Plant) -> Drafts:
    """The reset line is far above what the emitters need, on average over the heating time.

    Zone valves that hunt, short calls, little condensing; nobody notices, because it is warm enough. Mean of supply
    minus need. Where it costs condensing: above which outdoor temperature the return condenses now, and above which it
    could with the need plus 5 F.
    """
    effective, (cold, warm), need = _line_with_style(plant), heating_range(plant), needs_of(plant)
    mean = 0.0
    for outdoor, weight in weighted(plant):
        supply = effective.supply(outdoor)
        if supply is not None and supply != effective.minimum:
            mean += weight * (supply - need(outdoor))
    if mean <= plant.threshold(SURPLUS) + TOLERANCE:
        return
    dew, drop, margin = dew_point(plant), drop_at_design(plant), kelvin(5)

    def falls(outdoor: Celsius) -> Kelvin:
        return Kelvin(drop * load_fraction(plant, outdoor))

    now = condensing_starts(effective, falls, dew, cold, warm)
    then = next((o for o in grid(cold, warm) if need(o) + margin - falls(o) < dew), None)
    numbers, cost = {"mean above need": kelvin_of(mean)}, ""
    if then is not None and (now is None or then < now):
        when = f"only above {plant.show(Kind.POINT, now)} outdoors" if now is not None else "at no time"
        cost = f"; condenses {when}"
        numbers["could condense above"] = celsius_of(then)
    yield found(
        _mild_end(plant),
        f"reset line is {plant.show(Kind.DIFFERENCE, mean)} hotter than needed on average{cost}",
        numbers,
        line_remedy(plant, f"lower it in steps of {plant.show(Kind.DIFFERENCE, margin)}, two days each"),
    )


@rule(
    "minimum-supply-above-cool-end",
    severity=WASTE,
    needs=("minimum_supply", "reset_hot_supply", "reset_cool_supply", "reset_cold_outdoor", "reset_warm_outdoor"),
    applies=on("minimum_supply"),
    cautions=("heating",),
    source=ARITHMETIC,
    trips='settings.minimum_supply = 110, control.control.reset_style = "two points"',
    passes="settings.minimum_supply = 98",
)
def minimum_supply_above_cool_end(plant: Plant) -> Drafts:
    """The minimum supply is above the mild end of the line, so the supply stops falling before that end.

    Flat from cold outdoor end + (hot - minimum)/(hot - cool) x (mild - cold outdoor end) upwards.
    """
    floor = plant.point("minimum_supply")
    effective = _line_with_style(plant)
    if not isinstance(effective.style, TwoPoints):
        raise DoesNotApply("the line has no mild end")
    ends = effective.style
    if floor <= ends.cool_supply + TOLERANCE or ends.hot_supply <= ends.cool_supply:
        return
    share = min(1.0, max(0.0, (ends.hot_supply - floor) / (ends.hot_supply - ends.cool_supply)))
    flat = Celsius(ends.cold_outdoor + share * (ends.warm_outdoor - ends.cold_outdoor))
    if plant.known("boiler.condensing") is True:
        name, value = "minimum_supply", attainable(plant, "minimum_supply", at_most=ends.cool_supply)
    else:
        name, value = "reset_cool_supply", attainable(plant, "reset_cool_supply", at_least=floor)
    yield found(
        "minimum_supply",
        f"minimum supply {plant.show('minimum_supply')} is above the mild end of the line"
        f" {plant.show('reset_cool_supply')}: flat above {plant.show(Kind.POINT, flat)} outdoors",
        {"minimum": celsius_of(floor), "mild end": celsius_of(ends.cool_supply), "flat from": celsius_of(flat)},
        Remedy(f"set {title_of(name)} to {plant.show(name, value)}: one minimum for both", {name: value})
        if value is not None
        else Remedy("set minimum supply and mild end to the same value"),
    )


@rule(
    "two-reset-lines-recorded",
    severity=WASTE,
    needs=("heating_setpoint", "building.indoor_design", "site.design_outdoor", "building.balance_point"),
    applies=own_reset,
    cautions=("heating", "record"),
    source=ARITHMETIC,
    thresholds=(STYLES_APART,),
    trips="settings.reset_slope = 0.8, settings.reset_shift = 0",
    passes="settings.reset_slope = 1.2, settings.reset_shift = 9",
)
def two_reset_lines_recorded(plant: Plant) -> Drafts:
    """The profile has a second reset line, of a style that the control does not take, and it differs.

    Both lines are compared on the design day, half way and at the balance point. A bent or straight line of one style
    can't be carried over exactly to another: the difference is shown.
    """
    effective = _line_with_style(plant)
    other = _foreign_line(plant)
    if other is None:
        raise DoesNotApply("only one line is recorded")
    style, at = other
    design, balance = plant.point("site.design_outdoor"), plant.point("building.balance_point")
    second = Line(style, effective.setpoint, effective.maximum, effective.minimum)
    own = Line(effective.style, effective.setpoint, effective.maximum, effective.minimum)
    outdoors = [design, Celsius((design + balance) / 2), balance]
    pairs = [(o, s, t) for o in outdoors if (s := own.supply(o)) is not None and (t := second.supply(o)) is not None]
    outdoor, runs, written = max(pairs, key=lambda one: abs(one[1] - one[2]))
    if abs(runs - written) <= plant.threshold(STYLES_APART) + TOLERANCE:
        return
    yield found(
        at,
        f"second reset line recorded: {plant.show(Kind.POINT, written)} at {plant.show(Kind.POINT, outdoor)} outdoors;"
        f" the control runs {plant.show(Kind.POINT, runs)}",
        {"outdoors": celsius_of(outdoor), "control's line": celsius_of(runs), "other line": celsius_of(written)},
        "find out which line was meant and delete the other",
    )


def _foreign_line(plant: Plant) -> tuple[OneNumber | TwoPoints | SlopeShift, str] | None:
    """Return a complete line that is recorded in settings which the control does not have, and its first setting."""
    own = plant.reset_style

    def typed(*names: str) -> list[float] | None:
        values = [plant.typed(name) for name in names]
        if plant.has(names[0]) or not all(isinstance(value, float) for value in values):
            return None
        return [value for value in values if isinstance(value, float)]

    if own != "two points":
        names = ("reset_hot_supply", "reset_cold_outdoor", "reset_cool_supply", "reset_warm_outdoor")
        if (ends := typed(*names)) and ends[1] < ends[3]:
            return TwoPoints(*(Celsius(end) for end in ends)), names[0]
    if own != "slope and shift" and (slope := typed("reset_slope")):
        shift = plant.typed("reset_shift")
        moved = Kelvin(shift if isinstance(shift, float) else 0.0)
        return SlopeShift(slope[0], moved, plant.point("building.indoor_design")), "reset_slope"
    if own != "one number" and (end := typed("reset_endpoint")):
        cold = plant.point("site.design_outdoor")
        if end[0] > cold:
            return OneNumber(Celsius(end[0]), plant.point("heating_setpoint"), cold), "reset_endpoint"
    return None


@rule(
    "several-shifts-at-once",
    severity=WASTE,
    needs=("heating_setpoint",),
    applies=own_reset,
    cautions=("heating", "limit"),
    source=COMMON_PRACTICE,
    trips="settings.boost_step = 5, settings.boost_interval = 90, settings.outdoor_correction = 2",
    passes='settings.boost_step = "off"',
)
def several_shifts_at_once(plant: Plant) -> Drafts:
    """More than one setting shifts the line, so nobody can tell why the supply is where it is.

    Counted are boost, room influence with a room unit and a correction of the outdoor sensor.
    """
    _line_with_style(plant)
    active = [name for name in ("boost_step", "outdoor_correction") if plant.known(name) not in (None, OFF, 0.0)]
    if plant.known("accessories.room_unit") is True and plant.known("room_influence") not in (None, OFF, 0.0):
        active.append("room_influence")
    if len(active) < 2:
        return
    shifts = ", ".join(f"{title_of(name)} {plant.show(name)}" for name in active)
    yield found(
        active[0],
        f"{len(active)} things shift the line: {shifts}",
        {"shifts": Quantity(len(active), Kind.COUNT)},
        "keep one of them and switch the others off",
    )


@rule(
    "boost-defeats-reset",
    severity=WASTE,
    certainty=LIKELY,
    needs=("boost_step", "boost_interval", *RANGE_FACTS),
    applies=on("boost_step"),
    cautions=("heating",),
    source=COMMON_PRACTICE,
    assumes="calls of an ordinary length",
    thresholds=(CALL,),
    trips="settings.boost_step = 15, settings.boost_interval = 20",
    passes="settings.boost_step = 5, settings.boost_interval = 60",
)
def boost_defeats_reset(plant: Plant) -> Drafts:
    """Boost brings the water to the set point within an ordinary call, so that reset does nothing.

    Steps from the line to the set point, half way between design day and balance point, times the boost interval.
    """
    step, interval = plant.difference("boost_step"), plant.number("boost_interval")
    effective, (cold, warm) = _line_with_style(plant), heating_range(plant)
    middle = Celsius((cold + warm) / 2)
    supply, highest = effective.supply(middle), top(plant)[0]
    if supply is None or step <= 0 or highest - supply <= TOLERANCE:
        return
    steps = math.ceil((highest - supply) / step - TOLERANCE)
    call = plant.threshold(CALL)
    if steps * interval > call + TOLERANCE:
        return
    longer = attainable(plant, "boost_interval", at_least=call / steps + 1.0)
    yield found(
        "boost_interval",
        f"boost takes the line from {plant.show(Kind.POINT, supply)} to {plant.show(Kind.POINT, highest)} within"
        f" {plant.show(Kind.MINUTES, steps * interval)} of a call",
        {"supply": celsius_of(supply), "highest": celsius_of(highest), "after": minutes_of(steps * interval)},
        Remedy(
            f"set boost interval to {plant.show('boost_interval', longer)}, or boost off once the line is proved",
            {"boost_interval": longer},
        )
        if longer is not None
        else Remedy("switch boost off once the line is proved"),
    )


RULES: Final[tuple[Rule, ...]] = (
    reset_line_below_emitter_need,
    reset_line_far_above_need,
    minimum_supply_above_cool_end,
    two_reset_lines_recorded,
    several_shifts_at_once,
    boost_defeats_reset,
)
