"""Rules: the two ends of the line of outdoor reset, and whether it does anything at all."""

from __future__ import annotations

from typing import Final

from settingslint.model.effect import TOLERANCE, same
from settingslint.model.values import title_of
from settingslint.rules.base import (
    OUTAGE,
    WASTE,
    DoesNotApply,
    Draft,
    Drafts,
    Remedy,
    Severity,
    Threshold,
    celsius_of,
    found,
    kelvin_of,
)
from settingslint.rules.derived.line import follows, line, own_reset, top
from settingslint.rules.derived.need import known_need
from settingslint.rules.heating.need import NEED_MARGIN
from settingslint.rules.plant import Plant
from settingslint.rules.reset.remedy import line_remedy
from settingslint.rules.rule import Rule, rule
from settingslint.rules.steps import attainable
from settingslint.units import Celsius, Kelvin, Kind, kelvin
from settingslint.vocabulary.settings import OFF
from settingslint.vocabulary.sources import APPLIANCE_RULE, ARITHMETIC, COMMON_PRACTICE, CONTROL_FILE

LEAST_FALL: Final = Threshold(
    "minimum_reset_fall", kelvin(10), Kind.DIFFERENCE, COMMON_PRACTICE, "a line that falls less does next to nothing",
    kelvin(3), kelvin(30), "common practice, no source: a usual line falls by 40 F and more", looser="down",
)  # fmt: skip
ANCHOR_FROM_DESIGN: Final = Threshold(
    "anchor_from_design", kelvin(10), Kind.DIFFERENCE, COMMON_PRACTICE,
    "how far the cold end may be from the design outdoor temperature",
    kelvin(2), kelvin(20), "common practice, no source: 20 F apart is another climate", looser="up",
)  # fmt: skip


CAPS: Final = {"heating_setpoint": "set point", "maximum_supply": "maximum supply"}
"""What the headline calls the settings that cap the line."""


def _style(plant: Plant, *styles: str) -> str:
    """Return the style of reset, where it is one of these and nobody else sets the supply."""
    if plant.reset_style not in styles or follows(plant):
        raise DoesNotApply("this control has no such line")
    return plant.reset_style


def _off_on_purpose(plant: Plant) -> bool:
    return plant.has("reset") and plant.is_off("reset")


@rule(
    "reset-endpoint-above-setpoint",
    severity=OUTAGE,
    needs=("heating_setpoint",),
    cautions=("heating", "limit"),
    source=(ARITHMETIC, CONTROL_FILE),
    thresholds=(NEED_MARGIN,),
    trips='settings.reset_hot_supply = 175, control.control.reset_style = "two points"',
    passes="settings.reset_hot_supply = 164",
)
def reset_endpoint_above_setpoint(plant: Plant) -> Drafts:
    """The reset line rises above the set point or the maximum supply, or its end point leaves it no room to fall.

    Two points, or slope and shift: the hot end is above the cap and the line is flat below some outdoor temperature:
    cold rooms in the coldest weather. It flattens at cold outdoor end + (hot - cap)/(hot - cool) x (mild - cold outdoor
    end). One number: an end point at or above the set point leaves a level line. Waste only, where the cap covers what
    the emitters need.
    """
    style = _style(plant, "one number", "two points", "slope and shift")
    if _off_on_purpose(plant):
        raise DoesNotApply("reset is off")
    if style == "one number":
        yield from _level_line(plant)
        return
    cap, cap_name = top(plant)
    if style == "two points":
        at, typed = "reset_hot_supply", plant.typed("reset_hot_supply")
        hot = max([plant.point(at), *([Celsius(typed)] if isinstance(typed, float) else ())])
        cool, cold, warm = (plant.point(f"reset_{end}") for end in ("cool_supply", "cold_outdoor", "warm_outdoor"))
        flat = Celsius(cold + (hot - cap) / (hot - cool) * (warm - cold)) if hot > cool else None
    else:
        at = "reset_slope"
        effective, room = line(plant).style, plant.point("building.indoor_design")
        assert effective is not None
        hot = effective.supply(plant.point("site.design_outdoor"))
        shift, slope = plant.known("reset_shift"), plant.number(at)
        level = room + (shift if isinstance(shift, float) else 0.0)
        flat = Celsius(room - (cap - level) / slope) if slope > 0 else None
    if hot <= cap + TOLERANCE:
        return
    wanted = known_need(plant, plant.point("site.design_outdoor"))
    enough = wanted is not None and cap >= wanted - plant.threshold(NEED_MARGIN) - TOLERANCE
    lower = attainable(plant, at, at_most=cap) if at == "reset_hot_supply" else None
    below = [one for one in ("heating_setpoint", "maximum_supply") if _under(plant, one, hot)]
    raised = {one: value for one in below if (value := attainable(plant, one, at_least=hot)) is not None}
    if enough and lower is not None:
        remedy = Remedy(f"lower the hot end to {plant.show(at, lower)}: enough for the emitters", {at: lower})
    elif enough:
        remedy = Remedy(f"lower the slope: {plant.show(Kind.POINT, cap)} is enough for the emitters")
    else:
        names = " and ".join(title_of(one) for one in below)
        text = f"raise the {names} to {plant.show(Kind.POINT, hot)}, or lower the hot end"
        remedy = Remedy(text, raised if len(raised) == len(below) else {})
    cut = f": flat below {plant.show(Kind.POINT, flat)} outdoors" if flat is not None else ""
    numbers = {"hot end": celsius_of(hot), "cap": celsius_of(cap)}
    if flat is not None:
        numbers["flat below"] = celsius_of(flat)
    yield found(
        at,
        f"reset line rises to {plant.show(Kind.POINT, hot)}, but {CAPS[cap_name]} is {plant.show(cap_name)}{cut}",
        numbers,
        remedy,
        severity=WASTE if enough else OUTAGE,
    )


