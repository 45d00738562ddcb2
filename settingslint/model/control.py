"""The control file: how one control treats what is typed, as data. `treatment.py` resolves it.

Whatever a control file does not state is unknown, and unknown makes every rule that needs it `not checked`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final, cast

from settingslint.model.kept import Kept
from settingslint.model.source import Source
from settingslint.model.values import NUMERIC, Unreadable, Value, kind_of, value_from_file
from settingslint.units import Kind, System
from settingslint.vocabulary.settings import SETTINGS

RESET_STYLES: Final = ("none", "one number", "two points", "slope and shift")
OUTSIDE: Final = ("refused", "moved to the end", "shown but moved to the end", "unknown")
ACCESS: Final = ("user", "installer", "service", "factory")
LOST_ON: Final = ("power cycle", "new board", "size change", "update")
READ_BACK: Final = ("exact", "as typed", "not readable")
OTHERWISE: Final = ("off", "ignored", "default", "not applicable")
NUMBERS: Final = {"cold_anchor": Kind.POINT, "overshoot": Kind.DIFFERENCE}
"""Numbers of `[control]`."""
LISTS: Final = ("revisions", "freeze_active_in")
DOES: Final = ("ignore", "add", "off when", "cap", "floor", "at most until first firing")


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
    """One setting as this control has it. `treatments` is None where the file does not state them: unknown."""

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
    read_back: str = "exact"
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


def _number(raw: object, kind: Kind, system: System) -> float | None:
    return None if raw is None else cast(float, value_from_file(raw, kind, system))


def _treatment(raw: Mapping[str, Any], kind: Kind, system: System) -> Treatment:
    amount_kind = Kind.DIFFERENCE if raw["does"] == "add" and kind is Kind.POINT else kind
    return Treatment(
        does=raw["does"],
        low=_number(raw.get("low"), kind, system),
        high=_number(raw.get("high"), kind, system),
        becomes=_number(raw.get("becomes"), kind, system),
        amount=_number(raw.get("amount"), amount_kind, system),
        equals=_number(raw.get("equals"), kind, system),
        by=raw.get("by"),
    )


def _need(raw: Mapping[str, Any], system: System) -> Need:
    values = raw.get("is", ())
    about = raw.get("fact") or raw.get("setting")
    kind = kind_of(about) if about else Kind.FLAG
    return Need(
        otherwise=raw["otherwise"],
        accessory=raw.get("accessory"),
        fact=raw.get("fact"),
        setting=raw.get("setting"),
        values=tuple(_needed(one, kind, system) for one in (values if isinstance(values, list) else [values]))
        if about
        else (),
    )


def _needed(raw: object, kind: Kind, system: System) -> Value:
    """Return a value that a need names; what does not fit the kind stays as it is written, and is found out later."""
    if isinstance(raw, int | float) and not isinstance(raw, bool) and kind in NUMERIC:
        return value_from_file(raw, kind, system)
    return cast(Value, raw)


def _row(name: str, raw: Mapping[str, Any], system: System) -> Row:
    kind = SETTINGS[name].kind
    bounds = raw.get("range", {})
    step_kind = Kind.DIFFERENCE if kind is Kind.POINT else kind
    default = raw.get("default")
    by_size: dict[str, Any] = default if isinstance(default, dict) else {}
    treatments = raw.get("treatments")
    return Row(
        name=name,
        label=raw.get("label", ""),
        menu=raw.get("menu", ""),
        unit=raw.get("unit"),
        low=_number(bounds.get("low"), kind, system),
        high=_number(bounds.get("high"), kind, system),
        outside=bounds.get("outside", "unknown"),
        step=_number(raw.get("step"), step_kind, system),
        default=None if default is None or isinstance(default, dict) else value_from_file(default, kind, system),
        default_by_size={size: value_from_file(value, kind, system) for size, value in by_size.items()},
        access=raw.get("access", "installer"),
        treatments=None if treatments is None else tuple(_treatment(item, kind, system) for item in treatments),
        needs=tuple(_need(item, system) for item in raw.get("needs", ())),
        lost_on=tuple(raw.get("lost_on", ())),
        read_back=raw.get("read_back", "exact"),
        evidence=str(raw.get("evidence", {}).get("where", "")),
    )


def _stated(head: Mapping[str, Any], system: System) -> dict[str, Value]:
    return {
        f"control.{name}": value if name not in NUMBERS else value_from_file(value, NUMBERS[name], system)
        for name, value in head.items()
        if not isinstance(value, list)
    }


def control_from(source: Source) -> Control:
    """Return the control that a validated file describes.

    Raises:
        Unreadable: where the file contradicts itself; all contradictions are listed.
    """
    data = source.data
    head = data["control"]
    system: System = data["units"]
    rows = {name: _row(name, raw, system) for name, raw in data.get("setting", {}).items()}
    sizes = {
        name: Size(
            name,
            input_minimum=_number(raw.get("input_minimum"), Kind.POWER, system),
            input_maximum=_number(raw.get("input_maximum"), Kind.POWER, system),
            fan_at_minimum=_number(raw.get("fan_at_minimum"), Kind.FAN_SPEED, system),
            fan_at_maximum=_number(raw.get("fan_at_maximum"), Kind.FAN_SPEED, system),
        )
        for name, raw in data.get("size", {}).items()
    }
    control = Control(
        source=source,
        name=head["name"],
        title=head.get("title", head["name"]),
        system=system,
        reset_style=head["reset_style"],
        rows=rows,
        sizes=sizes,
        complete=head.get("complete", False),
        entry_order=tuple(head.get("entry_order", ())),
        save=tuple(head.get("save", ())),
        stated=_stated(head, system),
        lists={f"control.{name}": tuple(head[name]) for name in LISTS if name in head},
    )
    from settingslint.model.contradictions import contradictions

    problems = list(contradictions(control))
    if problems:
        raise Unreadable(problems)
    return control
