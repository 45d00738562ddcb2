"""The hot-water ladder: the temperatures of hot water as rungs, coldest below; rungs out of order stand out."""

from __future__ import annotations

from typing import Final, cast

from settingslint.physics import hygiene
from settingslint.report.both import both
from settingslint.report.labels import SIZE, Label, Spot, spread
from settingslint.report.svg import BOTTOM, HEIGHT, LEFT, TOP, Canvas, Picture
from settingslint.rules.base import DoesNotApply
from settingslint.rules.derived.output import cold_water
from settingslint.rules.plant import Plant
from settingslint.units import Kind

ENDS: Final = (0.02, 0.28)
"""Where rungs begin and end, parts of the width."""
WORDS: Final = 0.36
"""Where the words of the rungs begin."""
TAPS: Final = ("maximum at the taps", "maximum in baths here")
"""Of ordinary and of vulnerable people; nothing has to be above them."""
MIXED: Final = {
    True: "a mixing valve is recorded",
    False: "there is NO mixing valve",
    None: "a mixing valve is not recorded",
}


def rungs_of(plant: Plant) -> list[tuple[str, float]]:
    """Return name and temperature of each rung, C, in the order in which they ought to rise.

    Raises:
        DoesNotApply: where no tank is recorded.
        Missing: where too little is known for a ladder.
    """
    if plant.word("hot_water.kind") != "tank":
        raise DoesNotApply("no tank")
    rungs: list[tuple[str, float]] = [("cold water", cold_water(plant)[0])]
    vulnerable = plant.known("site.occupants") == "vulnerable"
    rungs.append((TAPS[vulnerable], hygiene.BATH_MAXIMUM_VULNERABLE if vulnerable else hygiene.TAP_MAXIMUM))
    tank = plant.known("tank_setpoint")
    if isinstance(tank, float):
        gap = plant.known("tank_differential")
        if isinstance(gap, float):
            rungs.append(("tank less its differential", tank - gap))
        rungs.append(("tank", tank))
    for name, title in (
        ("hygiene_target", "hygiene target"),
        ("hot_water_boiler_setpoint", "boiler for hot water"),
        ("operating_limit", "operating limit"),
        ("high_limit", "high limit"),
    ):
        value = plant.known(name)
        if isinstance(value, float):
            rungs.append((title, value))
    if len(rungs) < 4:
        plant.value("tank_setpoint")
        plant.value("hot_water_boiler_setpoint")
    return rungs


def out_of_order(rungs: list[tuple[str, float]]) -> list[str]:
    """Return the rungs that are no higher than one that ought to be below them."""
    return [
        title
        for index, (title, value) in enumerate(rungs)
        if any(value <= earlier for name, earlier in rungs[:index] if name not in TAPS)
    ]


def ladder_picture(plant: Plant, corner: str) -> Picture:
    """Draw the rungs on a scale, the growth range of legionella shaded."""
    rungs = rungs_of(plant)
    wrong = out_of_order(rungs)
    top = max(value for _, value in rungs) + 8
    canvas = Canvas(plant.system, (0.0, 1.0), (0.0, top), Kind.RATIO, Kind.POINT, "", "temperature")
    low, high = hygiene.GROWTH
    canvas.area([(0, low), (0, high), (1, high), (1, low)], "band")
    for title, value in rungs:
        canvas.line([(ENDS[0], value), (ENDS[1], value)], "rung out" if title in wrong else "rung")
    bases = spread([canvas.up(value) + SIZE / 3 for _, value in rungs], SIZE * 1.35, TOP + SIZE, HEIGHT - BOTTOM - 6)
    end, begin = canvas.across(ENDS[1]), canvas.across(WORDS)
    for (title, value), base in zip(rungs, bases, strict=True):
        at = canvas.up(value)
        canvas.parts.append(f'<path class="tie" d="M{end + 2:.1f} {at:.1f}L{begin - 4:.1f} {base - SIZE / 3:.1f}"/>')
        words = f"{'! ' if title in wrong else ''}{title} {both(plant, Kind.POINT, value)}"
        canvas.write(begin, base, words)
    spots: list[Spot] = [
        (LEFT + 5, canvas.up(low + (high - low) * part) + SIZE / 3, "start") for part in (0.5, 0.3, 0.7, 0.12, 0.86)
    ]
    canvas.labels.append(Label("legionella grows", tuple(spots)))
    valve = MIXED[cast("bool | None", plant.known("hot_water.mixing_valve"))]
    caption = f"Out of order: {', '.join(wrong)}; {valve}." if wrong else f"The rungs are in order; {valve}."
    facts = (
        *((title + (" (out of order)" if title in wrong else ""), both(plant, Kind.POINT, v)) for title, v in rungs),
        ("legionella grows between", f"{both(plant, Kind.POINT, low)} and {both(plant, Kind.POINT, high)}"),
        ("mixing", valve),
    )
    title = "Hot-water ladder"
    return Picture("ladder", title, canvas.picture(title, caption, corner), caption, facts)
