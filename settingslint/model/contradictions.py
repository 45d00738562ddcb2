"""What a control file says that contradicts itself, each with its place. The schema has accepted the file before."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from settingslint.model.control import Control, Need, Row, Size, Treatment
from settingslint.model.source import Path_
from settingslint.model.values import NUMERIC, Problem, Value, kind_of, title_of, words_of
from settingslint.units import Kind
from settingslint.vocabulary.settings import OFF, SETTINGS


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
        for path, message in _row(control, row):
            yield control.source.problem(("setting", row.name, *path), f"{row.name}: {message}")
    yield from _circles(control)


def _size(control: Control, size: Size) -> Iterator[Problem]:
    pairs = (("input", size.input_minimum, size.input_maximum), ("fan_at", size.fan_at_minimum, size.fan_at_maximum))
    for name, low, high in pairs:
        if low is not None and high is not None and low > high:
            at = ("size", size.name, f"{name}_minimum")
            yield control.source.problem(at, f"size {size.name}: {name}_minimum is above {name}_maximum")


def _row(control: Control, row: Row) -> Iterator[tuple[Path_, str]]:
    low = row.low if row.low is not None else -inf
    high = row.high if row.high is not None else inf
    if low > high:
        yield ("range", "high"), "the range ends below its beginning"
        low, high = -inf, inf
    for path, value in _defaults(row):
        if isinstance(value, float) and not low <= value <= high and value not in _specials(row):
            yield path, "the default lies outside the range"
    for size in row.default_by_size:
        if size not in control.sizes:
            yield ("default", size), f"a default for the size {size}, which this control file does not describe"
    for index, item in enumerate(row.treatments or ()):
        for step, message in _treatment(control, row, item, low, high):
            yield ("treatments", index, *step), message
    for index, need in enumerate(row.needs):
        for step, message in _need(control, need):
            yield ("needs", index, *step), message


def _defaults(row: Row) -> Iterator[tuple[Path_, Value]]:
    if row.default is not None:
        yield ("default",), row.default
    for size, value in row.default_by_size.items():
        yield ("default", size), value


def _specials(row: Row) -> list[float]:
    """Return the numbers that mean "off"; they may lie outside the range."""
    return [item.equals for item in row.treatments or () if item.does == "off when" and item.equals is not None]


def _treatment(control: Control, row: Row, item: Treatment, low: float, high: float) -> Iterator[tuple[Path_, str]]:
    numbers = (item.low, item.high, item.becomes, item.amount, item.equals)
    kind = SETTINGS[row.name].kind
    if kind not in NUMERIC and (item.by is not None or any(number is not None for number in numbers)):
        yield (), f"{item.does} needs a number, and this setting is a {kind}"
        return
    if item.does == "ignore" and item.low is not None and item.high is not None:
        if item.low > item.high:
            yield ("high",), "the band ends below its beginning"
        elif not low <= item.low <= high:
            yield ("low",), "the band lies outside the range"
        elif not low <= item.high <= high:
            yield ("high",), "the band lies outside the range"
        if item.becomes is not None and not low <= item.becomes <= high and item.becomes not in _specials(row):
            yield ("becomes",), "the band becomes a value outside the range"
    if item.by is None:
        return
    if item.by not in control.rows:
        yield ("by",), f"{item.does} by {item.by}, which this control file does not describe"
    elif SETTINGS[item.by].kind is not kind:
        yield ("by",), f"{item.does} by {item.by}: one is a {kind}, the other a {SETTINGS[item.by].kind}"


def _need(control: Control, need: Need) -> Iterator[tuple[Path_, str]]:
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


def _leans_on(row: Row) -> list[str]:
    return [item.by for item in row.treatments or () if item.by] + [need.setting for need in row.needs if need.setting]


def _circles(control: Control) -> Iterator[Problem]:
    """Yield a problem for the first setting that leans on itself through caps, floors and needs (iterative search)."""
    done: set[str] = set()
    for start in control.rows:
        stack: list[tuple[str, Iterator[str]]] = [(start, iter(_leans_on(control.rows[start])))]
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
                text = "settings lean on each other in a circle: " + ", then ".join(circle)
                yield control.source.problem(("setting", following), text)
                return
            elif following in control.rows and following not in done:
                trail[following] = None
                stack.append((following, iter(_leans_on(control.rows[following]))))
