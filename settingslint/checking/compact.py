"""Results held in little memory: what many plants have alike is one object for all of them, and tables are packed."""

from __future__ import annotations

import io
import pickle
from array import array
from collections.abc import Hashable, ItemsView, Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date
from functools import lru_cache
from typing import Any, Final, TypeVar

from settingslint.checking.audit import Coverage, Result
from settingslint.model.values import Value
from settingslint.rules.base import NotChecked
from settingslint.vocabulary.facts import EMITTER, FACTS
from settingslint.vocabulary.settings import SETTINGS

T = TypeVar("T", bound=Hashable)
_SHARED: Final[dict[Any, Any]] = {}
MOST: Final = 500_000
"""So many different things are held; above it all are forgotten, and held again as they come."""
_NAMES: Final = (*SETTINGS, *FACTS, *(f"emitter[{at}].{name}" for at in range(8) for name in EMITTER))
_PLACES: Final = {name: place for place, name in enumerate(_NAMES)}
"""Names as numbers; a table with another name keeps its names in full."""
OPENED: Final = 512
"""Tables that are held open: those of one group or site are asked again and again."""


def shared(thing: T) -> T:
    """Return the one object that is held for all that are equal to it."""
    if len(_SHARED) > MOST:
        _SHARED.clear()
    return _SHARED.setdefault(thing, thing)  # type: ignore[no-any-return]


class Packed(Mapping[str, Any]):
    """A table of values by name that is rarely looked into: bytes until somebody asks."""

    __slots__ = ("body",)

    def __init__(self, body: bytes) -> None:
        self.body = body

    def __getitem__(self, name: str) -> Any:
        """Return a value.

        Raises:
            KeyError: where there is none of that name.
        """
        return _opened(self.body)[name]

    def __iter__(self) -> Iterator[str]:
        return iter(_opened(self.body))

    def __len__(self) -> int:
        return len(_opened(self.body))

    def items(self) -> ItemsView[str, Any]:
        """Return names and values; opened once for all of them."""
        return _opened(self.body).items()


class _Values(pickle.Unpickler):
    def find_class(self, module: str, name: str) -> Any:
        """Return what a table may hold beside text and numbers: dates."""
        if (module, name) == ("datetime", "date"):
            return date
        raise pickle.UnpicklingError(f"{module}.{name} is no part of a table")


@lru_cache(maxsize=OPENED)
def _opened(body: bytes) -> dict[str, Any]:
    names, values = _Values(io.BytesIO(body)).load()
    if isinstance(names, bytes):
        names = [_NAMES[place] for place in array("H", names)]
    return dict(zip(names, values, strict=True))


def packed(table: Mapping[str, Value]) -> Packed:
    """Return a table packed."""
    if isinstance(table, Packed):
        return table
    places = [_PLACES.get(name, -1) for name in table]
    names: object = array("H", places).tobytes() if -1 not in places else tuple(table)
    return Packed(pickle.dumps((names, tuple(table.values())), pickle.HIGHEST_PROTOCOL))


def compact(result: Result) -> Result:
    """Return a result that holds as much as it can together with others."""
    summary = result.summary
    return replace(
        result,
        not_checked=tuple([shared(lack) for lack in result.not_checked]),
        owner_numbers=shared(result.owner_numbers),
        summary=replace(
            summary,
            settings=packed(summary.settings),
            facts=packed(summary.facts),
            changed=packed(summary.changed),
            at_default=shared(summary.at_default),
            unknown=shared(summary.unknown),
        ),
    )


def held_together(results: Iterable[Result]) -> list[Result]:
    """Return compact results that were read together as they hold together with all that were read before.

    What they have in common among each other is one object already, so each such object is looked up once.
    """
    known: dict[int, tuple[Hashable, Hashable]] = {}  # with the thing itself, so that no other gets its id

    def one_of(thing: Any) -> Any:
        found = known.get(id(thing))
        if found is None:
            found = known[id(thing)] = thing, shared(thing)
        return found[1]

    def lacks_of(lacks: tuple[NotChecked, ...]) -> tuple[NotChecked, ...]:
        return tuple([one_of(lack) for lack in lacks])

    return [
        Result(
            one.path, one.plant, one.site, one.findings, lacks_of(one.not_checked),
            Coverage(one_of(one.coverage.rules), one.coverage.codes), one.owner_numbers, one.summary,
            one.history,
            one.faults,
        )
        for one in results
    ]  # fmt: skip
