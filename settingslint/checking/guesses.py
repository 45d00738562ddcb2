"""What a plant's missing facts and settings can plausibly be: the vocabulary's rows, the owner's, and the control file.

A setting that is not recorded can be at the control's default; it lies within the control's range. What only the
factory sets is at its default. Nothing else of firing and limits is ever guessed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache
from itertools import chain
from typing import Final, NamedTuple

from settingslint.model.control import Row
from settingslint.model.effect import NOT_RECORDED, UNKNOWN, same
from settingslint.model.values import Value, kind_of
from settingslint.rules.plant import Plant
from settingslint.units import Kind, System, to_si
from settingslint.vocabulary import plausible_facts, plausible_settings
from settingslint.vocabulary.facts import fact_row, of_any
from settingslint.vocabulary.plausible import Choice, Rows, Span, by_name
from settingslint.vocabulary.settings import LICENSED, SETTINGS

Known = Callable[[str], Value | None]
"""Returns what is known of a plant by name, SI; None where nobody knows."""
EMITTERS: Final = "emitter"
FIRST_KIND: Final = "emitter[0].kind"
"""What is to be known where no emitter is recorded."""


class Guess(NamedTuple):
    """The plausible values of one name at one plant, SI, the usual one first; `usual` None where it is asked."""

    values: tuple[Value, ...]
    usual: Value | None
    origin: str
    rests: frozenset[str] = frozenset()
    """The names on which it rests, where there is one value only: what is compared with them can't fail."""


class Lacks(NamedTuple):
    """What must be known before something can be guessed."""

    name: str


@cache
def _vocabulary() -> Rows:
    return by_name(chain(plausible_facts.ROWS, plausible_settings.ROWS))


def asked_for(name: str, plant: Plant) -> str:
    """Return the name that is to be known where a rule lacks one: what a setting waits for, else itself."""
    for _ in range(4):
        if name == EMITTERS:
            return FIRST_KIND
        effect = plant.effects.get(name)
        if effect is None or effect.candidates or effect.state != UNKNOWN or name not in SETTINGS:
            return name
        waits_for = next(_waits_for(plant, name), None)
        if waits_for is None:
            return name
        name = waits_for
    return name


def contradicted(name: str, plant: Plant) -> bool:
    """Return whether what was read back of a setting contradicts the control file, and nobody knows which is so."""
    return name in plant.effects and bool(plant.effects[name].candidates)


def _waits_for(plant: Plant, name: str) -> Iterator[str]:
    """Yield what is not known of that on which the effect of a setting depends."""
    row = plant.row(name)
    if row is None:
        return
    for need in row.needs:
        about = f"accessories.{need.accessory}" if need.accessory else need.fact or need.setting or ""
        if plant.recorded(about) is None and (about not in SETTINGS or _open(plant, about)):
            yield about
    for item in row.treatments or ():
        if item.by is not None and _open(plant, item.by):
            yield item.by


def _open(plant: Plant, name: str) -> bool:
    effect = plant.effects.get(name)
    return effect is None or effect.state in (UNKNOWN, NOT_RECORDED)


def guess(name: str, plant: Plant, known: Known, own: Rows) -> Guess | Lacks | None:
    """Return what a missing name can plausibly be; what must be known before; or None where nobody can say.

    Args:
        name: a setting or a dotted fact, also of one emitter.
        plant: the plant, for its control.
        known: what is known of it, and what is assumed beside.
        own: the owner's rows, which count first.
    """
    plain = of_any(name)
    emitter = name.removesuffix(plain.removeprefix("emitter")) if plain != name else ""

    def here(other: str) -> str:
        return other.replace("emitter", emitter, 1) if emitter and other.startswith("emitter.") else other

    if contradicted(name, plant):
        return Guess(plant.effects[name].candidates, None, "typed, and read back at the boiler")
    in_control = plant.row(name) if name in SETTINGS else None
    if name in SETTINGS and in_control is None:
        return None  # the control may not have it
    if name in LICENSED:
        return _of_factory(in_control, plant)
    lacks: Lacks | None = None
    for row in (*own.get(plain, ()), *_vocabulary().get(plain, ())):
        unknown = [here(other) for other in (*row.when, *_of(row)) if known(here(other)) is None]
        if any(
            not _fits(known(here(other)), values) for other, values in row.when.items() if here(other) not in unknown
        ):
            continue
        if unknown:
            lacks = lacks or Lacks(unknown[0])
            continue
        made = _chosen(row, plain) if isinstance(row, Choice) else _numbers(row, plain, known, here, plant.system)
        if len(made.values) == 1 and _taken_over(row, plain):
            made = made._replace(rests=frozenset(here(other) for other in (*row.when, *_of(row))))
        return _within(made, in_control, plant, name) if made.values else None
    return lacks


