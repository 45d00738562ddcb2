"""Whole profiles and control files at random, made from the vocabulary, as the schemas take them.

The data is what a file holds after it was read: plain tables, dates as ISO text. `text_of` writes it as TOML.
Most numbers come from a few whole ones, so that values meet the edges of ranges and bands and each other.
"""

from __future__ import annotations

from datetime import date
from typing import Any

from hypothesis import strategies as st

from settingslint.model import control as words
from settingslint.model.control_file import control_from
from settingslint.model.profile import LEFT
from settingslint.model.schema_parts import BOUNDS
from settingslint.model.source import Source
from settingslint.model.values import Unreadable
from settingslint.units import Kind, from_si, to_si
from settingslint.vocabulary.bounds import Bounds
from settingslint.vocabulary.facts import COMBUSTION, EMITTER, FACTS, SOURCES, TABLES, VISIT, FactRow
from settingslint.vocabulary.settings import OFF, SETTINGS, Setting

Data = dict[str, Any]

NUMBERS = st.integers(0, 12).map(lambda number: number * 10) | st.sampled_from([0.5, 33.3, 65, 99])
TEXTS = st.text(st.characters(exclude_categories=["C"]), min_size=1, max_size=12)
NAMES = st.from_regex("[A-Za-z0-9][A-Za-z0-9._ -]{0,10}", fullmatch=True)
DAYS = st.dates(date(1990, 1, 1), date(2099, 12, 31)).map(date.isoformat)
SYSTEMS = st.sampled_from(["us", "metric"])
SIZES = ("small", "middle", "large")
CHANCE = st.integers(0, 9)
UNITS = {Kind.FAN_SPEED: "rpm", Kind.PERCENT: "% of something", Kind.COUNT: "boilers"}


def values(
    kind: Kind, choices: tuple[str, ...] = (), can_be_off: bool = False, own: Bounds | None = None
) -> st.SearchStrategy[Any]:
    """Values of a setting or fact as a file states them; with bounds of its own, what can be in either unit system."""
    match kind:
        case Kind.FLAG:
            return st.booleans()
        case Kind.WORD:
            return st.sampled_from(choices)
        case Kind.TEXT:
            return TEXTS
        case Kind.DATE:
            return DAYS
    low, high = BOUNDS[kind]
    if own is not None:
        ends = [(from_si(to_si(end, kind, "us"), kind, "metric"), end) for end in own[:2]]
        low, high = max(ends[0]), min(ends[1])
    numbers = NUMBERS.filter(lambda number: low <= number <= high) | st.floats(
        max(low, -50), min(high, 250), allow_nan=False
    ).map(lambda number: round(number, 3))
    return numbers | st.just(OFF) if can_be_off else numbers


def some(draw: st.DrawFn, table: dict[str, st.SearchStrategy[Any]], chance: int = 3) -> Data:
    """Draw some of the optional keys of a table."""
    return {key: draw(strategy) for key, strategy in table.items() if draw(CHANCE) < chance}


@st.composite
def facts(draw: st.DrawFn, row: FactRow) -> Any:
    """A fact, plain or with its source."""
    value = draw(values(row.kind, row.words, own=row.physical))
    if draw(CHANCE) < 7:
        return value
    return {"value": value, **some(draw, {"from": st.sampled_from(SOURCES), "on": DAYS}, 5)}


@st.composite
def entries(draw: st.DrawFn, row: Setting) -> Any:
    """A setting as a profile records it."""
    value = values(row.kind, row.words, row.can_be_off)
    if draw(CHANCE) < 6:
        return draw(value)
    extra = {
        "read_back": value, "why": TEXTS, "by": TEXTS, "on": DAYS, "until": DAYS, "then": value, "watched_by": TEXTS,
    }  # fmt: skip
    given = draw(st.sampled_from([("value",), ("left",), ("value", "left")]))
    table = {"value": value, "left": st.sampled_from(LEFT)}
    return {**{key: draw(table[key]) for key in given}, **some(draw, extra)}


