"""What the schemas of profile, control and portfolio share: texts, dates, numbers with their units, tables."""

from __future__ import annotations

from collections.abc import Callable
from math import ceil, floor
from typing import Any, Final

from settingslint.units import CONVERSIONS, Kind, from_si, to_si
from settingslint.vocabulary.bounds import PHYSICAL, Bounds
from settingslint.vocabulary.settings import OFF

DRAFT: Final = "https://json-schema.org/draft/2020-12/schema"
Json = dict[str, Any]


def in_either(kind: Kind, own: Bounds) -> tuple[float, float]:
    """Return bounds in US units as numbers that hold in a file of either unit system: the wider of both."""
    ends = [to_si(end, kind, "us") for end in (own.low, own.high)]
    low, high = (from_si(end, kind, "metric") for end in ends)
    return min(own.low, _outward(low, floor)), max(own.high, _outward(high, ceil))


def _outward(end: float, to: Callable[[float], int]) -> float:
    """Return an end, moved outward to three decimals at most: what is exact to the last digit no file states."""
    return to(round(end * 1000, 6)) / 1000


BOUNDS: Final[dict[Kind, tuple[float, float]]] = {kind: (own.low, own.high) for kind, own in PHYSICAL.items()}
"""Beyond these a number is absurd in either unit system. Wide on purpose: rules notice the implausible."""

TEXT: Final[Json] = {"type": "string", "minLength": 1, "maxLength": 2000}
SHORT: Final[Json] = {"type": "string", "minLength": 1, "maxLength": 200}
NAME: Final[Json] = {"type": "string", "pattern": "^[A-Za-z0-9][A-Za-z0-9._ -]{0,79}$"}
DATE: Final[Json] = {"type": "string", "format": "date", "pattern": "^(19|20)[0-9]{2}-[0-9]{2}-[0-9]{2}$"}


def record(properties: Json, required: tuple[str, ...] = (), **more: Any) -> Json:
    """Return the schema of a table that knows all its keys."""
    result: Json = {"type": "object", "properties": properties, "additionalProperties": False}
    if required:
        result["required"] = list(required)
    return {**result, **more}


def reference(name: str) -> Json:
    """Return a schema that refers to a table under `$defs`."""
    return {"type": "object", "$ref": f"#/$defs/{name}"}


def scalar_key(kind: Kind, words: tuple[str, ...] = (), can_be_off: bool = False) -> str:
    """Return a name for the kind of value, under which its table stands in `$defs`."""
    return "_".join([kind.value, *words, *([OFF] if can_be_off else [])]).replace(" ", "_")


def units_of(kind: Kind) -> str:
    """Return the unit of a kind of number as descriptions end with it, in brackets."""
    row = CONVERSIONS.get(kind)
    if row is None:
        return ""
    us, metric = row["us"].unit, row["metric"].unit
    if us == metric:
        return f" ({us})" if us else ""
    return f" ({us} in a us file, {metric} in a metric file)"


def units_property(of: str) -> Json:
    """Return the schema of the key `units`."""
    text = f"unit system of {of}: us (F, Btu/h, gpm) or metric (C, kW, L/s)"
    return {"enum": ["us", "metric"], "title": "units", "description": text}


FORMAT: Final[Json] = {"const": 1, "title": "format", "description": "version of this file format"}


def number_or_word(
    kind: Kind, words: tuple[str, ...] = (), can_be_off: bool = False, own: Bounds | None = None
) -> Json:
    """Return the schema of a plain value of a kind; `own` are narrower bounds than those of the kind."""
    if kind is Kind.FLAG:
        return {"type": "boolean"}
    if kind is Kind.WORD:
        return {"type": "string", "enum": list(words)}
    if kind is Kind.TEXT:
        return SHORT
    if kind is Kind.DATE:
        return DATE
    low, high = BOUNDS[kind] if own is None else in_either(kind, own)
    if can_be_off:
        return {"type": ["number", "string"], "minimum": low, "maximum": high, "pattern": f"^{OFF}$"}
    return {"type": "number", "minimum": low, "maximum": high}


def with_table(scalar: Json, table: Json) -> Json:
    """Return a schema that takes the plain value or a table with more about it."""
    return {"anyOf": [scalar, table]}
