"""What `effect` prints: each setting as typed, read back and effective, and the line beside what the emitters need."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from settingslint.model.values import show_value, title_of
from settingslint.output.data import number, value_of
from settingslint.output.plain import plain, wrapped
from settingslint.physics import OutOfRange
from settingslint.physics.condensing import condensing_starts, flue_dew_point_by_air
from settingslint.physics.cycling import cycling_starts_at
from settingslint.physics.hot_water import recovery_time
from settingslint.physics.reset import first_shortfall
from settingslint.rules import derived
from settingslint.rules.base import DoesNotApply, Missing
from settingslint.rules.plant import Plant
from settingslint.units import Celsius, Kelvin, Kind, from_si, to_si, unit_name
from settingslint.vocabulary.settings import SETTINGS

EXCESS_AIR = 0.25
"""Excess of air for which the dew point is shown: an ordinary figure of condensing burners, named in the text."""


def _tried(call: Callable[[], Any]) -> tuple[Any, str]:
    """Return the result, or None and why there is none."""
    try:
        return call(), ""
    except Missing as lack:
        return None, f"not checked: needs {lack.name}" + (f" ({lack.why})" if lack.why else "")
    except DoesNotApply as none:
        return None, f"does not apply ({none})" if str(none) else "does not apply"
    except OutOfRange as error:
        return None, f"out of range: {error}"


def outdoor_points(plant: Plant) -> list[Celsius]:
    """Return a handful of outdoor temperatures, round in the profile's units, from the design day to the balance point.

    Raises:
        Missing: where the design day or the balance point is not recorded.
    """
    system = plant.system
    cold, warm = plant.point("site.design_outdoor"), plant.point("building.balance_point")
    step = 10 if system == "us" else 5
    low, high = (from_si(one, Kind.POINT, system) for one in (cold, warm))
    first = (int(low) // step + 1) * step
    points = [low, *(float(one) for one in range(first, int(high) + 1, step)), high]
    unique = sorted({round(one, 1) for one in points})
    return [Celsius(to_si(one, Kind.POINT, system)) for one in unique]


def line_rows(plant: Plant) -> list[tuple[Celsius, Celsius | None, Celsius | None]]:
    """Return (outdoor, supply or None in warm-weather shutdown, need or None) at several outdoor temperatures."""
    line = derived.line(plant)
    rows = []
    for outdoor in outdoor_points(plant):
        need, _ = _tried(lambda at=outdoor: derived.need(plant, at))  # type: ignore[misc]
        rows.append((outdoor, line.supply(outdoor), need))
    return rows


def derived_figures(plant: Plant) -> dict[str, tuple[float | None, Kind, str]]:
    """Return what follows from the effective values: title to (SI value or None, kind, why there is none)."""
    figures: dict[str, tuple[float | None, Kind, str]] = {}

    def put(title: str, kind: Kind, call: Callable[[], float | None], none: str = "nowhere") -> None:
        value, why = _tried(call)
        figures[title] = (value, kind, why or (none if value is None else ""))

    def ends() -> tuple[Celsius, Celsius]:
        return plant.point("site.design_outdoor"), plant.point("building.balance_point")

    def drop(outdoor: Celsius) -> float:
        index = derived.direct_emitters(plant)[0]
        one = derived.emitter(plant, index)
        return (one.design_supply - one.design_return) * derived.load_fraction(plant, outdoor)

    put("supply on the design day", Kind.POINT, lambda: derived.line(plant).supply(ends()[0]), "shut down")
    put("need on the design day", Kind.POINT, lambda: derived.need(plant, ends()[0]))

    def first_short() -> Celsius | None:
        cold, warm = ends()
        return first_shortfall(derived.line(plant), lambda o: derived.need(plant, o), cold, warm, margin=0.5)

    put("line first falls short at", Kind.POINT, first_short)
    dew = flue_dew_point_by_air("propane" if plant.known("gas.fuel") == "propane" else "natural gas", EXCESS_AIR)
    put("return is below the flue dew point from", Kind.POINT,
        lambda: condensing_starts(derived.line(plant), drop, dew, *ends()))  # fmt: skip
    put("burner begins to cycle at", Kind.POINT,
        lambda: cycling_starts_at(
            derived.minimum_output(plant), plant.number("building.design_load"), ends()[1], ends()[0]))  # fmt: skip
    put("input at low fire, about", Kind.POWER, lambda: derived.inputs(plant)[0])
    put("input at high fire, about", Kind.POWER, lambda: derived.inputs(plant)[1])

    def recovery() -> float:
        cold, _ = derived.cold_water(plant)
        rise = Kelvin(plant.point("tank_setpoint") - cold)
        return recovery_time(plant.number("hot_water.tank_volume"), rise, derived.hot_water_output(plant))

    put("recovery of the tank from cold", Kind.MINUTES, recovery)
    return figures


ASSUMPTIONS = (
    "Assumes constant flow, one exponent for each emitter, a load that follows the outdoor temperature, flue gas with"
    f" {EXCESS_AIR:.0%} of excess air, and mains water of 10 C (50 F) where none is recorded. To look at, not to"
    " design by."
)


def effect_text(plant: Plant, width: int) -> str:
    """Return the effect of one plant's settings as text."""
    return "\n".join(_lines(plant, width)) + "\n"


