"""What a control file says that contradicts itself, each with its place. The schema has accepted the file before."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from math import inf
from typing import Final

from settingslint.model.control import OWN_UNITS, USES, Control, Need, Row, Size, Treatment
from settingslint.model.source import Path_
from settingslint.model.values import NUMERIC, Problem, Value, kind_of, title_of, words_of
from settingslint.units import CONVERSIONS, Kind, System, unit_name
from settingslint.vocabulary.settings import OFF, SETTINGS

Found = Iterator[tuple[Path_, str]]
"""Places below a setting's table, and what is wrong there."""
ROUNDING: Final = 1e-9
"""What a conversion may add to the difference of two numbers."""
PER_CENT: Final = ("%", "per cent", "percent")
_UNITS: Final = {row.unit.casefold() for by_system in CONVERSIONS.values() for row in by_system.values()} - {"%", ""}
"""The units of all other kinds of numbers."""


def contradictions(control: Control) -> Iterator[Problem]:
    """Yield a problem for each contradiction of a control file."""
    seen: set[str] = set()
    for index, name in enumerate(control.entry_order):
        at = ("control", "entry_order", index)
        if name not in control.rows:
            yield control.source.problem(at, f"entry_order names {name}, which this control file does not describe")
        elif name in seen:
            yield control.source.problem(at, f"entry_order names {name} twice")
        seen.add(name)
    for size in control.sizes.values():
        yield from _size(control, size)
    for row in control.rows.values():
        for path, message in (*_unit(control, row), *_row(control, row)):
            yield control.source.problem(("setting", row.name, *path), f"{row.name}: {message}")
    yield from _circles(control)


def _size(control: Control, size: Size) -> Iterator[Problem]:
    pairs = (("input", size.input_minimum, size.input_maximum), ("fan_at", size.fan_at_minimum, size.fan_at_maximum))
    for name, low, high in pairs:
        if low is not None and high is not None and low > high:
            at = ("size", size.name, f"{name}_minimum")
            yield control.source.problem(at, f"size {size.name}: {name}_minimum is above {name}_maximum")


def _unit(control: Control, row: Row) -> Found:
    unit, kind = control.source.data["setting"][row.name].get("unit"), SETTINGS[row.name].kind
    if unit is not None and (says := _why_not_unit(unit.strip(), kind, control.system)):
        yield ("unit",), f"the unit {unit!r}: {says}"


def _why_not_unit(unit: str, kind: Kind, system: System) -> str:
    if kind not in NUMERIC:
        return f"a {kind} has none"
    if kind not in OWN_UNITS:
        own = unit_name(kind, system)
        return "" if unit == own else f"in a {system} file it is in {own}"
    if kind is Kind.PERCENT:
        return "" if unit.startswith(PER_CENT) else "it is % of something"
    if not any(letter.isalpha() or letter == "%" for letter in unit):
        return "there is no word in it"
    other = unit.strip("\N{DEGREE SIGN} ").casefold() in _UNITS or (unit == "%" and kind is not Kind.FAN_SPEED)
    return f"it is not a unit of a {kind}" if other else ""


def _row(control: Control, row: Row) -> Found:
    low = row.low if row.low is not None else -inf
    high = row.high if row.high is not None else inf
    if low > high:
        yield ("range", "high"), "the range ends below its beginning"
        low, high = -inf, inf
    if row.step is not None and row.step > high - low + ROUNDING:
        yield ("step",), "the step is larger than the range"
    for path, value in _defaults(row):
        if isinstance(value, float) and not low <= value <= high and value not in _specials(row):
            yield path, "the default is outside the range"
    for size in row.default_by_size:
        if size not in control.sizes:
            yield ("default", size), f"a default for the size {size}, which this control file does not describe"
    for index, item in enumerate(row.treatments or ()):
        for step, message in _treatment(control, row, item, low, high):
            yield ("treatments", index, *step), message
    for first, second in combinations(range(len(row.treatments or ())), 2):
        if message := _clash(control, row, (row.treatments or ())[first], (row.treatments or ())[second]):
            yield ("treatments", second), f"{message}; {_other_at(control, row, 'treatments', first)}"
    for index, need in enumerate(row.needs):
        for step, message in _need(control, need):
            yield ("needs", index, *step), message
    for first, second in combinations(range(len(row.needs)), 2):
        if message := _needs_clash(row.needs[first], row.needs[second]):
            yield ("needs", second), f"{message}; {_other_at(control, row, 'needs', first)}"


