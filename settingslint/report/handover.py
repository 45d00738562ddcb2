"""The handover sheet: plain words for whoever lives or works there."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from settingslint.model.values import title_of
from settingslint.physics import OutOfRange
from settingslint.physics.scald import describe
from settingslint.report.sheet import Block, Fields, Grid, Heading, Items, Sheet, Text, sheet_of, until
from settingslint.rules.base import DoesNotApply, Missing
from settingslint.rules.derived.line import own_line
from settingslint.rules.plant import Plant
from settingslint.units import Celsius, Kind, System, celsius
from settingslint.vocabulary.settings import LICENSED, SAFETY_CAUTIONS, SETTINGS

YOURS: Final = frozenset({"heating", "hot-water"})
"""Caution classes of what the people who live there may change, where the control lets them."""
WEATHER: Final[dict[System, tuple[Celsius, ...]]] = {
    "us": tuple(celsius(one) for one in (0.0, 20.0, 40.0, 60.0)),
    "metric": tuple(Celsius(one) for one in (-15.0, -5.0, 5.0, 15.0)),
}
"""Round outdoor temperatures in either unit system."""
NOT_YOURS: Final = (
    "Fan speeds, firing rates, fuel and ignition: a wrong value can make carbon monoxide behind a flame that looks"
    " normal. Only a licensed gas technician.",
    "Limits and safety devices: never raised, bridged or blocked. If one trips, call: somebody finds the cause.",
    "Freeze protection: stays on, also in summer and while you are away.",
    "Covers, valves, relief valve and vent: not opened, turned or closed. A dripping relief valve is a reason to call.",
    "The service code: not passed on.",
)
EMERGENCY: Final = (
    "Smell of gas: leave at once, touch no switch and no phone inside, no flame. Call from outside.",
    "Carbon monoxide alarm, headache or dizziness: everybody out into fresh air, call from outside, do not go back in.",
    "Water where there should be none: switch the boiler off, and call.",
    "Frozen, or no heat in hard frost: do not force it. Call, and keep the rooms warm some other way if you can.",
)
LOCKED: Final = (
    "Note what the display shows, the time and the weather.",
    "If your technician has agreed to it: reset once, and wait.",
    "If it locks out again, leave it and call. Resetting again and again can gather gas that has not burnt.",
)
POWER_CUT: Final = (
    "Without power nothing protects the pipes from frost.",
    "When power is back, look at the display, the clock and the water pressure; in frost look for leaks.",
)


def handover_sheet(plant: Plant, commit: str) -> Sheet:
    """Return the handover sheet of a plant."""
    blocks: list[Block] = [
        Text(f"This boiler heats {plant.profile.site}. Its settings are on record; these are the ones for you."),
        Heading("If something is wrong"),
        Items(EMERGENCY),
        Fields(
            (("gas emergency", None), ("fire and ambulance", None), ("your technician", None), ("out of hours", None)),
            columns=2,
        ),
        Heading("What you may change"),
        *_yours(plant),
        Heading("What you leave alone"),
        Items((*NOT_YOURS[:3], *_tank(plant), *NOT_YOURS[3:])),
        Heading("What is normal"),
        *_normal(plant),
        *_temporary(plant),
        Heading("Summer, winter, and while you are away"),
        Items(tuple(_seasons(plant))),
        Heading("If it locks out"),
        Items(LOCKED, steps=True),
        Heading("After a power cut"),
        Items(POWER_CUT),
        Heading("Handed over"),
        Fields((
            ("shown and tried together", None), ("language", None), ("received by", None), ("date", None),
            ("handed over by", None), ("next service", None), ("the full record is kept at", None), ("signed", None),
        ), columns=2),
        Text(
            "The maker's book, the local rules and licensed technicians overrule this sheet. It is made"
            " from the record; nobody looked at the boiler for it."
        ),
    ]  # fmt: skip
    return sheet_of("For the people in the house", plant, commit, blocks, large=True)


def _yours(plant: Plant) -> list[Block]:
    rows = []
    ask = []
    for row in plant.control.ordered():
        if row.access != "user":
            continue
        if SETTINGS[row.name].caution in YOURS:
            rows.append((panel(plant, row.name), plant.show(row.name), None, None))
        elif SETTINGS[row.name].caution in SAFETY_CAUTIONS:
            ask.append(panel(plant, row.name))
    blocks: list[Block] = []
    if rows:
        blocks.append(
            Text("One small step, then two days of similar weather. Your technician fills in how far you may go.")
        )
        blocks.append(Grid(("on the panel", "now", "not below", "not above"), tuple(rows)))
    else:
        blocks.append(Text("The record knows of nothing on this control that is meant for you to change."))
    if ask:
        blocks.append(Text(f"The control would let you change these, but ask first: {', '.join(ask)}."))
    return blocks


def _tank(plant: Plant) -> Iterator[str]:
    if plant.known("hot_water.kind") in (None, "none"):
        return
    yield (
        "The temperature of the hot-water tank: too cool, and legionella grows in it; too hot, and it burns. The person"
        " responsible for water safety decides."
    )


def _normal(plant: Plant) -> list[Block]:
    weather = tuple(_supply(plant))
    blocks: list[Block] = []
    if weather:
        blocks.append(Grid(("outdoors", *weather[0]), (("the boiler sends out heating water at about", *weather[1]),)))
    else:
        blocks.append(Text("How warm the heating water is in which weather can't be told from the record."))
    tank = plant.known("tank_setpoint")
    if isinstance(tank, float) and plant.known("hot_water.kind") == "tank":
        blocks.append(
            Text(
                f"The hot-water tank is at {plant.show('tank_setpoint')}. Straight from the tank it would burn an adult"
                f" in {describe(Celsius(tank))}, children and old people sooner."
            )
        )
    empty = (("water pressure, cold: from, to", None), ("hot water at the tap, measured", None))
    blocks.append(Fields(empty, columns=2))
    return blocks


def _supply(plant: Plant) -> list[tuple[str, ...]]:
    """Return outdoor temperatures and what the boiler supplies at each; nothing where the record does not tell it."""
    days = WEATHER[plant.system]
    try:
        line = own_line(plant)
        supplies = [line.supply(day) for day in days]
    except (Missing, DoesNotApply, OutOfRange):
        return []
    shown = [plant.show(Kind.POINT, one) if one is not None else "no heating" for one in supplies]
    return [tuple(plant.show(Kind.POINT, day) for day in days), tuple(shown)]


def panel(plant: Plant, name: str) -> str:
    """Return what the panel calls a setting, in quotes."""
    row = plant.row(name)
    return f'"{row.label}"' if row and row.label else title_of(name)


def _temporary(plant: Plant) -> Iterator[Block]:
    lines = []
    for name, entry in plant.profile.settings.items():
        if entry.until is not None:
            back = (
                f", then {plant.show(name, entry.then)} again"
                if entry.then is not None and name not in LICENSED
                else ""
            )
            lines.append(f"{panel(plant, name)}: {plant.show(name, entry.typed)} {until(entry.until, plant)}{back}.")
    if lines:
        yield Heading("For a time only")
        yield Text("Somebody has to come and put these back; the boiler does not do it by itself.")
        yield Items(tuple(lines))


def _seasons(plant: Plant) -> Iterator[str]:
    shutdown = plant.known("warm_weather_shutdown")
    if isinstance(shutdown, float):
        yield f"Above {plant.show('warm_weather_shutdown')} outdoors heating stops by itself; that is no fault."
    modes = plant.listed("control.freeze_active_in")
    if modes is not None and plant.row("operating_mode") is not None:
        names = ", ".join(modes) or "none"
        yield (
            f"Freeze protection works only while {panel(plant, 'operating_mode')} is set to one of these: {names}."
            " Keep it at one of them, all year."
        )
    else:
        yield "Whether freeze protection works in every mode is not recorded: ask before you change the mode."
    yield "Going away: do not switch the boiler off. Lower the rooms, and let somebody look in, above all in frost."
    yield "If nobody can come for a long time, ask how to drain or protect the system, and read your insurer's wording."
    if plant.known("hot_water.kind") not in (None, "none"):
        yield "Back after a week or more: run every hot tap for some minutes before use, and do not breathe the spray."
    yield "Now and then look at the pressure and listen: new noises, smells, soot or stains are a reason to call."