def _lines(plant: Plant, width: int) -> Iterator[str]:
    profile, system = plant.profile, plant.system
    yield f"{plain(profile.name)}, {plain(profile.site)}; control {plain(plant.control.title)}"
    yield ""
    head = f"{'setting':<{_TITLE}}{'asked for':>{_CELL}}{'read back':>{_CELL}}{'effective':>{_CELL}}"
    yield head
    yield "-" * len(head)
    reasons: list[str] = []
    for name, effect in plant.effects.items():
        entry = profile.settings.get(name)
        if entry is None and effect.state == "not recorded":
            continue
        kind = SETTINGS[name].kind

        def cell(value: Any, kind: Kind = kind, unit: str | None = effect.unit) -> str:
            short = None if unit is None or len(unit) > 5 else unit
            return show_value(value, kind, system, short if kind is Kind.FAN_SPEED else None)

        typed = cell(effect.typed) if effect.typed is not None else (entry.left if entry and entry.left else "-")
        back = cell(entry.read_back) if entry and entry.read_back is not None else "-"
        real = cell(effect.effective) if effect.effective is not None else effect.state
        mark = "*" if effect.reasons else ""
        yield from _row(title_of(name), typed, back, real, mark)
        reasons += [f"{title_of(name)}: {reason.text}" for reason in effect.reasons]
    if reasons:
        yield ""
        for reason in reasons:
            yield wrapped(f"* {reason}", width, "")
    yield ""
    yield from _line_table(plant, width)
    yield ""
    for title, (value, kind, why) in derived_figures(plant).items():
        text = show_value(value, kind, system) if value is not None else why
        yield wrapped(f"{title}: {text}", width, "")
    hours = plant.context.hours
    yield "hours: from the portfolio's weather file" if hours else "hours not known: no weather file"
    yield wrapped(ASSUMPTIONS, width, "", "")


_TITLE, _CELL = 36, 13


def _row(title: str, typed: str, back: str, real: str, mark: str) -> Iterator[str]:
    """Yield one row; words too long for their column take a line of their own."""
    if max(map(len, (typed, back, real))) < _CELL and len(title) < _TITLE:
        yield f"{title:<{_TITLE}}{typed:>{_CELL}}{back:>{_CELL}}{real:>{_CELL}}{mark}"
        return
    yield title
    labels = {"asked for": typed, "read back": back, "effective": real + mark}
    if typed == real and back in ("-", real):
        labels = {"asked for, effective": real + mark}
    for label, cell in labels.items():
        if cell != "-":
            yield f"  {label + ': ' + cell:>{_TITLE + 3 * _CELL - 2 + len(mark)}}"


def _line_table(plant: Plant, width: int) -> Iterator[str]:
    rows, why = _tried(lambda: line_rows(plant))
    if rows is None:
        yield wrapped(f"supply line: {why}", width, "")
        return
    unit = unit_name(Kind.POINT, plant.system)
    yield f"{'outdoor':>10}{'supply':>12}{'need':>12}{'short by':>12}   ({unit})"
    for outdoor, supply, need in rows:
        cells = [plant.show(Kind.POINT, outdoor)]
        cells.append("shut down" if supply is None else plant.show(Kind.POINT, supply))
        cells.append("-" if need is None else plant.show(Kind.POINT, need))
        short = need is not None and supply is not None and need > supply + 1e-6
        cells.append(plant.show(Kind.DIFFERENCE, need - supply) if short else "")
        yield f"{cells[0]:>10}{cells[1]:>12}{cells[2]:>12}{cells[3]:>12}".rstrip()
    _, lack = _tried(lambda: derived.need(plant, rows[0][0]))
    if lack:
        yield wrapped(f"need: {lack}", width, "")


def effect_data(plant: Plant) -> dict[str, Any]:
    """Return the effect of one plant's settings as JSON holds it."""
    system = plant.system
    rows, why = _tried(lambda: line_rows(plant))

    def point(value: Celsius | None) -> float | int | None:
        return None if value is None else number(value, Kind.POINT, system)

    return {
        "format": 1,
        "profile": plant.profile.path,
        "plant": plant.profile.name,
        "site": plant.profile.site,
        "units": system,
        "settings": [
            {
                "setting": name,
                "typed": value_of(effect.typed, name, system),
                "read_back": value_of(entry.read_back, name, system)
                if (entry := plant.profile.settings.get(name)) is not None
                else None,
                "stored": value_of(effect.stored, name, system),
                "effective": value_of(effect.effective, name, system),
                "unit": effect.unit or unit_name(SETTINGS[name].kind, system),
                "state": effect.state,
                "reasons": [{"kind": reason.kind, "text": reason.text} for reason in effect.reasons],
            }
            for name, effect in plant.effects.items()
        ],
        "line": [
            {"outdoor": point(outdoor), "supply": point(supply), "need": point(need)}
            for outdoor, supply, need in rows or ()
        ],
        "line_unknown": why,
        "figures": {
            title: {"value": None if value is None else number(value, kind, system),
                    "unit": unit_name(kind, system), "why": reason}
            for title, (value, kind, reason) in derived_figures(plant).items()
        },
        "assumptions": ASSUMPTIONS,
    }  # fmt: skip
