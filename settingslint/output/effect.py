"""What `effect` prints: what each setting was set to, read back and runs at; the line beside what the emitters need."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from settingslint.checking.around import around
from settingslint.model.values import show_value, title_of
from settingslint.output.data import number, value_of
from settingslint.output.figures import ASSUMPTIONS, Figure, figures, tried
from settingslint.output.plain import wrapped
from settingslint.plain import Plain, in_lines, plain
from settingslint.rules.derived.hours import NOT_KNOWN
from settingslint.rules.derived.line import own_line
from settingslint.rules.derived.need import need as need_at
from settingslint.rules.plant import Plant
from settingslint.units import Celsius, Kind, System, from_si, to_si, unit_name
from settingslint.vocabulary.settings import SETTINGS


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
    line = own_line(plant)
    rows = []
    for outdoor in outdoor_points(plant):
        need, _ = tried(lambda at=outdoor: need_at(plant, at))  # type: ignore[misc]
        rows.append((outdoor, line.supply(outdoor), need))
    return rows


def effect_text(plant: Plant, width: int) -> Plain:
    """Return the effect of one plant's settings as text."""
    return in_lines(_lines(plant, width))


def _lines(plant: Plant, width: int) -> Iterator[str]:
    profile, system = plant.profile, plant.system
    yield wrapped(f"{profile.name}, {profile.site}; control {plant.control.title}", width, "")
    yield ""
    head = f"{'setting':<{_TITLE}}{'typed':>{_CELL}}{'read back':>{_CELL}}{'runs at':>{_CELL}}"
    yield head
    yield "-" * len(head)
    reasons: list[str] = []
    for name, effect in plant.effects.items():
        entry = profile.settings.get(name)
        if entry is None and effect.state == "not recorded":
            continue
        kind = SETTINGS[name].kind

        def cell(value: Any, kind: Kind = kind, unit: str | None = effect.unit) -> Plain:
            short = None if unit is None or len(unit) > 5 else unit
            return plain(show_value(value, kind, system, short if kind is Kind.FAN_SPEED else None))

        typed = cell(effect.typed) if effect.typed is not None else (entry.left if entry and entry.left else "-")
        back = cell(entry.read_back) if entry and entry.read_back is not None else "-"
        real = cell(effect.effective) if effect.effective is not None else plain(effect.state)
        if effect.candidates:
            real = plain(" or ".join(map(cell, effect.candidates)))
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
    year = plant.context.hours
    made = figures(plant)
    for one in made:
        if year is not None or not one.yearly:
            text = show_value(one.value, one.kind, system) if one.value is not None else one.why
            yield wrapped(f"{one.title}: {text}{_spread(one, system)}", width, "")
    if rests := dict.fromkeys(one.assumed for one in made if one.assumed):
        yield wrapped(f"Assumed, because nobody recorded it: {'; '.join(rests)}.", width, "", "")
    if year is None:
        yield NOT_KNOWN
    elif year.summary is not None:
        yield wrapped(f"hours by the portfolio's weather file: {year.summary.place}", width, "")
    yield wrapped(ASSUMPTIONS, width, "", "")


def _spread(one: Figure, system: System) -> str:
    """Return between which ends a figure is where something is assumed."""
    if not one.assumed or one.low is None or one.high is None:
        return ""
    low, high = (show_value(end, one.kind, system) for end in (one.low, one.high))
    return f" (assumed; {low} to {high})" if low != high else " (assumed)"


_TITLE, _CELL = 36, 13


def _row(title: str, typed: str, back: str, real: str, mark: str) -> Iterator[str]:
    """Yield one row; words too long for their column take a line of their own."""
    if max(map(len, (typed, back, real))) < _CELL and len(title) < _TITLE:
        yield f"{title:<{_TITLE}}{typed:>{_CELL}}{back:>{_CELL}}{real:>{_CELL}}{mark}"
        return
    yield title
    labels = {"typed": typed, "read back": back, "runs at": real + mark}
    if typed == real and back in ("-", real):
        labels = {"typed, runs at": real + mark}
    for label, cell in labels.items():
        if cell != "-":
            yield f"  {label + ': ' + cell:>{_TITLE + 3 * _CELL - 2 + len(mark)}}"


def _line_table(plant: Plant, width: int) -> Iterator[str]:
    near = around(plant, lambda one: need_at(one, outdoor_points(one)[0]))
    said = near.said(plant.system)
    if said:
        yield wrapped(f"The table assumes what nobody recorded: {said}.", width, "", "")
    plant = near.plant
    rows, why = tried(lambda: line_rows(plant))
    if rows is None:
        yield wrapped(f"supply line: {why}", width, "")
        return
    unit = unit_name(Kind.POINT, plant.system)
    yield f"{'outdoor':>10}{'supply':>12}{'need':>12}{'short by':>12}   ({unit})"
    for outdoor, supply, need in rows:
        cells = [plant.show(Kind.POINT, outdoor)]
        cells.append("shut down" if supply is None else plant.show(Kind.POINT, supply))
        cells.append("-" if need is None else plant.show(Kind.POINT, need))
        short = 0.0 if need is None or supply is None else need - supply
        cells.append(plant.show(Kind.DIFFERENCE, short) if short > 1e-6 else "")
        yield f"{cells[0]:>10}{cells[1]:>12}{cells[2]:>12}{cells[3]:>12}".rstrip()
    _, lack = tried(lambda: need_at(plant, rows[0][0]))
    if lack:
        yield wrapped(f"need: {lack}", width, "")


def effect_data(plant: Plant) -> dict[str, Any]:
    """Return the effect of one plant's settings as JSON holds it."""
    system = plant.system
    near = around(plant, lambda one: need_at(one, outdoor_points(one)[0]))
    rows, why = tried(lambda: line_rows(near.plant))
    year = plant.context.hours
    place = year.summary.place if year is not None and year.summary is not None else None

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
                "candidates": [value_of(one, name, system) for one in effect.candidates],
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
        "line_assumes": near.said(system),
        "figures": {
            one.title: {
                "value": None if one.value is None else number(one.value, one.kind, system),
                "unit": unit_name(one.kind, system), "why": one.why,
                **({} if one.low is None or one.high is None else {
                    "low": number(one.low, one.kind, system), "high": number(one.high, one.kind, system),
                    "assumed": one.assumed,
                }),
            }
            for one in figures(plant)
        },
        "weather": place,
        "assumptions": ASSUMPTIONS,
    }  # fmt: skip
