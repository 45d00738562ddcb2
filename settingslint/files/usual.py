"""What an owner says that facts and settings usually are where nobody recorded them: `[usual]` in portfolio.toml.

For the whole portfolio, or below it for the sites and groups that `sites` and `groups` name. What endangers people is
asked and never assumed, whoever says so.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from settingslint.model.bounds import plausible_range
from settingslint.model.source import Path_, Source
from settingslint.model.values import NUMERIC, Problem, kind_of, nearest, show_value, value_from_file, words_of
from settingslint.units import Kind, System, from_si, to_si, unit_name
from settingslint.vocabulary import plausible_facts, plausible_settings
from settingslint.vocabulary.plausible import NEVER_ASSUMED, NOTHING, Choice, Given, Span
from settingslint.vocabulary.settings import OFF, SETTINGS

USUAL: Final = "usual"
PARTS: Final = {"sites": "plant.site", "groups": "plant.group"}
"""Tables below it, and what identifies a plant of one."""
ORIGIN: Final = "the owner, in portfolio.toml"


@dataclass(frozen=True, slots=True)
class Place:
    """A place in a file; lines and columns count from 1."""

    file: str
    line: int
    column: int


@dataclass(frozen=True, slots=True)
class OwnUsual:
    """One thing that the owner says is usual, and where."""

    row: Span | Choice
    text: str
    place: Place


def usual_of(source: Source) -> tuple[tuple[OwnUsual, ...], list[Problem]]:
    """Return what a portfolio file says is usual, the narrowest first, and what of it can't be taken."""
    found: list[OwnUsual] = []
    problems: list[Problem] = []
    for path, name, raw, when in _rows(source.data.get(USUAL, {})):
        made = _row(name, raw, when, source)
        if isinstance(made, str):
            problems.append(source.problem_at_key(path, made))
        else:
            place = source.place(path)
            where = "".join(f" at {one}" for values in when.values() for one in values)
            text = f"{name} {_shown(raw, name, source.data.get('units', 'metric'))}{where}"
            found.append(OwnUsual(made, text, Place(source.name, place.line, place.column)))
    return tuple(found), problems


def _rows(table: Mapping[str, Any]) -> Iterator[tuple[Path_, str, Any, Mapping[str, tuple[Given, ...]]]]:
    for part, of in PARTS.items():
        for owner, own in table.get(part, {}).items():
            for name, raw in own.items():
                yield (USUAL, part, owner, name), name, raw, {of: (owner,)}
    for name, raw in table.items():
        if name not in PARTS:
            yield (USUAL, name), name, raw, NOTHING


def _known() -> dict[str, None]:
    return dict.fromkeys(row.name for row in (*plausible_facts.ROWS, *plausible_settings.ROWS))


def _row(name: str, raw: Any, when: Mapping[str, tuple[Given, ...]], source: Source) -> Span | Choice | str:
    """Return a row of the owner's, or why it can't be taken."""
    if name in NEVER_ASSUMED:
        return f"{name} is asked and never assumed: people can be hurt"
    known = _known()
    if name not in known:
        return f"{name} is not something that is assumed{nearest(name, known)}"
    kind = kind_of(name)
    if kind in NUMERIC and raw != OFF:
        return _span(name, kind, raw, when, source)
    if isinstance(raw, dict) or not _fits(name, kind, raw):
        return f"{name}: not one of {', '.join(words_of(name)) or 'true, false'}"
    return Choice(name, raw, ORIGIN, when, (raw,))


def _fits(name: str, kind: Kind, raw: object) -> bool:
    if kind is Kind.FLAG:
        return isinstance(raw, bool)
    if raw == OFF:
        return name in SETTINGS and SETTINGS[name].can_be_off
    return raw in words_of(name)


def _span(name: str, kind: Kind, raw: Any, when: Mapping[str, tuple[Given, ...]], source: Source) -> Span | str:
    numbers = [raw[key] for key in ("low", "usual", "high")] if isinstance(raw, dict) else [raw] * 3
    if any(isinstance(one, (bool, str)) for one in numbers):
        return f"{name}: a number is needed, or low, usual and high"
    system: System = source.data.get("units", "metric")
    if "units" not in source.data and unit_name(kind, "us") != unit_name(kind, "metric"):
        return f"{name}: in which units? write units at the top of this file"
    low, usual, high = (to_si(float(one), kind, system) for one in numbers)
    if not low <= usual <= high:
        return f"{name}: low, usual and high must be in rising order"
    own = plausible_range(name)
    if own is not None and not (own.holds(low) and own.holds(high)):
        return f"{name}: it must be within {own.show(system)} ({own.origin})"
    least, most_often, most = (from_si(one, kind, "us") for one in (low, usual, high))
    return Span(name, least, most_often, most, ORIGIN, when)


def _shown(raw: Any, name: str, system: System) -> str:
    kind = kind_of(name)
    if isinstance(raw, dict):
        low, usual, high = (
            show_value(value_from_file(raw[one], kind, system), kind, system) for one in ("low", "usual", "high")
        )
        return f"{low} to {high}, usually {usual}"
    return show_value(value_from_file(raw, kind, system), kind, system)
