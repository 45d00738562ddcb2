"""The control file: how one control treats what is typed, as data. `treatment.py` resolves it.

Whatever a control file does not state is unknown, and unknown makes every rule that needs it `not checked`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Final, cast

from settingslint.model.source import Source
from settingslint.model.values import Problem, Unreadable, Value, value_from_file
from settingslint.units import Kind, System
from settingslint.vocabulary.settings import SETTINGS

RESET_STYLES: Final = ("none", "one number", "two points", "slope and shift")
OUTSIDE: Final = ("refused", "moved to the end", "shown but moved to the end", "unknown")
ACCESS: Final = ("user", "installer", "service", "factory")
LOST_ON: Final = ("power cycle", "new board", "size change", "update")
READ_BACK: Final = ("exact", "as typed", "not readable")
OTHERWISE: Final = ("off", "ignored", "default", "not applicable")
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
    cold_anchor: float | None = None
    overshoot: float | None = None
    complete: bool = False
    revisions: tuple[str, ...] = ()
    entry_order: tuple[str, ...] = ()
    save: tuple[str, ...] = ()
    freeze_active_in: tuple[str, ...] | None = None
    freeze_overrides_priority: bool | None = None
    notes: Mapping[str, Value] = field(default_factory=dict)

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


def _need(raw: Mapping[str, Any]) -> Need:
    values = raw.get("is", ())
    return Need(
        otherwise=raw["otherwise"],
        accessory=raw.get("accessory"),
        fact=raw.get("fact"),
        setting=raw.get("setting"),
        values=tuple(values if isinstance(values, list) else (values,)),
    )


def _row(name: str, raw: Mapping[str, Any], system: System) -> Row:
    kind = SETTINGS[name].kind
    bounds = raw.get("range", {})
    step_kind = Kind.DIFFERENCE if kind is Kind.POINT else kind
    default = raw.get("default")
    by_size = default if isinstance(default, dict) else {}
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
        default=None if default is None or by_size else value_from_file(default, kind, system),
        default_by_size={size: value_from_file(value, kind, system) for size, value in by_size.items()},
        access=raw.get("access", "installer"),
        treatments=None if treatments is None else tuple(_treatment(item, kind, system) for item in treatments),
        needs=tuple(_need(item) for item in raw.get("needs", ())),
        lost_on=tuple(raw.get("lost_on", ())),
        read_back=raw.get("read_back", "exact"),
        evidence=str(raw.get("evidence", {}).get("where", "")),
    )


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
        cold_anchor=_number(head.get("cold_anchor"), Kind.POINT, system),
        overshoot=_number(head.get("overshoot"), Kind.DIFFERENCE, system),
        complete=head.get("complete", False),
        revisions=tuple(head.get("revisions", ())),
        entry_order=tuple(head.get("entry_order", ())),
        save=tuple(head.get("save", ())),
        freeze_active_in=tuple(head["freeze_active_in"]) if "freeze_active_in" in head else None,
        freeze_overrides_priority=head.get("freeze_overrides_priority"),
        notes=head,
    )
    problems = list(_contradictions(control))
    if problems:
        raise Unreadable(problems)
    return control


def _contradictions(control: Control) -> Iterator[Problem]:
    source = control.source
    for name in control.entry_order:
        if name not in control.rows:
            index = control.entry_order.index(name)
            yield source.problem(
                ("control", "entry_order", index), f"entry_order names {name}, which this control does not have"
            )
    for row in control.rows.values():
        yield from _row_contradictions(control, row)
    yield from _circles(control)


def _row_contradictions(control: Control, row: Row) -> Iterator[Problem]:
    source = control.source
    at: tuple[str | int, ...] = ("setting", row.name)
    low = row.low if row.low is not None else float("-inf")
    high = row.high if row.high is not None else float("inf")
    if low > high:
        yield source.problem((*at, "range"), f"{row.name}: the range ends below its beginning")
    if row.step is not None and row.step <= 0:
        yield source.problem((*at, "step"), f"{row.name}: a step must be above 0")
    defaults = {"": row.default} if row.default is not None else dict(row.default_by_size)
    for size, value in defaults.items():
        path: tuple[str | int, ...] = (*at, "default", size) if size else (*at, "default")
        if isinstance(value, float) and not low <= value <= high:
            yield source.problem(path, f"{row.name}: the default lies outside the range")
        if size and size not in control.sizes:
            yield source.problem(path, f"{row.name}: default for size {size!r}, which the control file does not have")
    for index, item in enumerate(row.treatments or ()):
        path = (*at, "treatments", index)
        if item.low is not None and item.high is not None and item.low > item.high:
            yield source.problem(path, f"{row.name}: the band ends below its beginning")
        elif any(edge is not None and not low <= edge <= high for edge in (item.low, item.high)):
            yield source.problem(path, f"{row.name}: the band lies outside the range")
        if item.becomes is not None and not low <= item.becomes <= high:
            yield source.problem(path, f"{row.name}: the band becomes a value outside the range")
        if item.by is not None and item.by not in control.rows:
            yield source.problem((*path, "by"), f"{row.name}: {item.does} by {item.by}, which this control lacks")
    for index, need in enumerate(row.needs):
        if need.setting is not None and need.setting not in control.rows:
            yield source.problem(
                (*at, "needs", index), f"{row.name}: needs the setting {need.setting}, which this control lacks"
            )


def _leans_on(row: Row) -> list[str]:
    return [item.by for item in row.treatments or () if item.by] + [need.setting for need in row.needs if need.setting]


def _circles(control: Control) -> Iterator[Problem]:
    """Yield a problem for each setting that leans on itself through caps, floors and needs (iterative search)."""
    done: set[str] = set()
    for start in control.rows:
        stack: list[tuple[str, Iterator[str]]] = [(start, iter(_leans_on(control.rows[start])))]
        trail = {start: None}
        while stack:
            name, rest = stack[-1]
            following = next(rest, None)
            if following is None:
                stack.pop()
                trail.pop(name, None)
                done.add(name)
            elif following in trail:
                names = list(trail)
                circle = [*names[names.index(following) :], following]
                yield control.source.problem(("setting", following), "a circle of caps: " + " leans on ".join(circle))
                return
            elif following in control.rows and following not in done:
                trail[following] = None
                stack.append((following, iter(_leans_on(control.rows[following]))))