def _under(plant: Plant, name: str, hot: Celsius) -> bool:
    value = plant.known(name)
    return isinstance(value, float) and value < hot - TOLERANCE


def _level_line(plant: Plant) -> Drafts:
    setpoint, runs, typed = (
        plant.point("heating_setpoint"),
        plant.value("reset_endpoint"),
        plant.typed("reset_endpoint"),
    )
    ends = [value for value in (runs, typed) if isinstance(value, float)]
    end = max(ends) if ends and (runs != OFF or max(ends) > setpoint + TOLERANCE) else None
    if end is None:
        raise DoesNotApply("reset is off")
    if end < setpoint - TOLERANCE:
        return
    above = end > setpoint + TOLERANCE
    rising = above and isinstance(runs, float) and runs > setpoint + TOLERANCE
    text = "supply rises in mild weather" if rising else "same supply in all weathers"
    yield found(
        "reset_endpoint",
        f"reset end point {plant.show('reset_endpoint', end)} is {'above' if above else 'at'} the set point"
        f" {plant.show('heating_setpoint')}: {text}",
        {"end point": celsius_of(end), "set point": celsius_of(setpoint)},
        line_remedy(plant, "set it below the set point", "; or switch reset off, with a reason"),
        severity=OUTAGE if rising else WASTE,
        cautions=("law",),
    )


@rule(
    "reset-off-unsaid",
    severity=WASTE,
    needs=("heating_setpoint",),
    cautions=("heating", "law"),
    source=(CONTROL_FILE, APPLIANCE_RULE),
    trips=(
        'control.setting.reset_endpoint = { treatments = [{ does = "off when", by = "heating_setpoint" }] }, '
        "settings.reset_endpoint = 164"
    ),
    passes="settings.reset_endpoint = 78",
)
def reset_off_unsaid(plant: Plant) -> Drafts:
    """Reset is off because the ends of its line are equal, and no reason is recorded.

    On a control with one number an end point equal to the set point means off; two points with the same supply, or a
    slope of 0, make a level line. Whoever wants that records `why` beside the value, or switches reset off where there
    is a switch.
    """
    style = _style(plant, "one number", "two points", "slope and shift")
    if _off_on_purpose(plant):
        raise DoesNotApply("reset is off on purpose")
    if style == "one number":
        at, ends = "reset_endpoint", ["reset_endpoint"]
        equal = plant.is_off(at) and any(one.kind == "off when equal" for one in plant.effects[at].reasons)
        text = f"end point and set point are both {plant.show('heating_setpoint')}"
    elif style == "two points":
        at, ends = "reset_cool_supply", ["reset_hot_supply", "reset_cool_supply"]
        equal = same(plant.point(ends[0]), plant.point(ends[1]))
        text = f"both ends of the line are {plant.show(at)}"
    else:
        at, ends = "reset_slope", ["reset_slope"]
        equal = same(plant.number(at), 0.0)
        text = "the slope is 0"
    if not equal or any((entry := plant.entries.get(end)) and entry.why for end in ends):
        return
    yield found(
        at,
        f"reset is off, no reason recorded: {text}",
        {"set point": celsius_of(plant.point("heating_setpoint"))},
        line_remedy(plant, "set the line", "; or record why it is off"),
    )


