"""The pictures of one plant. Their numbers come from `physics/` and the effective values, never from the drawing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import replace
from typing import Final, cast

from settingslint.checking.around import around
from settingslint.model.control import Control
from settingslint.physics import OutOfRange
from settingslint.physics.condensing import condensing_starts
from settingslint.physics.cycling import cycling_starts_at
from settingslint.physics.reset import Line, first_shortfall, grid, worst_shortfall
from settingslint.physics.weather import Hours
from settingslint.report.both import both
from settingslint.report.fate import fate_picture
from settingslint.report.labels import Label, Spot
from settingslint.report.ladder import ladder_picture
from settingslint.report.svg import Canvas, Picture
from settingslint.rules.base import DoesNotApply, Missing
from settingslint.rules.derived.hours import NOT_KNOWN, SHORT_FROM, hours_below_low_fire, hours_condensing, hours_short
from settingslint.rules.derived.line import line as line_of
from settingslint.rules.derived.line import own_line
from settingslint.rules.derived.need import drop as drop_at
from settingslint.rules.derived.need import load as load_at
from settingslint.rules.derived.need import need as need_at
from settingslint.rules.derived.output import dew_point, heating_output, minimum_output
from settingslint.rules.plant import Plant
from settingslint.units import Celsius, Kind


def drawn(plant: Plant, corner: str) -> tuple[list[Picture], list[tuple[str, str]]]:
    """Return the pictures that the facts allow, and (title, what is missing) for the others."""
    done: list[Picture] = []
    lacking: list[tuple[str, str]] = []
    for title, draw in PICTURES.items():
        try:
            done += filter(None, [_picture(plant, corner, draw)])
        except Missing as lack:
            lacking.append((title, f"no picture: needs {lack.name}" + (f" ({lack.why})" if lack.why else "")))
        except DoesNotApply:
            continue
        except OutOfRange as error:
            lacking.append((title, f"no picture: {error}"))
    return done, lacking


def _picture(plant: Plant, corner: str, draw: Draw) -> Picture | None:
    """Return a picture; where facts are missing, with the usual ones and what else is plausible, and saying so."""
    try:
        return draw(plant, corner, ())
    except Missing:
        near = around(plant, lambda one: draw(one, corner, ()))
        if near.plant is plant:
            raise
    picture = draw(near.plant, corner, near.others)
    if picture is None:
        return None
    said = f"Assumed, since nobody recorded it: {near.said(plant.system)}."
    facts = (*picture.facts, ("assumed", near.said(plant.system)))
    return replace(picture, key=said, facts=facts)


def _band(
    others: Sequence[Plant], along: Sequence[float], ask: Callable[[Plant, Celsius], float]
) -> list[tuple[float, float, float]]:
    """Return outdoor temperature, lowest and highest of several plants, along the outdoor axis."""
    rows = []
    for outdoor in along:
        values = []
        for other in others:
            with suppress(Missing, DoesNotApply, ArithmeticError, ValueError):
                values.append(ask(other, Celsius(outdoor)))
        if values:
            rows.append((outdoor, min(values), max(values)))
    return rows


def as_typed(plant: Plant) -> Plant:
    """Return the plant as if its control took every value as it was typed."""
    rows = {
        name: replace(row, treatments=(), needs=(), low=None, high=None, step=None, access="installer", lost_on=())
        for name, row in plant.control.rows.items()
    }
    control: Control = replace(plant.control, rows=rows)
    return Plant(plant.profile, control, plant.context)


def _line_points(line: Line, low: Celsius, high: Celsius) -> list[tuple[float, float]]:
    stop = line.shutdown
    end = high if stop is None else Celsius(min(high, max(low, stop)))
    return [(o, s) for o in grid(low, end) if (s := line.supply(o)) is not None]


def _ceilings(plant: Plant) -> list[tuple[Celsius, str]]:
    found = [
        (Celsius(cast(float, top)), f"maximum of emitter {index + 1}")
        for index in plant.emitters
        if plant.known(f"emitter[{index}].mixed") is False
        and (top := plant.known(f"emitter[{index}].maximum_supply")) is not None
    ]
    limit = plant.known("operating_limit")
    if isinstance(limit, float):
        found.append((Celsius(limit), "operating limit"))
    by_value: dict[Celsius, list[str]] = {}
    for value, label in found:
        by_value.setdefault(value, []).append(label)
    return [(value, ", ".join(labels)) for value, labels in by_value.items()]


def _hours_below(canvas: Canvas, year: Hours) -> str:
    """Draw the hours of a year at each outdoor temperature as bars on the floor; return what they say."""
    low, high = canvas.x
    inside = [(outdoor, hours) for outdoor, hours in year.middles() if low <= outdoor - 0.5 and outdoor + 0.5 <= high]
    if not inside:
        return "none in this range"
    most = max(hours for _, hours in inside)
    floor, tall = canvas.y[0], (canvas.y[1] - canvas.y[0]) * 0.16
    bars = []
    for outdoor, hours in inside:
        left, right = canvas.across(outdoor - 0.5) + 0.6, canvas.across(outdoor + 0.5) - 0.6
        top = canvas.up(floor + tall * hours / most)
        canvas.strokes.append([(left, top), (right, top)])
        bars.append(f"M{left:.1f} {canvas.up(floor):.1f}V{top:.1f}H{right:.1f}V{canvas.up(floor):.1f}")
    canvas.parts.append(f'<path class="hours" d="{"".join(bars)}"/>')
    peak = max(inside, key=lambda one: one[1])
    at, tip = canvas.across(peak[0]), canvas.up(floor + tall)
    spots: list[Spot] = [(at, tip - 5, "middle"), (at + 30, tip - 5, "start"), (at - 30, tip - 5, "end")]
    canvas.labels.append(Label("hours a year", tuple(spots)))
    where = f"{peak[0]:.1f} C ({peak[0] * 1.8 + 32:.0f} F)"
    return f"the bars on the floor: the tallest, {most:,} h to 1 K, is near {where}"


def reset_picture(plant: Plant, corner: str, others: Sequence[Plant] = ()) -> Picture:
    """Draw the supply line against what the emitters need, with return, dew point, ceilings and shutdown.

    `others` are the same plant with other plausible values of what nobody recorded: the need is drawn as a band.
    """
    cold, warm = plant.point("site.design_outdoor"), plant.point("building.balance_point")
    line = own_line(plant)

    def need(outdoor: Celsius) -> Celsius:
        return need_at(plant, outdoor)

    def drop(outdoor: Celsius) -> float:
        return drop_at(plant, outdoor)

    low, high = Celsius(cold - 3), Celsius(max(warm, line.shutdown or warm) + 4)
    effective = _line_points(line, low, high)
    needed = [(o, need(o)) for o in grid(low, warm)]
    back = [(o, s - drop(Celsius(o))) for o, s in effective]
    ceilings = _ceilings(plant)
    plausible = _band([plant, *others], [o for o, _ in needed], need_at) if others else []
    values = [*(y for _, y in (*effective, *needed)), *(y for row in plausible for y in row[1:])]
    top = max([*values, *(one for one, _ in ceilings if one < max(values) + 30)]) + 6
    canvas = Canvas(
        plant.system, (low, high), (min(15.0, *values), top), Kind.POINT, Kind.POINT, "outdoor, cold on the left",
        "boiler supply",
    )  # fmt: skip
    dew = dew_point(plant) if plant.known("gas.fuel") is not None else None
    if dew is not None and plant.known("boiler.condensing") is not False:
        corners = [(low, canvas.y[0]), (low, dew), (high, dew), (high, canvas.y[0])]
        canvas.area(corners, "band", "a return in here condenses")
    if plausible:
        canvas.between(plausible, "plausible", "what may be needed")
    bars = "" if plant.context.hours is None else _hours_below(canvas, plant.context.hours)
    typed = _line_points(line_of(as_typed(plant)), low, high)
    if typed != effective:
        canvas.line(typed, "typed", "as typed", 0.2)
    canvas.line(back, "return", "return", 0.3)
    canvas.line(needed, "need", "needed", 0.65)
    canvas.line(effective, "effective", "supply", 0.2)
    for value, label in ceilings:
        canvas.level(value, "ceiling", label)
    if line.shutdown is not None:
        canvas.upright(line.shutdown, "stop", "warm-weather shutdown")
    where, short = worst_shortfall(line, need, cold, warm)
    first = first_shortfall(line, need, cold, warm, margin=SHORT_FROM)
    starts = None if dew is None else condensing_starts(line, drop, dew, cold, warm)
    highest = max((y for _, y in effective), default=low)
    passed = min((one for one in ceilings if one[0] < highest), default=None)
    if passed is not None:
        caption = (
            f"The supply goes up to {both(plant, Kind.POINT, highest)}, past the {passed[1]},"
            f" {both(plant, Kind.POINT, passed[0])}."
        )
    elif first is not None:
        caption = (
            f"The supply falls short of the need from {both(plant, Kind.POINT, first)}, worst at"
            f" {both(plant, Kind.POINT, where)}, by {both(plant, Kind.DIFFERENCE, short)}."
        )
    else:
        caption = f"The supply covers the need; it is nearest at {both(plant, Kind.POINT, where)}, with" + (
            f" {both(plant, Kind.DIFFERENCE, -short)} to spare."
        )
    if plausible and passed is None:
        caption = f"{caption.removesuffix('.')}{_elsewhere(line, plausible, first is not None)}."
    facts = [
        ("supply on the design day", _point(plant, line.supply(cold))),
        ("need on the design day", _point(plant, need(cold))),
        (
            "return below the flue dew point from",
            "not checked: needs gas.fuel" if dew is None else "nowhere" if starts is None else _point(plant, starts),
        ),
        ("warm-weather shutdown", "none" if line.shutdown is None else _point(plant, line.shutdown)),
        *((label, _point(plant, value)) for value, label in ceilings),
        ("what was typed", "does not run everywhere: the dotted line" if typed != effective else "is what runs"),
        ("hours a year below the need", _hours(plant, lambda: f"{hours_short(plant).hours:,} h")),
        ("hours a year in which the return condenses", _hours(plant, lambda: f"{hours_condensing(plant):,} h")),
        *([("hours", bars)] if bars else []),
    ]
    title = "Supply line against need"
    return Picture("reset", title, canvas.picture(title, caption, corner), caption, tuple(facts))


def _elsewhere(line: Line, plausible: Sequence[tuple[float, float, float]], short: bool) -> str:
    """Return whether it is otherwise somewhere in the band of what may be needed; `short` is what is usual."""
    known = [(low, high, s) for o, low, high in plausible if (s := line.supply(Celsius(o))) is not None]
    if short:
        return "" if any(low > supply for low, _, supply in known) else "; at other plausible values it does not"
    return "; at other plausible values it falls short" if any(high > supply for _, high, supply in known) else ""


def _hours(plant: Plant, ask: Callable[[], str]) -> str:
    if plant.context.hours is None:
        return NOT_KNOWN
    try:
        return f"{ask()} by the portfolio's weather file"
    except Missing as lack:
        return f"not checked: needs {lack.name}"


def _point(plant: Plant, value: Celsius | None) -> str:
    return "shut down" if value is None else both(plant, Kind.POINT, value)


def firing_picture(plant: Plant, corner: str, others: Sequence[Plant] = ()) -> Picture:
    """Draw the output range while heating against the load, and where cycling starts; `others` as `reset_picture`."""
    cold, warm = plant.point("site.design_outdoor"), plant.point("building.balance_point")
    least, most = minimum_output(plant), heating_output(plant)
    design = plant.number("building.design_load")
    low, high = Celsius(cold - 3), Celsius(warm + 4)
    loads = _band([plant, *others], list(grid(low, high)), load_at) if others else []
    highest = max([most, design, *(high for _, _, high in loads)])
    canvas = Canvas(
        plant.system, (low, high), (0.0, highest * 1.12), Kind.POINT, Kind.POWER,
        "outdoor, cold on the left", "output, load",
    )  # fmt: skip
    canvas.area([(low, least), (low, most), (high, most), (high, least)], "range")
    bars = "" if plant.context.hours is None else _hours_below(canvas, plant.context.hours)
    if loads:
        canvas.between(loads, "plausible", "what the load may be")
    canvas.line([(o, load_at(plant, o)) for o in grid(low, high)], "effective", "load", 0.35)
    canvas.level(most, "edge", "high fire while heating, about")
    canvas.level(least, "edge", "low fire, about")
    start = cycling_starts_at(least, design, warm, cold)
    if start > low:
        canvas.upright(start, "stop", "cycles when warmer")
    runs_out = cycling_starts_at(most, design, warm, cold)
    if most < design:
        caption = f"Below {both(plant, Kind.POINT, runs_out)} the load is more than high fire gives while heating."
    elif start <= cold:
        caption = "Low fire is above the load on every day: the burner cycles all winter."
    else:
        caption = f"Above {both(plant, Kind.POINT, start)} the load is below low fire and the burner cycles."
    facts = (
        ("low fire, about", both(plant, Kind.POWER, least)),
        ("high fire while heating, about", both(plant, Kind.POWER, most)),
        ("load on the design day", both(plant, Kind.POWER, design)),
        ("cycling starts at", both(plant, Kind.POINT, start)),
        ("hours a year below low fire", _hours(plant, lambda: f"{hours_below_low_fire(plant):,} h")),
        *([("hours", bars)] if bars else []),
    )
    title = "Firing range against load"
    return Picture("firing", title, canvas.picture(title, caption, corner), caption, facts)


Draw = Callable[[Plant, str, Sequence[Plant]], Picture | None]
"""Draws a plant; the others are the same one with other plausible values of what nobody recorded."""

PICTURES: Final[dict[str, Draw]] = {
    "Supply line against need": reset_picture,
    "Firing range against load": firing_picture,
    "Hot-water ladder": lambda plant, corner, _: ladder_picture(plant, corner),
    "What became of each typed value": lambda plant, corner, _: fate_picture(plant, corner),
}
