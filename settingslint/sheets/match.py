"""Which column is which setting or fact: exact names and the trade's other names are taken, near ones are suggested."""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass
from functools import cache
from typing import Final

from settingslint.units import Kind, System
from settingslint.vocabulary.facts import FACTS
from settingslint.vocabulary.settings import SETTINGS

PLANT: Final = {
    "plant.name": ("boiler", "boiler name", "plant", "unit", "asset", "name"),
    "plant.site": ("site", "site name", "building name", "property", "address", "location"),
    "plant.control": ("control", "controller", "control type"),
    "plant.size": ("size", "boiler size"),
    "plant.serial": ("serial", "serial number", "serial no", "s n"),
    "plant.group": ("group", "cascade group"),
    "plant.revision": ("revision", "control revision", "firmware"),
    "plant.first_fired": ("first fired", "commissioned on", "first firing"),
}
OTHER_NAMES: Final = {
    "heating_setpoint": ("flow temperature", "flow temp", "heating temperature", "heating flow", "heating supply",
                         "boiler set point", "supply temperature", "heating setpoint"),
    "heating_differential": ("differential", "hysteresis", "switching difference", "diff"),
    "tank_setpoint": ("cylinder temperature", "store temperature", "tank temperature", "hot water storage temperature",
                      "calorifier temperature", "stored hot water", "tank setpoint"),
    "hot_water_boiler_setpoint": ("boiler hot water target", "primary temperature for hot water"),
    "outlet_setpoint": ("tap temperature", "hot water outlet temperature"),
    "warm_weather_shutdown": ("summer shutdown", "heating limit", "summer winter switch", "wwsd"),
    "reset": ("weather compensation", "outdoor compensation", "heating curve"),
    "reset_slope": ("slope", "curve slope", "heating curve slope", "gradient"),
    "reset_shift": ("shift", "level", "parallel shift"),
    "hot_water_priority": ("dhw priority", "priority"),
    "priority_time_limit": ("priority time out", "priority timeout"),
    "freeze_protection": ("frost protection", "frost stat"),
    "hygiene_cycle": ("anti legionella", "pasteurisation", "thermal disinfection"),
    "pump_overrun": ("overrun", "post run", "pump post run"),
    "building.design_load": ("design load", "heat load", "heat loss"),
    "site.design_outdoor": ("design temperature", "design outdoor temperature"),
    "site.occupants": ("occupants", "use"),
    "hot_water.tank_volume": ("tank size", "cylinder size", "tank volume", "cylinder volume"),
    "hot_water.kind": ("hot water", "hot water type"),
    "hot_water.mixing_valve": ("mixing valve", "tempering valve", "thermostatic mixing valve"),
    "boiler.condensing": ("condensing",),
    "emitter.kind": ("emitter", "emitters", "kind of emitter", "radiator type", "heat emitters"),
    "emitter.design_supply": ("design supply", "design flow", "design supply temperature", "design flow temperature"),
    "emitter.design_return": ("design return", "design return temperature"),
    "emitter.maximum_supply": ("hottest supply of the emitter", "floor limit"),
    "visit.on": ("visited", "visit date", "last visit", "date"),
    "visit.by": ("technician", "engineer", "by"),
}  # fmt: skip
UNITS: Final = {
    "f": (Kind.POINT, "us"), "°f": (Kind.POINT, "us"), "degf": (Kind.POINT, "us"), "deg f": (Kind.POINT, "us"),
    "c": (Kind.POINT, "metric"), "°c": (Kind.POINT, "metric"), "degc": (Kind.POINT, "metric"),
    "deg c": (Kind.POINT, "metric"), "k": (Kind.DIFFERENCE, "metric"), "btu/h": (Kind.POWER, "us"),
    "btuh": (Kind.POWER, "us"), "kw": (Kind.POWER, "metric"), "gal": (Kind.VOLUME, "us"), "l": (Kind.VOLUME, "metric"),
    "litres": (Kind.VOLUME, "metric"), "liters": (Kind.VOLUME, "metric"), "gpm": (Kind.FLOW, "us"),
    "l/s": (Kind.FLOW, "metric"), "ft": (Kind.LENGTH, "us"), "m": (Kind.LENGTH, "metric"),
    "psi": (Kind.PRESSURE, "us"), "bar": (Kind.PRESSURE, "metric"),
}  # fmt: skip
"""Units as cells and headers state them; of a difference too, F and C are K here."""