@st.composite
def profiles(draw: st.DrawFn, names: tuple[str, ...] | None = None) -> Data:
    """A profile that the schema takes; `names` are the settings to choose from, all where it is None."""
    known = names if names is not None else tuple(SETTINGS)
    recorded = draw(st.lists(st.sampled_from(known), unique=True, max_size=25)) if known else []
    some_facts = draw(st.lists(st.sampled_from([n for n in FACTS if FACTS[n].table in TABLES]), max_size=8))
    wired = draw(st.lists(st.sampled_from([n for n in FACTS if n.startswith("accessories.")]), max_size=4))
    plant = {
        "size": st.sampled_from(SIZES), "serial": TEXTS, "group": TEXTS, "revision": TEXTS,
        "first_fired": st.booleans() | DAYS, "since": st.lists(st.sampled_from(words.LOST_ON), max_size=3),
    }  # fmt: skip
    data: Data = {
        "format": 1,
        "units": draw(SYSTEMS),
        "plant": {"name": draw(TEXTS), "site": draw(TEXTS), "control": draw(NAMES), **some(draw, plant, 6)},
        "settings": {name: draw(entries(SETTINGS[name])) for name in recorded},
    }
    for name in dict.fromkeys([*some_facts, *wired]):
        table, _, key = name.partition(".")
        data.setdefault(table, {})[key] = draw(facts(FACTS[name]))
    if draw(CHANCE) < 3:
        emitters = [
            {
                "kind": draw(facts(EMITTER["kind"])),
                **some(draw, {n: facts(r) for n, r in EMITTER.items() if n != "kind"}),
            }
            for _ in range(draw(st.integers(1, 2)))
        ]
        data["emitter"] = emitters
        data["visit"] = some(draw, {name: facts(row) for name, row in VISIT.items()})
        data["combustion"] = {"high": some(draw, {name: facts(row) for name, row in COMBUSTION.items()})}
        accepted = {"setting": TEXTS, "because": TEXTS, "by": TEXTS, "until": DAYS}
        data["accepted"] = [{"rule": draw(TEXTS), **some(draw, accepted)}]
    return data


@st.composite
def needs(draw: st.DrawFn, earlier: list[str]) -> Data:
    """A precondition, on settings that come earlier only."""
    otherwise = {"otherwise": draw(st.sampled_from(words.OTHERWISE))}
    about = draw(st.sampled_from(["accessory", "fact", *(["setting"] if earlier else [])]))
    if about == "accessory":
        wired = [row.name for row in FACTS.values() if row.table == "accessories" and row.kind is Kind.FLAG]
        return {"accessory": draw(st.sampled_from(wired)), **otherwise}
    if about == "fact":
        kinds = (Kind.FLAG, Kind.WORD, Kind.POINT)
        name = draw(st.sampled_from([n for n, r in FACTS.items() if r.table in TABLES and r.kind in kinds]))
        wanted = values(FACTS[name].kind, FACTS[name].words)
    else:
        name = draw(st.sampled_from(earlier))
        row = SETTINGS[name]
        wanted = values(row.kind, row.words, row.can_be_off)
    return {about: name, "is": draw(wanted | st.lists(wanted, min_size=1, max_size=3)), **otherwise}


@st.composite
def treatments(draw: st.DrawFn, row: Setting, low: float, high: float, earlier: list[str]) -> Data:
    """One treatment of a number, its bands inside the range, its caps on earlier settings of the same kind."""
    alike = [name for name in earlier if SETTINGS[name].kind is row.kind]
    does = draw(st.sampled_from([one for one in words.DOES if alike or one not in ("cap", "floor")]))
    inside = st.floats(low, high).map(lambda number: min(max(round(number), low), high))
    match does:
        case "ignore":
            begin, end = sorted((draw(inside), draw(inside)))
            return {"does": does, "low": begin, "high": end, "becomes": draw(inside)}
        case "add":
            return {"does": does, "amount": draw(st.sampled_from([-10, 5, 10]))}
        case "at most until first firing":
            return {"does": does, "amount": draw(inside)}
        case "off when":
            return {"does": does, **({"by": draw(st.sampled_from(alike))} if alike else {"equals": draw(NUMBERS)})}
        case _:
            return {"does": does, "by": draw(st.sampled_from(alike))}


