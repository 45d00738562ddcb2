"""What files hold once they are read: values in SI, problems with their place, and nothing of TOML."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Final

from settingslint.units import Kind, System, show, to_si
from settingslint.vocabulary.facts import fact_row
from settingslint.vocabulary.settings import OFF, SETTINGS

Value = float | bool | str | date
"""A number in SI, a flag, a word (also "off"), or a date."""

NUMERIC: Final = frozenset(Kind) - {Kind.FLAG, Kind.WORD, Kind.TEXT, Kind.DATE}


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """A file, or a part of one, that could not be read or checked. Lines and columns count from 1."""

    file: str
    line: int
    column: int
    message: str


LONGEST_MESSAGE: Final = 500


def one_line(text: str) -> str:
    """Return text that may come from a file as one printable line, cut where it is very long.

    >>> one_line("a\\nb")
    'a\\\\nb'
    """
    cut = text if len(text) <= LONGEST_MESSAGE else text[: LONGEST_MESSAGE - 3] + "..."
    return "".join(letter if letter.isprintable() else repr(letter)[1:-1] for letter in cut)


class Unreadable(Exception):
    """Raised where a file can't be used at all; carries its problems."""

    def __init__(self, problems: list[Problem]) -> None:
        super().__init__("; ".join(problem.message for problem in problems))
        self.problems = problems


def value_from_file(raw: object, kind: Kind, system: System) -> Value:
    """Return a raw TOML or JSON value as a `Value`: numbers become SI, flags, words and "off" stay, dates are dates."""
    if isinstance(raw, (bool, date)):
        return raw
    if isinstance(raw, (int, float)):
        if kind is Kind.FAN_SPEED or kind not in NUMERIC:
            return float(raw)
        return to_si(float(raw), kind, system)
    text = str(raw)
    return date.fromisoformat(text) if kind is Kind.DATE else text


def show_value(value: Value | None, kind: Kind, system: System, unit: str | None = None) -> str:
    """Return a value as text with its unit: `140 F`, `on`, `off`, `tank sensor`, `2026-03-12`, `unknown`."""
    if value is None:
        return "unknown"
    if isinstance(value, bool):
        return "on" if value else OFF
    if isinstance(value, (float, int)):
        return show(float(value), kind, system, unit)
    return value.isoformat() if isinstance(value, date) else value


def kind_of(name: str) -> Kind:
    """Return the kind of a setting (`heating_setpoint`) or a fact (`building.design_load`).

    Raises:
        KeyError: where no table of the vocabulary has the name.
    """
    if name in SETTINGS:
        return SETTINGS[name].kind
    return fact_row(name).kind


def title_of(name: str) -> str:
    """Return the plain title of a setting or a fact, or the name itself where it has none."""
    if name in SETTINGS:
        return SETTINGS[name].title
    try:
        return fact_row(name).title
    except KeyError:
        return name


def words_of(name: str) -> tuple[str, ...]:
    """Return the words that a setting or fact may be, empty where it is no WORD."""
    return SETTINGS[name].words if name in SETTINGS else fact_row(name).words


def nearest(name: str, known: Iterable[str]) -> str:
    """Return `; did you mean ...?` with the known name that is most like an unknown one, or an empty string."""
    import difflib

    near = difflib.get_close_matches(name, list(known), n=1, cutoff=0.5)
    return f"; did you mean {near[0]}?" if near else ""
