"""The visit sheet: what was left last beside empty boxes, in the order in which the control wants its settings."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from settingslint.checking.questions import Question
from settingslint.output.questions import MORE, known_by
from settingslint.report.sheet import (
    MARK,
    Block,
    Fields,
    Grid,
    Heading,
    Items,
    Sheet,
    Text,
    called,
    cautions,
    fact,
    identity,
    last_left,
    marked,
    names_of,
    place,
    sheet_of,
)
from settingslint.rules.plant import Plant
from settingslint.vocabulary.cautions import FRAME

ROOM: Final = 195
"""Millimetres for the settings on a sheet of two pages."""
QUESTIONS: Final = 8
"""So many of them have room on a sheet; the most important ones."""
VISIT: Final = (
    "serial, read off the plate now", "date, time in, time out", "by", "role and licence", "work order",
    "present at the site", "why: complaint in their own words", "outdoor temperature now",
)  # fmt: skip
TESTS: Final = (
    "high limit stops the burner; how it is reset", "low water or low pressure stops the burner", "flame failure",
    "vent and combustion air proved", "gas tightness", "freeze protection answers", "interlocks, pumps, end switches",
    "supply sensor against a thermometer, cold", "supply sensor against a thermometer, hot",
    "outdoor sensor against a thermometer", "clock, time zone, summer time",
)  # fmt: skip
NOT_IN_A_PROFILE: Final = (
    "supply and return", "input clocked at the meter", "gas pressure at the inlet, still and running",
    "gas pressure at the manifold", "carbon monoxide in the room", "analyser, serial",
)  # fmt: skip
"""Readings that belong to a combustion test and that a profile does not hold."""
COMBUSTION: Final = (
    "time of the reading", "oxygen, dry", "carbon dioxide, dry", "carbon monoxide", "CO air-free, or CO divided by CO2",
    "flue gas temperature", "fan speed shown", *NOT_IN_A_PROFILE[:-1],
)  # fmt: skip
ANALYSER: Final = (NOT_IN_A_PROFILE[-1], "calibrated on", "fuel selected in it", "zeroed in clean air")
ENTER: Final = (
    "1. First read all of it into found, clock, faults and counters too. Then set, then read back. Empty: not read."
)


def visit_sheet(plant: Plant, commit: str, asked: Sequence[Question] = ()) -> Sheet:
    """Return the visit sheet of a plant; `asked` is what to find out there, of which it has the first few."""
    blocks: list[Block] = [
        identity(plant),
        Fields(tuple((name, None) for name in VISIT)),
        Text(FRAME, small=True),
        Heading(ENTER),
        _settings(plant),
        Text(f"{MARK} can hurt people or the plant: a change of it needs a reason here, and is read back."),
        Grid(("no.", "why", "by, agreed with"), ((None, None, None),) * 4, (9, 58, 33), beside=2),
        *find_out(asked),
        *saving(plant),
        Heading("3. Tests"),
        *tests(plant),
        Heading("4. Combustion after the last change, stable, covers on: the maker's figures count, none are here"),
        *combustion(),
        Heading("5. Still open, and who does it by when"),
        Grid(("what", "who", "by when"), ((None, None, None),) * 4, (60, 20, 20), beside=2),
        *cautions(plant),
        Fields((("signed, who set it", None), ("signed, who looked it over", None)), columns=2),
    ]
    return sheet_of("Visit sheet", plant, commit, blocks)


def _settings(plant: Plant) -> Grid:
    rows = tuple(
        (f"{number}{marked(name)}", called(plant, name), place(plant, name), last_left(plant, name), None, None, None)
        for number, name in enumerate(names_of(plant), 1)
    )
    head = ("no.", "on the panel (what it is)", "place in the menu", "recorded last", "found", "set to", "read back")
    return Grid(head, rows, (5, 37.5, 14, 17.5, 8.7, 8.7, 8.6), room=max(4.1, min(5.4, ROOM / len(rows))))


def find_out(asked: Sequence[Question]) -> list[Block]:
    """Return the questions that matter most, with room for the answers."""
    if not asked:
        return []
    rows = tuple((" ".join(filter(None, (one.text, known_by(one)))), None) for one in asked[:QUESTIONS])
    more = f"; {len(asked) - QUESTIONS} more: {MORE}" if len(asked) > QUESTIONS else ""
    head = f"Find out at this visit, the most important first{more}"
    return [Heading(head), Grid(("question, and how to know", "answer"), rows, (68, 32), beside=2)]


def saving(plant: Plant) -> list[Block]:
    """Return the control's own way to save, and the check that it did."""
    steps = plant.control.save or ("The control file does not say how this control saves: look it up before you type.",)
    check = "Power off for a minute where that may be done, power on, and read back the marked settings."
    return [Heading("2. Save, as this control wants it"), Items((*steps, check), steps=True, columns=2)]


def tests(plant: Plant) -> list[Block]:
    """Return the boxes for tests, water, hot water and counters; what is recorded stands beside."""
    water = (
        ("water pressure, cold", None), ("water pressure, hot", None),
        (f"relief valve, on its plate (record: {fact(plant, 'water.relief_pressure')})", None),
        ("charge of the expansion vessel", None), ("pH, conductivity, inhibitor", None),
        ("glycol share, tested", None), ("hardness", None),
        ("tank temperature", None), ("nearest tap after a minute", None), ("farthest tap after a minute", None),
        ("return of the circulation loop", None),
        (f"mixing valve tested (last: {fact(plant, 'hot_water.mixing_valve_tested')})", None),
        ("burner starts", None), ("burner hours", None), ("faults in the history", None), ("last fault", None),
    )  # fmt: skip
    return [
        Grid(("test", "result, how"), tuple((one, None) for one in TESTS), (54, 46), beside=3),
        Fields(water, columns=4),
    ]


def combustion() -> list[Block]:
    """Return the boxes for combustion readings. There is no target in them."""
    return [
        Grid(
            ("reading", "high fire", "low fire"), tuple((one, None, None) for one in COMBUSTION), (48, 26, 26), beside=3
        ),
        Fields(tuple((one, None) for one in ANALYSER), columns=4),
    ]