@st.composite
def rows(draw: st.DrawFn, row: Setting, earlier: list[str]) -> Data:
    """One setting of a control file."""
    data: Data = some(draw, {"label": TEXTS, "menu": TEXTS, "kind": st.just(row.kind.value)})
    if row.kind in UNITS:
        data |= some(draw, {"unit": st.just(UNITS[row.kind])})
    default = values(row.kind, row.words)
    if row.kind in BOUNDS:
        low, high = sorted(draw(st.lists(NUMBERS, min_size=2, max_size=2, unique=True)))
        if draw(CHANCE) < 7:
            ends = draw(st.sampled_from([("low", "high"), ("low",), ("high",)]))
            data["range"] = {end: {"low": low, "high": high}[end] for end in ends}
            data["range"] |= some(draw, {"outside": st.sampled_from(words.OUTSIDE)}, 8)
        data |= some(draw, {"step": st.sampled_from([0.5, 1, 3, 5])})
        default = st.sampled_from([low, high])
        one_treatment: st.SearchStrategy[Any] = treatments(row, low, high, earlier)
    if draw(CHANCE) < 9:
        data["treatments"] = draw(st.lists(one_treatment, max_size=3)) if row.kind in BOUNDS else []
    by_size = st.dictionaries(st.sampled_from(SIZES), default, min_size=1)
    return data | some(
        draw,
        {
            "default": default | by_size,
            "access": st.sampled_from(words.ACCESS),
            "needs": st.lists(needs(earlier), max_size=2),
            "lost_on": st.lists(st.sampled_from(words.LOST_ON), unique=True, max_size=3),
            "read_back": st.sampled_from(words.READ_BACK),
            "evidence": st.fixed_dictionaries({}, optional={"where": TEXTS, "how": st.just("tried"), "on": DAYS}),
        },
        5,
    )


@st.composite
def controls(draw: st.DrawFn) -> Data:
    """A control file that the schema takes and that does not contradict itself."""
    names = draw(st.lists(st.sampled_from(tuple(SETTINGS)), unique=True, min_size=1, max_size=20))
    head = {
        "title": TEXTS, "cold_anchor": NUMBERS, "overshoot": NUMBERS, "complete": st.booleans(),
        "revisions": st.lists(TEXTS, max_size=2), "save": st.lists(TEXTS, max_size=2),
        "entry_order": st.permutations(names),
        "freeze_active_in": st.lists(st.sampled_from(SETTINGS["operating_mode"].words), max_size=2),
        "freeze_overrides_priority": st.booleans(), "notes": TEXTS,
    }  # fmt: skip
    style = draw(st.sampled_from(words.RESET_STYLES))
    data: Data = {
        "format": 1,
        "units": draw(SYSTEMS),
        "control": {"name": draw(NAMES), "reset_style": style, **some(draw, head)},
        "size": {size: {"input_minimum": 10, "input_maximum": 90} for size in SIZES},
        "setting": {name: draw(rows(SETTINGS[name], names[:index])) for index, name in enumerate(names)},
    }
    for name in contradictory(data):
        for key in ("treatments", "needs", "step"):
            data["setting"][name].pop(key, None)
    return data


def contradictory(data: Data) -> set[str]:
    """Return the settings of a control file that contradict themselves."""
    try:
        control_from(source_of(data))
    except Unreadable as unread:
        return {problem.message.partition(":")[0] for problem in unread.problems} & set(data["setting"])
    return set()


@st.composite
def plants(draw: st.DrawFn) -> tuple[Data, Data]:
    """A control file and a profile that records some of its settings."""
    control = draw(controls())
    profile = draw(profiles((*control["setting"], "heating_setpoint", "tank_setpoint")))
    profile["plant"]["control"] = control["control"]["name"]
    return control, profile


def text_of(data: Data) -> str:
    """Return the data as TOML text."""
    import tomlkit

    return tomlkit.dumps(data)


def source_of(data: Data, name: str = "random.toml") -> Source:
    """Return the data as a file that was read, without going through its text."""
    return Source(name, text_of(data), data)