SHORT: Final = {
    "sp": "set point", "setpt": "set point", "setpoint": "set point", "pt": "point", "temp": "temperature",
    "tmp": "temperature", "max": "maximum", "min": "minimum", "dhw": "hot water", "hw": "hot water", "ch": "heating",
    "htg": "heating", "heat": "heating", "diff": "differential", "oat": "outdoor temperature", "ign": "ignition",
    "rtn": "return", "vol": "volume", "lim": "limit", "prot": "protection", "blr": "boiler", "ctrl": "control",
    "cyl": "cylinder", "pri": "priority", "rpm": "fan speed",
    "wwsd": "warm weather shutdown",
}  # fmt: skip
"""How headers shorten words; for suggestions only, nothing is taken by it."""
STORED: Final = ("tank_setpoint", "hot_water_boiler_setpoint", "outlet_setpoint")
DOUBTFUL: Final = {
    "hot water set point": STORED, "hot water temperature": STORED, "domestic hot water": STORED,
    "boiler temperature": ("heating_setpoint", "hot_water_boiler_setpoint"),
}  # fmt: skip
"""Headers that may mean one of several."""
MOST_NEAR: Final = 4


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its header, the target it is taken for (None if left), the unit it states, and what it may mean."""

    header: str
    target: str | None
    unit: str
    near: tuple[str, ...] = ()


def normal(header: str) -> str:
    """Return a header without case, signs and units.

    >>> normal("Flow-Temp. [°C]")
    'flow temp'
    """
    bare = re.sub(r"[\[(].*?[\])]", " ", header.casefold())
    return " ".join(re.findall(r"[^\W_]+", bare))


def unit_in(header: str) -> str:
    """Return the unit in brackets of a header, as it stands there.

    >>> unit_in("Flow temp [°C]")
    '°C'
    """
    match = re.search(r"[\[(]\s*(.*?)\s*[\])]", header)
    return match[1] if match and match[1].casefold() in UNITS else ""


def system_of(unit: str, kind: Kind) -> System | None:
    """Return which system a unit belongs to, None for an empty unit.

    Raises:
        ValueError: for a unit that does not measure that kind.
    """
    if not unit:
        return None
    row = UNITS.get(unit.casefold())
    if row is None:
        if kind in (Kind.PERCENT, Kind.MINUTES, Kind.HOURS, Kind.SECONDS, Kind.FAN_SPEED, Kind.COUNT, Kind.RATIO):
            return None
        raise ValueError(f"unit {unit!r} is not known")
    of, system = row
    if of is not kind and not (of is Kind.POINT and kind is Kind.DIFFERENCE):
        raise ValueError(f"unit {unit!r} does not measure a {kind.value}")
    return "us" if system == "us" else "metric"


@cache
def _known() -> dict[str, str]:
    names: dict[str, str] = {}
    for target, fact in FACTS.items():
        names.setdefault(normal(target), target)
        if not target.startswith("emitter."):
            names.setdefault(normal(fact.title), target)
    for name, setting in SETTINGS.items():
        names[normal(name)] = name
        names[normal(setting.title)] = name
    for table in (OTHER_NAMES, PLANT):
        for target, others in table.items():
            names[normal(target)] = target
            for other in others:
                names[other] = target
    return names


def targets() -> set[str]:
    """Return everything a column can be."""
    return set(_known().values())


def match(header: str) -> Column:
    """Return what a header means: taken where it is a known name, suggested where it is near to one."""
    known = _known()
    name = normal(header)
    unit = unit_in(header)
    if name in known:
        return Column(header, known[name], unit)
    return Column(header, None, unit, _near(name) if name else ())


@cache
def _spelled() -> dict[str, str]:
    return {_long(name): target for name, target in reversed(_known().items())}


def _long(name: str) -> str:
    """Return a name with the words that headers shorten spelled out."""
    return " ".join(SHORT.get(word, word) for word in name.split())


def _near(name: str) -> tuple[str, ...]:
    """Return what a header that is no known name may mean: by its words spelled out, by some of them, or by letters."""
    known, long = _spelled(), _long(name)
    if long in DOUBTFUL or long in known:
        return DOUBTFUL.get(long) or (known[long],)
    words = set(long.split())
    within = [one for one in SETTINGS if any(known[other] == one and words <= set(other.split()) for other in known)]
    if len(words) > 1 and 0 < len(within) <= MOST_NEAR:
        return tuple(within)
    near = difflib.get_close_matches(long, known, n=1, cutoff=0.72)
    return (known[near[0]],) if near else ()