@rule(
    "reset-line-flat-or-upside-down",
    severity=OUTAGE,
    applies=own_reset,
    cautions=("heating",),
    source=(ARITHMETIC, COMMON_PRACTICE),
    thresholds=(LEAST_FALL,),
    trips=(
        'settings.reset_hot_supply = 98, settings.reset_cool_supply = 162, control.control.reset_style = "two points"'
    ),
    passes="settings.reset_hot_supply = 162, settings.reset_cool_supply = 98",
)
def reset_line_flat_or_upside_down(plant: Plant) -> Drafts:
    """The reset line rises towards mild weather, or falls so little that it does next to nothing.

    Upside down it is an outage: cold in winter, hot in spring. A small fall is waste, and no finding where the emitters
    need no more than twice of it, as a gentle floor may.
    """
    style = _style(plant, "one number", "two points", "slope and shift")
    remedy: Remedy | None = None
    if style == "two points":
        at, hot, cool = "reset_cool_supply", plant.point("reset_hot_supply"), plant.point("reset_cool_supply")
        fall = Kelvin(hot - cool)
        remedy = Remedy("swap the two ends of the line", {"reset_hot_supply": cool, "reset_cool_supply": hot})
        text = f"{plant.show(Kind.POINT, hot)} at the cold end and {plant.show(Kind.POINT, cool)} at the mild end"
    elif style == "one number":
        at, fall = "reset_endpoint", Kelvin(plant.point("heating_setpoint") - plant.point("reset_endpoint"))
        text = f"set point {plant.show('heating_setpoint')}, end point {plant.show(at)}"
        if fall <= 0:
            return
    else:
        at = "reset_slope"
        fall = Kelvin(plant.number(at) * (plant.point("building.indoor_design") - plant.point("site.design_outdoor")))
        text = f"slope {plant.show(at)}"
    if fall > plant.threshold(LEAST_FALL) - TOLERANCE or same(fall, 0.0):
        return
    if fall < 0:
        if -fall <= plant.threshold(LEAST_FALL) - TOLERANCE or remedy is None:
            remedy = line_remedy(plant, "let the line fall towards mild weather")
        yield found(at, f"reset line is upside down: {text}", {"fall": kelvin_of(fall)}, remedy)
        return
    wanted, room = known_need(plant, plant.point("site.design_outdoor")), plant.known("building.indoor_design")
    if wanted is not None and isinstance(room, float) and wanted - room <= 2 * fall:
        return
    yield found(
        at,
        f"reset line falls by only {plant.show(Kind.DIFFERENCE, fall)}: {text}",
        {"fall": kelvin_of(fall)},
        line_remedy(plant, "set the line to what the emitters need"),
        severity=WASTE,
    )


