"""What can be worked out of a thin record: at the usual values of what nobody recorded, and around them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import TypeVar

from settingslint.checking.assuming import listed, valued
from settingslint.checking.look import run
from settingslint.checking.trials import Trials
from settingslint.model.values import Value
from settingslint.rules.base import DANGER, DoesNotApply, Drafts, Missing
from settingslint.rules.plant import Plant
from settingslint.rules.rule import rule
from settingslint.units import System

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Around:
    """A plant with the usual values of what it lacks, and those with other plausible values of one of them each."""

    plant: Plant
    others: tuple[Plant, ...] = ()
    assumed: Mapping[str, tuple[Value, ...]] | None = None

    def said(self, system: System) -> str:
        """Return what is assumed, in words; empty where nothing is."""
        return listed(valued(name, values, system) for name, values in (self.assumed or {}).items())

    def usual(self, system: System) -> str:
        """Return the usual values that the plant has of what it lacks, in words; empty where it lacks nothing."""
        return listed(valued(name, values[:1], system) for name, values in (self.assumed or {}).items())


def around(plant: Plant, ask: Callable[[Plant], object]) -> Around:
    """Return a plant of which something can be asked, and what else is plausible.

    It is the plant itself where it lacks nothing, or lacks what nobody can assume.
    """

    @rule("around", severity=DANGER, cautions=(), source="")  # as bad as can be: then all that is asked is tried
    def asked(own: Plant) -> Drafts:
        ask(own)
        yield from ()

    first = run(asked, plant)
    plant.asked.anew()
    if not first.missing:
        return Around(plant)
    trials = Trials(plant, plant.context.usual)
    cases = trials.around(asked, first)
    if not cases:
        return Around(plant)
    (usual, touched), *others = cases
    names = {name: [usual.values[name]] for name in usual.positions if name in touched}
    for one, _ in others:
        for name in names:
            names[name].append(one.values[name])
    assumed = {name: tuple(dict.fromkeys(values)) for name, values in names.items()}
    return Around(usual.plant, tuple(one.plant for one, _ in others), assumed)


def band(around_: Around, ask: Callable[[Plant], T]) -> Iterator[T]:
    """Yield what is true at the usual values, then what is at the others; where one has no answer it is passed over."""
    for plant in (around_.plant, *around_.others):
        try:
            yield ask(plant)
        except (Missing, DoesNotApply, ArithmeticError, ValueError):
            if plant is around_.plant:
                raise