def _other_at(control: Control, row: Row, key: str, index: int) -> str:
    place = control.source.place(("setting", row.name, key, index))
    return f"the other is at {place.line}:{place.column}"


def _clash(control: Control, row: Row, one: Treatment, other: Treatment) -> str:
    """Return what is wrong with two treatments of one setting together, or an empty string."""
    does = {one.does: one, other.does: other}
    if one == other:
        return f"{one.does} is given twice"
    if one.does == other.does and one.does in ("add", "at most until first firing"):
        return f"{one.does} is given twice, with two numbers"
    if one.does == other.does == "ignore":
        return _bands_clash(one, other) or _bands_clash(other, one)
    if does.keys() == {"ignore", "off when"}:
        band, off = does["ignore"], does["off when"]
        if off.equals is not None and _in_band(off.equals, band) and band.becomes != off.equals:
            return "the number that means off is in a band that is ignored before"
    if does.keys() == {"cap", "floor"}:
        cap, floor = does["cap"], does["floor"]
        if cap.by == floor.by:
            return f"cap and floor are both {cap.by}: whatever is typed, it runs at that"
        highest, lowest = (control.rows.get(item.by or "") for item in (cap, floor))
        if highest and lowest and None not in (highest.high, lowest.low) and highest.high < lowest.low:  # type: ignore[operator]
            return f"the cap by {cap.by} ends below where the floor by {floor.by} begins"
    return ""


def _in_band(value: float, band: Treatment) -> bool:
    return band.low is not None and band.high is not None and band.low <= value <= band.high


def _bands_clash(one: Treatment, other: Treatment) -> str:
    if one.becomes == other.becomes or None in (one.low, one.high):
        return ""
    if any(end is not None and _in_band(end, one) for end in (other.low, other.high)):
        return "two ignored bands overlap and become two values"
    if one.becomes is not None and _in_band(one.becomes, other):
        return "one ignored band becomes a value in the other"
    return ""


def _needs_clash(one: Need, other: Need) -> str:
    """Return what is wrong with two needs of one setting together, or an empty string."""
    if (one.accessory, one.fact, one.setting) != (other.accessory, other.fact, other.setting):
        return ""
    about = one.accessory or one.fact or one.setting
    if set(one.values) == set(other.values):
        same = one.otherwise == other.otherwise
        twice = f"needs {about} is given twice"
        return twice + ("" if same else f": without it, {one.otherwise} or {other.otherwise}?")
    if set(one.values).isdisjoint(other.values):
        return f"needs two values of {about} that can't both be"
    return ""


def _defaults(row: Row) -> Iterator[tuple[Path_, Value]]:
    if row.default is not None:
        yield ("default",), row.default
    for size, value in row.default_by_size.items():
        yield ("default", size), value


def _specials(row: Row) -> list[float]:
    """Return the numbers that mean "off"; they may lie outside the range."""
    return [item.equals for item in row.treatments or () if item.does == "off when" and item.equals is not None]