@rule(
    "reset-anchors-equal-or-swapped",
    severity=OUTAGE,
    applies=own_reset,
    cautions=("heating",),
    source=ARITHMETIC,
    trips=(
        'settings.reset_cold_outdoor = 62, settings.reset_warm_outdoor = 4, control.control.reset_style = "two points"'
    ),
    passes="settings.reset_cold_outdoor = 4, settings.reset_warm_outdoor = 62",
)
def reset_anchors_equal_or_swapped(plant: Plant) -> Drafts:
    """The cold end of the line is not at a colder outdoor temperature than its mild end.

    There is no such line; each control makes something else of it. On a control with one number the end point must be
    warmer than the outdoor temperature at which the line is hottest.
    """
    style = _style(plant, "one number", "two points")
    at = "reset_warm_outdoor" if style == "two points" else "reset_endpoint"
    cold, warm = _cold_end(plant), plant.point(at)
    if cold < warm - TOLERANCE:
        return
    values: dict[str, float | None] = {}
    design, balance = plant.known("site.design_outdoor"), plant.known("building.balance_point")
    if style == "two points" and isinstance(design, float) and isinstance(balance, float):
        values["reset_cold_outdoor"] = attainable(plant, "reset_cold_outdoor", at_most=design)
        values["reset_warm_outdoor"] = attainable(plant, "reset_warm_outdoor", at_least=balance)
    text = "set the cold end to the design day, the mild end to where no heat is needed"
    yield found(
        at,
        f"mild end of the line at {plant.show(at)} outdoors is not warmer than the cold end at"
        f" {plant.show(Kind.POINT, cold)}",
        {"cold end": celsius_of(cold), "mild end": celsius_of(warm)},
        Remedy(text, {name: value for name, value in values.items() if value is not None}),
    )


def _cold_end(plant: Plant) -> Celsius:
    if plant.has("reset_cold_outdoor") or plant.known("control.cold_anchor") is None:
        return plant.point("reset_cold_outdoor")
    return plant.point("control.cold_anchor")


@rule(
    "reset-anchor-far-from-design",
    severity=OUTAGE,
    needs=("reset_cold_outdoor", "site.design_outdoor"),
    applies=own_reset,
    cautions=("heating",),
    source=COMMON_PRACTICE,
    thresholds=(ANCHOR_FROM_DESIGN, NEED_MARGIN),
    trips='settings.reset_cold_outdoor = -20, control.control.reset_style = "two points"',
    passes="settings.reset_cold_outdoor = -2",
)
def reset_anchor_far_from_design(plant: Plant) -> Drafts:
    """The cold end of the line is far from the site's design outdoor temperature.

    Colder than design, the water never gets as hot as the line's end says: an outage where the emitters then are short
    of heat, no finding where the line meets their need all the same. Warmer than design, it runs hot for weeks: waste.
    The default of a control suits one climate only.
    """
    _style(plant, "one number", "two points")
    cold, design = plant.point("reset_cold_outdoor"), plant.point("site.design_outdoor")
    away = Kelvin(cold - design)
    if abs(away) <= plant.threshold(ANCHOR_FROM_DESIGN) + TOLERANCE:
        return
    supply, wanted = line(plant).supply(design), known_need(plant, design)
    if supply is None:
        raise DoesNotApply("heating is shut down on the design day")
    severity: Severity = WASTE
    if away < 0 and wanted is not None:
        if supply >= wanted - plant.threshold(NEED_MARGIN) - TOLERANCE:
            return
        severity = OUTAGE
    nearest = attainable(plant, "reset_cold_outdoor", at_most=design)
    yield _far(plant, away, supply, wanted, severity, nearest)


def _far(
    plant: Plant, away: Kelvin, supply: Celsius, wanted: Celsius | None, severity: Severity, nearest: float | None
) -> Draft:
    at = "reset_cold_outdoor"
    needs = f", need {plant.show(Kind.POINT, wanted)}" if wanted is not None else ""
    side = "warmer" if away > 0 else "colder"
    numbers = {"from design": kelvin_of(away), "supply on the design day": celsius_of(supply)}
    return found(
        at,
        f"cold end at {plant.show(at)} is {plant.show(Kind.DIFFERENCE, abs(away))} {side} than the design day:"
        f" supply then {plant.show(Kind.POINT, supply)}{needs}",
        numbers,
        Remedy(f"set the cold end to {plant.show(at, nearest)} outdoors", {at: nearest})
        if nearest is not None
        else None,
        severity=severity,
    )


RULES: Final[tuple[Rule, ...]] = (
    reset_endpoint_above_setpoint,
    reset_off_unsaid,
    reset_line_flat_or_upside_down,
    reset_anchors_equal_or_swapped,
    reset_anchor_far_from_design,
)
