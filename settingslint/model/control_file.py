"""Reading a control file that its schema has accepted: numbers in SI, and refused where it contradicts itself."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from settingslint.model.contradictions import contradictions
from settingslint.model.control import LISTS, NUMBERS, OWN_UNITS, Control, Need, Row, Size, Treatment
from settingslint.model.source import Source
from settingslint.model.values import NUMERIC, Unreadable, Value, kind_of, value_from_file
from settingslint.units import Kind, System
from settingslint.vocabulary.settings import SETTINGS


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
        unit=raw.get("unit") if kind in OWN_UNITS else None,
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
        read_back=raw.get("read_back"),
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
    problems = list(contradictions(control))
    if problems:
        raise Unreadable(problems)
    return control
