"""The pictures of one plant. Their numbers come from `physics/` and the effective values, never from the drawing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final, cast

from settingslint.model.control import Control
from settingslint.physics import OutOfRange, hygiene
from settingslint.physics.condensing import condensing_starts
from settingslint.physics.cycling import cycling_starts_at
from settingslint.physics.reset import Line, first_shortfall, grid, worst_shortfall
from settingslint.report.svg import Canvas, Picture
from settingslint.rules import derived
from settingslint.rules.base import DoesNotApply, Missing
from settingslint.rules.hours import NOT_KNOWN, SHORT_FROM, hours_short
from settingslint.rules.plant import Plant
from settingslint.units import Celsius, Kind


def drawn(plant: Plant, corner: str) -> tuple[list[Picture], list[tuple[str, str]]]:
    """Return the pictures that the facts allow, and (title, what is missing) for the others."""
    done: list[Picture] = []
    lacking: list[tuple[str, str]] = []
    for title, draw in PICTURES.items():
        try:
            picture = draw(plant, corner)
            if picture is not None:
                done.append(picture)
        except Missing as lack:
            lacking.append((title, f"not drawn: needs {lack.name}" + (f" ({lack.why})" if lack.why else "")))
        except DoesNotApply:
            continue
        except OutOfRange as error:
            lacking.append((title, f"not drawn: {error}"))
    return done, lacking


def as_typed(plant: Plant) -> Plant:
    """Return the plant as if its control took every value as it was typed."""
    rows = {
        name: replace(row, treatments=(), needs=(), low=None, high=None, step=None, access="installer", lost_on=())
        for name, row in plant.control.rows.items()
    }
    control: Control = replace(plant.control, rows=rows)
    return Plant(plant.profile, control, plant.context)


def _line_points(line: Line, low: Celsius, high: Celsius) -> list[tuple[float, float]]:
    return [(o, s) for o in grid(low, high) if (s := line.supply(o)) is not None]


def reset_picture(plant: Plant, corner: str) -> Picture:
    """Draw the supply line against what the emitters need, with return, dew point, ceilings and shutdown."""
    cold, warm = plant.point("site.design_outdoor"), plant.point("building.balance_point")
    line = derived.own_line(plant)

    def need(outdoor: Celsius) -> Celsius:
        return derived.need(plant, outdoor)

    def drop(outdoor: Celsius) -> float:
        return derived.drop(plant, outdoor)

    low, high = Celsius(cold - 3), Celsius(warm + 4)
    effective = _line_points(line, low, high)
    needed = [(o, need(o)) for o in grid(low, warm)]
    ceilings = [
        (Celsius(cast(float, top)), f"most that emitter {index + 1} may take")
        for index in plant.emitters
        if plant.known(f"emitter[{index}].mixed") is False
        and (top := plant.known(f"emitter[{index}].maximum_supply")) is not None
    ]
    limit = plant.known("operating_limit")
    if isinstance(limit, float):
        ceilings.append((Celsius(limit), "operating limit"))
    values = [y for _, y in (*effective, *needed)]
    top = max([*values, *(one for one, _ in ceilings if one < max(values) + 30)]) + 4
    canvas = Canvas(plant.system, (low, high), (min(15.0, *values), top), Kind.POINT, Kind.POINT, "outdoor", "supply")
    dew = derived.dew_point(plant) if plant.known("gas.fuel") is not None else None
    if dew is not None and plant.known("boiler.condensing") is not False:
        canvas.area([(low, canvas.y[0]), (low, dew), (high, dew), (high, canvas.y[0])], "band")
        canvas.labels.append((canvas.across(low) + 4, canvas.up(canvas.y[0]) - 6, "return in here condenses", "start"))
    typed = _line_points(derived.line(as_typed(plant)), low, high)
    if typed != effective:
        canvas.line(typed, "typed", "as typed, not obeyed")
    canvas.line([(o, s - drop(Celsius(o))) for o, s in effective], "return", "return")
    canvas.line(needed, "need", "needed")
    canvas.line(effective, "effective", "effective")
    for value, label in ceilings:
        canvas.level(value, "ceiling", label)
    if line.shutdown is not None:
        canvas.upright(line.shutdown, "stop", "warm-weather shutdown")
    where, short = worst_shortfall(line, need, cold, warm)
    first = first_shortfall(line, need, cold, warm, margin=SHORT_FROM)
    starts = None if dew is None else condensing_starts(line, drop, dew, cold, warm)
    if first is not None:
        caption = (
            f"The supply falls short of the need from {plant.show(Kind.POINT, first)}, most at"
            f" {plant.show(Kind.POINT, where)}, by {plant.show(Kind.DIFFERENCE, short)}."
        )
    else:
        caption = f"The supply covers the need; it is nearest at {plant.show(Kind.POINT, where)}, with " + (
            f"{plant.show(Kind.DIFFERENCE, -short)} to spare."
        )
    facts = [
        ("supply on the design day", _point(plant, line.supply(cold))),
        ("need on the design day", _point(plant, need(cold))),
        (
            "return below the flue dew point from",
            "not checked: needs gas.fuel" if dew is None else "nowhere" if starts is None else _point(plant, starts),
        ),
        ("warm-weather shutdown", "none" if line.shutdown is None else _point(plant, line.shutdown)),
    ]
    year = NOT_KNOWN
    if plant.context.hours is not None:
        year = f"{hours_short(plant).hours:,} h by the portfolio's weather file"
    facts.append(("hours a year below the need", year))
    svg = canvas.picture("Supply line against need", caption, corner)
    return Picture("reset", "Supply line against need", svg, caption, tuple(facts))


def _point(plant: Plant, value: Celsius | None) -> str:
    return "shut down" if value is None else plant.show(Kind.POINT, value)


def firing_picture(plant: Plant, corner: str) -> Picture:
    """Draw the output range while heating against the load, and where cycling starts."""
    cold, warm = plant.point("site.design_outdoor"), plant.point("building.balance_point")
    least, most = derived.minimum_output(plant), derived.heating_output(plant)
    design = plant.number("building.design_load")
    low, high = Celsius(cold - 3), Celsius(warm + 4)
    canvas = Canvas(
        plant.system, (low, high), (0.0, max(most, design) * 1.12), Kind.POINT, Kind.POWER, "outdoor", "output, load"
    )
    canvas.area([(low, least), (low, most), (high, most), (high, least)], "range")
    canvas.labels.append((canvas.across(high) - 4, canvas.up(most) - 5, "high fire while heating, about", "end"))
    canvas.labels.append((canvas.across(low) + 4, canvas.up(least) + 12, "low fire, about", "start"))
    canvas.line([(o, derived.load(plant, o)) for o in grid(low, high)], "effective", "load")
    start = cycling_starts_at(least, design, warm, cold)
    canvas.upright(start, "stop", "cycles above here")
    runs_out = cycling_starts_at(most, design, warm, cold)
    if most < design:
        caption = f"The load passes high fire below {plant.show(Kind.POINT, runs_out)}."
    elif start <= cold:
        caption = "Low fire is above the load on every day: the burner cycles all winter."
    else:
        caption = f"Above {plant.show(Kind.POINT, start)} the load is below low fire and the burner cycles."
    facts = (
        ("low fire, about", plant.show(Kind.POWER, least)),
        ("high fire while heating, about", plant.show(Kind.POWER, most)),
        ("load on the design day", plant.show(Kind.POWER, design)),
        ("cycling starts at", plant.show(Kind.POINT, start)),
    )
    return Picture("firing", "Firing range against load", canvas.picture("Firing", caption, corner), caption, facts)


RUNG_GAP: Final = Celsius(3.0)


def ladder_picture(plant: Plant, corner: str) -> Picture:
    """Draw the temperatures of hot water as rungs, coldest below; rungs out of order are marked."""
    if plant.word("hot_water.kind") != "tank":
        raise DoesNotApply("no tank")
    rungs: list[tuple[str, float]] = [("cold water", derived.cold_water(plant)[0])]
    store = plant.known("tank_setpoint")
    valve = plant.known("hot_water.mixing_valve")
    outlet = hygiene.OUTLET_MOST
    rungs.append(("most at outlets", outlet))
    if isinstance(store, float):
        gap = plant.known("tank_differential")
        if isinstance(gap, float):
            rungs.append(("store before it is heated again", store - gap))
        rungs.append(("store", store))
    for name, title in (
        ("hygiene_target", "hygiene target"),
        ("hot_water_boiler_setpoint", "boiler during hot water"),
        ("operating_limit", "operating limit"),
        ("high_limit", "high limit"),
    ):
        value = plant.known(name)
        if isinstance(value, float):
            rungs.append((title, value))
    if len(rungs) < 4:
        plant.value("tank_setpoint")
        plant.value("hot_water_boiler_setpoint")
    top = max(value for _, value in rungs) + 8
    canvas = Canvas(plant.system, (0.0, 1.0), (0.0, top), Kind.RATIO, Kind.POINT, "", "temperature")
    growth = hygiene.GROWTH
    canvas.area([(0, growth[0]), (0, growth[1]), (1, growth[1]), (1, growth[0])], "band")
    canvas.labels.append((canvas.across(0.55), canvas.up(sum(growth) / 2), "legionella grows here", "start"))
    wrong: list[str] = []
    for index, (title, value) in enumerate(rungs):
        bad = any(value <= earlier for name, earlier in rungs[:index] if name != "most at outlets")
        if bad:
            wrong.append(title)
        canvas.line([(0.02, value), (0.5, value)], "rung out" if bad else "rung")
        text = f"{'! ' if bad else ''}{title} {plant.show(Kind.POINT, value)}"
        canvas.labels.append((canvas.across(0.02) + 4, canvas.up(value) - 3, text, "start"))
    tempered = {
        True: "a tempering valve is recorded",
        False: "NO tempering valve",
        None: "tempering valve not recorded",
    }
    caption = f"Out of order: {', '.join(wrong)}; " if wrong else "The rungs are in order; "
    caption += f"{tempered[cast('bool | None', valve)]}."
    facts = tuple((title, plant.show(Kind.POINT, value)) for title, value in rungs)
    return Picture("ladder", "Hot-water ladder", canvas.picture("Hot-water ladder", caption, corner), caption, facts)


PICTURES: Final[dict[str, Callable[[Plant, str], Picture | None]]] = {
    "Supply line against need": reset_picture,
    "Firing range against load": firing_picture,
    "Hot-water ladder": ladder_picture,
}
