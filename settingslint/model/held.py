"""What was read at the boiler beside what the control file says: which of them counts, and what can't be.

In this order: observed (what a log shows); read back, where the display shows what the control keeps; typed, and
treated as the control file says. A read-back value that the file itself leads to expect, of a display that shows what
was typed too, is explained: then the file counts. Where the file does not say what the display shows, and the two
differ, the value is not known, and both are candidates.

A value that was read back has been through the door. What the control file says of what follows still counts for it:
an amount that is added, a number that means "off", caps and floors by other settings.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import floor
from typing import Final, NamedTuple

from settingslint.model.control import AS_TYPED, EXACT, Row
from settingslint.model.effect import (
    CANT_BE,
    EFFECTIVE,
    IGNORED,
    NOT_APPLICABLE,
    OBSERVED,
    READ_BACK,
    TOLERANCE,
    UNKNOWN,
    Effect,
    Reason,
    same,
)
from settingslint.model.values import Value, show_value
from settingslint.units import Kind, System, to_si
from settingslint.vocabulary.settings import LICENSED, SETTINGS

ROUNDING: Final = 0.25
"""Kelvin that a display may be off which counts in whole degrees of the other unit: 62 C is 143.6 F, shown as 144."""
HALF: Final = 0.5
"""Kelvin that one may be off which shows whole degrees of another unit than the control file is in."""


class Display(NamedTuple):
    """How values of a setting are shown: in the profile's units, by a control that may count in others."""

    kind: Kind
    system: System
    own: System
    unit: str | None = None

    def show(self, value: Value | None) -> str:
        """Return a value in the profile's units."""
        return show_value(value, self.kind, self.system, self.unit)

    def alike(self, one: Value | None, other: Value | None) -> bool:
        """Return whether two values are the same but for the rounding of a display."""
        if same(one, other):
            return True
        if not isinstance(one, float) or not isinstance(other, float):
            return False
        apart = self.system != self.own
        if self.kind in (Kind.POINT, Kind.DIFFERENCE):
            return abs(one - other) <= (HALF if apart else ROUNDING) + TOLERANCE
        return apart and self.show(one) == self.show(other)


def bound_of(row: Row, value: float) -> float | None:
    """Return the end of a setting's range that a value lies beyond, None where it lies inside."""
    if row.high is not None and value > row.high + TOLERANCE:
        return row.high
    return row.low if row.low is not None and value < row.low - TOLERANCE else None


def stepped(row: Row, value: float, system: System) -> float:
    """Return the nearest step, halves up, counted from the low end of the range or else from 0 of the control.

    Args:
        row: the setting as the control has it.
        value: SI.
        system: the unit system of the control.
    """
    if row.step is None:
        return value
    kind: Kind = SETTINGS[row.name].kind
    base = row.low if row.low is not None else to_si(0, kind, system)
    nearest = base + floor((value - base) / row.step + 0.5 + TOLERANCE) * row.step
    return nearest - row.step if row.high is not None and nearest > row.high + TOLERANCE else nearest


def explained(row: Row, back: Value, treated: Effect, display: Display) -> bool:
    """Return whether the control file leads to expect what was read back, as the display rounds it.

    What a need leaves without effect, and what was lost since, says nothing of what it runs at.
    """
    if treated.state in (NOT_APPLICABLE, IGNORED) or any(one.kind == "lost" for one in treated.reasons):
        return True
    expected = [treated.stored, treated.effective, treated.typed if row.read_back == AS_TYPED else None]
    return any(one is not None and display.alike(one, back) for one in expected)


def why_not(row: Row, back: Value, default: Value | None, most: float | None, display: Display) -> Iterator[str]:
    """Yield why a control can't show a value, by its file, in words; those of firing and limits without the figures.

    Args:
        row: the setting as the control has it.
        back: the value that was read back, SI.
        default: what it comes with, None where that is not known.
        most: the most that is allowed before the first firing, None where the burner has fired or may have.
        display: how values are shown.
    """
    told, show = row.name not in LICENSED, display.show
    if default is not None and display.alike(back, default):
        return
    if row.access == "factory" and default is not None:
        yield "only the factory sets it, and it comes with " + (show(default) if told else "another value")
        return
    if not isinstance(back, float) or any(same(back, item.equals) for item in row.treatments or ()):
        return
    if most is not None and back > most + TOLERANCE:
        yield "before the first firing it allows " + (f"{show(most)} at most" if told else "less")
    bound = bound_of(row, back)
    step = back if display.alike(back, row.high) else stepped(row, back, display.own)
    if bound is not None and not display.alike(bound, back):
        ends = f"{show(bound)} {'at most' if back > bound else 'at least'}"
        yield f"it takes {ends}" if told else "it takes no such value"
    elif not display.alike(step, back):
        yield f"the nearest that it keeps is {show(step)}" if told else "it is between its steps"
    for item in row.treatments or ():
        low, high = item.low, item.high
        if item.does == "ignore" and low is not None and high is not None and low <= back <= high:
            yield f"it ignores {show(low)} to {show(high)}" if told else "it is in a band that it ignores"


def decided(row: Row, back: Value, treated: Effect, held: Effect, why: tuple[str, ...], display: Display) -> Effect:
    """Return what counts of a setting whose read-back value the control file does not explain.

    Args:
        row: the setting as the control has it.
        back: the value that was read back.
        treated: what the control file makes of what was typed.
        held: what follows where the control has what was read back.
        why: why the value can't be, by the control file.
        display: how values are shown.
    """
    show = display.show
    typed = f"Typed {show(treated.typed)}, read back" if treated.typed is not None else "Read back"
    cant = tuple(Reason(CANT_BE, f"Read back {show(back)}; by the control file {one}.", one) for one in why)
    alike = treated.known and held.known and same(treated.effective, held.effective)
    if alike or row.read_back == EXACT or not treated.known or not held.known:
        says = Reason(READ_BACK, f"{typed} {show(back)}. What the boiler shows counts, not the control file.")
        return replace(held, reasons=(says, *cant, *held.reasons))
    either = f"By the control file it runs at {show(treated.effective)}, by the boiler at {show(held.effective)}"
    says = Reason(READ_BACK, f"{typed} {show(back)}. {either}: which of them is true is not known.")
    return replace(
        treated, stored=None, effective=None, state=UNKNOWN, reasons=(*cant, says), at_default=False, band=None,
        candidates=tuple(one for one in (treated.effective, held.effective) if one is not None),
    )  # fmt: skip


def observed(effect: Effect, value: Value, display: Display) -> Effect:
    """Return a setting that was seen to run at a value, whatever else is said of it."""
    says = Reason(OBSERVED, f"Seen to run at {display.show(value)}.")
    cant = [one for one in effect.reasons if one.kind == CANT_BE]
    return replace(
        effect, effective=value, state=EFFECTIVE, reasons=(says, *cant), at_default=False, band=None, candidates=()
    )