def _treatment(control: Control, row: Row, item: Treatment, low: float, high: float) -> Found:
    numbers = (item.low, item.high, item.becomes, item.amount, item.equals)
    kind = SETTINGS[row.name].kind
    if kind not in NUMERIC and (item.by is not None or any(number is not None for number in numbers)):
        yield (), f"{item.does} needs a number, and this setting is a {kind}"
        return
    for key in ("low", "high", "becomes", "amount", "equals", "by"):
        if getattr(item, key) is not None and key not in USES[item.does]:
            yield (key,), f"{item.does} goes by {' and '.join(USES[item.does])}, not by {key}"
    width = high - low
    if item.does == "add" and item.amount is not None and abs(item.amount) > width + ROUNDING:
        yield ("amount",), "it adds more than the whole range"
    if item.does == "at most until first firing" and item.amount is not None and not low <= item.amount <= high:
        yield ("amount",), "the maximum until the first firing is outside the range"
    if item.does == "ignore" and item.low is not None and item.high is not None:
        if item.low > item.high:
            yield ("high",), "the band ends below its beginning"
        elif not low <= item.low <= high:
            yield ("low",), "the band is outside the range"
        elif not low <= item.high <= high:
            yield ("high",), "the band is outside the range"
        elif item.low <= low < high <= item.high:
            yield (), "the band is the whole range: nothing that can be typed is kept"
        elif item.becomes is not None and item.low < item.becomes < item.high:
            yield ("becomes",), "the ignored band becomes a value inside it"
        if item.becomes is not None and not low <= item.becomes <= high and item.becomes not in _specials(row):
            yield ("becomes",), "the band becomes a value outside the range"
    if item.by is None:
        return
    if item.by not in control.rows:
        yield ("by",), f"{item.does} by {item.by}, which this control file does not describe"
    elif SETTINGS[item.by].kind is not kind:
        yield ("by",), f"{item.does} by {item.by}: one is a {kind}, the other a {SETTINGS[item.by].kind}"
    else:
        by = control.rows[item.by]
        if None not in (row.unit, by.unit) and row.unit != by.unit:
            yield ("by",), f"{item.does} by {item.by}: one is in {row.unit}, the other in {by.unit}"
        if item.does == "cap" and by.high is not None and by.high < low:
            yield ("by",), f"cap by {item.by}, which ends below where this one's range begins"
        if item.does == "floor" and by.low is not None and by.low > high:
            yield ("by",), f"floor by {item.by}, which begins above where this one's range ends"


def _need(control: Control, need: Need) -> Found:
    about = need.setting or need.fact
    if about is None:
        return
    if need.setting is not None and need.setting not in control.rows:
        yield ("setting",), f"needs {need.setting}, which this control file does not describe"
        return
    kind, words = kind_of(about), words_of(about)
    off = need.setting is not None and SETTINGS[need.setting].can_be_off
    for value in need.values:
        if isinstance(value, bool):
            fits = kind is Kind.FLAG
        elif isinstance(value, str):
            fits = value in words if words else kind is Kind.TEXT or (off and value == OFF)
        else:
            fits = kind in NUMERIC
        if not fits:
            plain = {Kind.FLAG: "true or false", Kind.TEXT: "text", Kind.DATE: "a date"}.get(kind, "a number")
            known = ", ".join(repr(word) for word in words) or plain
            written = str(value).lower() if isinstance(value, bool) else repr(value)
            yield ("is",), f"{title_of(about)} ({about}) can't be {written}; it is {known}"


def _depends_on(row: Row) -> list[str]:
    return [item.by for item in row.treatments or () if item.by] + [need.setting for need in row.needs if need.setting]


def _circles(control: Control) -> Iterator[Problem]:
    """Yield a problem for the first setting that depends on itself by caps, floors and needs (iterative search)."""
    done: set[str] = set()
    for start in control.rows:
        stack: list[tuple[str, Iterator[str]]] = [(start, iter(_depends_on(control.rows[start])))]
        trail = {start: None}
        while stack:
            name, rest = stack[-1]
            following = next(rest, None)
            if following is None:
                stack.pop()
                trail.pop(name, None)
                done.add(name)
            elif following in trail:
                names = list(trail)
                circle = [*names[names.index(following) :], following]
                text = "settings depend on each other in a circle: " + ", then ".join(circle)
                yield control.source.problem(("setting", following), text)
                return
            elif following in control.rows and following not in done:
                trail[following] = None
                stack.append((following, iter(_depends_on(control.rows[following]))))