def rests_on(name: str, own: Rows) -> frozenset[str]:
    """Return the names on which the plausible values of a name can depend, those of the same emitter as its own."""
    plain = of_any(name)
    names = _rests_on(plain)
    rows = own.get(name, ()) if own else ()
    names = names.union(*((*row.when, *_of(row)) for row in rows)) if rows else names
    if plain == name:
        return names
    emitter = name.removesuffix(plain.removeprefix("emitter."))
    return frozenset(one.replace("emitter.", emitter, 1) if one.startswith("emitter.") else one for one in names)


@cache
def _rests_on(plain: str) -> frozenset[str]:
    return frozenset(other for row in _vocabulary().get(plain, ()) for other in (*row.when, *_of(row)))


def _taken_over(row: Span | Choice, name: str) -> bool:
    """Return whether a row is the very value of another name, or follows from it alone."""
    if isinstance(row, Choice):
        return bool(row.when)
    return bool(row.of) and row.usual == (0 if kind_of(name) is Kind.POINT else 1)


def _of(row: Span | Choice) -> tuple[str, ...]:
    return (row.of,) if isinstance(row, Span) and row.of else ()


def _fits(value: Value | None, values: tuple[Value, ...]) -> bool:
    return any(same(value, one) for one in values)


def _of_factory(row: Row | None, plant: Plant) -> Guess | None:
    if row is None or row.access != "factory":
        return None
    default = row.default_for(plant.profile.size)
    return None if default is None else Guess((default,), default, "only the factory sets it")


def _chosen(row: Choice, name: str) -> Guess:
    words: tuple[Value, ...] = (SETTINGS[name] if name in SETTINGS else fact_row(name)).words
    every = row.among or words or (True, False)
    first = () if row.usual is None else (row.usual,)
    return Guess((*first, *(one for one in every if one not in first)), row.usual, row.origin)


def _numbers(row: Span, name: str, known: Known, here: Callable[[str], str], system: System) -> Guess:
    """Return a span in SI; the rows are in round US numbers, and what a metric file is told is round as well."""
    kind = kind_of(name)
    whole = system == "metric" and kind in (Kind.POINT, Kind.DIFFERENCE)
    ends = (row.low, row.high) if row.usual is None else (row.usual, row.low, row.high)
    if not row.of:
        values = tuple(to_si(one, kind, "us") for one in ends)
        values = tuple(float(round(one)) for one in values) if whole else values
    else:
        base = known(here(row.of))
        if isinstance(base, bool) or not isinstance(base, (float, int)):
            return Guess((), None, row.origin)
        if kind is Kind.POINT:
            values = tuple(base + to_si(one, Kind.DIFFERENCE, "us") for one in ends)
        else:
            values = tuple(base * one for one in ends)
    return Guess(tuple(dict.fromkeys(values)), None if row.usual is None else values[0], row.origin)


def _within(made: Guess, row: Row | None, plant: Plant, name: str) -> Guess:
    """Return plausible values of a setting within the range of the control, its default the usual one."""
    if row is None:
        return made

    def held(value: Value) -> Value:
        if isinstance(value, bool) or not isinstance(value, float):
            return value
        least = value if row.low is None else max(value, row.low)
        return least if row.high is None else min(least, row.high)

    default = plant.default_of(name)
    able = default is not None and (isinstance(default, float) or any(same(default, one) for one in made.values))
    usual = default if able and made.usual is not None else made.usual
    first = () if usual is None else (usual,)
    return Guess(tuple(dict.fromkeys((*first, *(held(one) for one in made.values)))), usual, made.origin, made.rests)
