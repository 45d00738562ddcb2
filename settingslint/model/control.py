"""The control file: how one control treats what is typed, as data. `treatment.py` resolves it.

Whatever a control file does not state is unknown, and unknown makes every rule that needs it `not checked`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from settingslint.model.kept import Kept
from settingslint.model.source import Source
from settingslint.model.values import Value
from settingslint.units import Kind, System

RESET_STYLES: Final = ("none", "one number", "two points", "slope and shift")
OUTSIDE: Final = ("refused", "moved to the end", "shown but moved to the end", "unknown")
ACCESS: Final = ("user", "installer", "service", "factory")
NEW_BOARD: Final = "new board"
LOST_ON: Final = ("power cycle", NEW_BOARD, "size change", "update")
EXACT: Final = "exact"
AS_TYPED: Final = "as typed"
READ_BACK: Final = (EXACT, AS_TYPED, "not readable")
"""The display shows what the control keeps; what was typed, whatever it keeps; nothing."""
OTHERWISE: Final = ("off", "ignored", "default", "not applicable")
NUMBERS: Final = {"cold_anchor": Kind.POINT, "overshoot": Kind.DIFFERENCE}
"""Numbers of `[control]`."""
LISTS: Final = ("revisions", "freeze_active_in")
DOES: Final = ("ignore", "add", "off when", "cap", "floor", "at most until first firing")

USES: Final[Mapping[str, tuple[str, ...]]] = {
    "ignore": ("low", "high", "becomes"), "add": ("amount",), "off when": ("equals", "by"), "cap": ("by",),
    "floor": ("by",), "at most until first firing": ("amount",),
}  # fmt: skip
"""The keys that each of `DOES` goes by."""
OWN_UNITS: Final = frozenset({Kind.FAN_SPEED, Kind.PERCENT, Kind.RATIO, Kind.COUNT})
"""Kinds whose unit, or per cent of what, only the control knows; the others have that of the unit system."""


@dataclass(frozen=True, slots=True)
class Treatment:
    """One thing that the control does to a value; `does` is one of `DOES`, the rest are its numbers in SI.

    ignore: between `low` and `high` the value is not kept and `becomes` another; add: `amount` is added to what is
    typed; off when: equal to `equals`, or to the setting named `by`; cap, floor: by the setting named `by`;
    at most until first firing: `amount` is the most that is allowed before the burner has fired once.
    """

    does: str
    low: float | None = None
    high: float | None = None
    becomes: float | None = None
    amount: float | None = None
    equals: float | None = None
    by: str | None = None


@dataclass(frozen=True, slots=True)
class Need:
    """A precondition: an accessory, or a fact or setting that has one of some values; `otherwise` what happens."""

    otherwise: str
    accessory: str | None = None
    fact: str | None = None
    setting: str | None = None
    values: tuple[Value, ...] = ()


@dataclass(frozen=True, slots=True)
class Row:
    """One setting as this control has it.

    `treatments` and `read_back` are None where the file does not state them: unknown.
    """

    name: str
    label: str = ""
    menu: str = ""
    unit: str | None = None
    low: float | None = None
    high: float | None = None
    outside: str = "unknown"
    step: float | None = None
    default: Value | None = None
    default_by_size: Mapping[str, Value] = field(default_factory=dict)
    access: str = "installer"
    treatments: tuple[Treatment, ...] | None = None
    needs: tuple[Need, ...] = ()
    lost_on: tuple[str, ...] = ()
    read_back: str | None = None
    evidence: str = ""

    def default_for(self, size: str | None) -> Value | None:
        """Return the default of a boiler of that size, or None where the file does not tell."""
        if self.default is not None:
            return self.default
        return self.default_by_size.get(size) if size is not None else None


@dataclass(frozen=True, slots=True)
class Size:
    """What the control file states of one boiler size: input, W, at two fan speeds, nothing in between."""

    name: str
    input_minimum: float | None = None
    input_maximum: float | None = None
    fan_at_minimum: float | None = None
    fan_at_maximum: float | None = None


@dataclass(frozen=True, slots=True)
class Control:
    """A control file, read. Temperatures, times and powers are SI whatever the file's units are."""

    source: Source
    name: str
    title: str
    system: System
    reset_style: str
    rows: Mapping[str, Row]
    sizes: Mapping[str, Size]
    complete: bool = False
    entry_order: tuple[str, ...] = ()
    save: tuple[str, ...] = ()
    stated: Mapping[str, Value] = field(default_factory=dict)
    """What `[control]` says beside its rows, by dotted name: `control.shared_target`."""
    lists: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """What it lists, by dotted name: `control.revisions`, `control.freeze_active_in`."""
    kept: Kept = field(default_factory=Kept, init=False, repr=False, compare=False)
    """Effects that its settings had before."""

    def stated_of_size(self, size: str | None) -> dict[str, Value]:
        """Return what the file states of a boiler size, by dotted name: `size.input_minimum`, W."""
        own = self.sizes.get(size or "")
        if own is None:
            return {}
        stated = {
            "size.input_minimum": own.input_minimum, "size.input_maximum": own.input_maximum,
            "size.fan_at_minimum": own.fan_at_minimum, "size.fan_at_maximum": own.fan_at_maximum,
        }  # fmt: skip
        return {name: value for name, value in stated.items() if value is not None}

    def ordered(self) -> list[Row]:
        """Return the rows in the order in which the control wants them entered; the rest follows as written."""
        named = [self.rows[name] for name in self.entry_order if name in self.rows]
        return named + [row for row in self.rows.values() if row.name not in self.entry_order]
