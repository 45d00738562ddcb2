"""Builds the JSON Schemas of profile, control and portfolio from the vocabulary. `python -m settingslint.model.schema`
writes them to `schemas/`; a test fails when those files are stale.

Dates are TOML dates in the files and ISO text for the schema.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any, Final

from settingslint.model import control as control_words
from settingslint.model.profile import LEFT
from settingslint.units import CONVERSIONS, Kind
from settingslint.vocabulary import facts
from settingslint.vocabulary.settings import OFF, SETTINGS, Setting

DRAFT: Final = "https://json-schema.org/draft/2020-12/schema"
Json = dict[str, Any]

BOUNDS: Final[dict[Kind, tuple[float, float]]] = {
    Kind.POINT: (-150, 1000), Kind.DIFFERENCE: (-200, 500), Kind.POWER: (0, 1e9), Kind.VOLUME: (0, 1e7),
    Kind.FLOW: (0, 1e5), Kind.LENGTH: (-1500, 30000), Kind.PRESSURE: (0, 1000), Kind.SECONDS: (0, 1e5),
    Kind.MINUTES: (0, 1e5), Kind.HOURS: (0, 1e6), Kind.PERCENT: (0, 1000), Kind.RATIO: (-100, 1e4),
    Kind.COUNT: (0, 1e8), Kind.FAN_SPEED: (0, 1e5), Kind.CO: (0, 1e6),
}  # fmt: skip
"""Beyond these a number is absurd in either unit system. Wide on purpose: rules notice the implausible."""

TEXT: Final[Json] = {"type": "string", "minLength": 1, "maxLength": 2000}
SHORT: Final[Json] = {"type": "string", "minLength": 1, "maxLength": 200}
NAME: Final[Json] = {"type": "string", "pattern": "^[A-Za-z0-9][A-Za-z0-9._ -]{0,79}$"}
DATE: Final[Json] = {"type": "string", "format": "date", "pattern": "^(19|20)[0-9]{2}-[0-9]{2}-[0-9]{2}$"}


def _object(properties: Json, required: tuple[str, ...] = (), **more: Any) -> Json:
    result: Json = {"type": "object", "properties": properties, "additionalProperties": False}
    if required:
        result["required"] = list(required)
    return {**result, **more}


def _ref(name: str) -> Json:
    return {"type": "object", "$ref": f"#/$defs/{name}"}


def _units_of(kind: Kind) -> str:
    row = CONVERSIONS.get(kind)
    if row is None:
        return ""
    us, metric = row["us"].unit, row["metric"].unit
    if us == metric:
        return f" ({us})" if us else ""
    return f" ({us} in a us file, {metric} in a metric file)"


def _units_property(of: str) -> Json:
    text = f"unit system of {of}: us (F, Btu/h, gpm) or metric (C, kW, L/s)"
    return {"enum": ["us", "metric"], "title": "units", "description": text}


FORMAT: Final[Json] = {"const": 1, "title": "format", "description": "version of this file format"}


def _scalar(kind: Kind, words: tuple[str, ...] = (), can_be_off: bool = False) -> Json:
    if kind is Kind.FLAG:
        return {"type": "boolean"}
    if kind is Kind.WORD:
        return {"type": "string", "enum": list(words)}
    if kind is Kind.TEXT:
        return SHORT
    if kind is Kind.DATE:
        return DATE
    low, high = BOUNDS[kind]
    if can_be_off:
        return {"type": ["number", "string"], "minimum": low, "maximum": high, "pattern": f"^{OFF}$"}
    return {"type": "number", "minimum": low, "maximum": high}


def _with_table(scalar: Json, table: Json) -> Json:
    """Return a schema that takes the plain value or a table with more about it."""
    return {"anyOf": [scalar, table]}


def _scalar_key(kind: Kind, words: tuple[str, ...] = (), can_be_off: bool = False) -> str:
    """Return a name for the kind of value, under which its table stands in `$defs`."""
    return "_".join([kind.value, *words, *([OFF] if can_be_off else [])]).replace(" ", "_")


def _setting_table(scalar: Json) -> Json:
    return _object(
        {
            "value": {**scalar, "description": "what was asked for"},
            "left": {"enum": list(LEFT), "description": "where no value was typed; with a value, what was seen"},
            "read_back": {**scalar, "description": "what the control showed after saving"},
            "why": {**TEXT, "description": "the reason"},
            "by": {**SHORT, "description": "who typed it"},
            "on": {**DATE, "description": "when it was typed"},
            "until": {**DATE, "description": "end of a temporary value"},
            "then": {**scalar, "description": "value to return to"},
            "watched_by": {**SHORT, "description": "who watches a temporary value"},
        },
        anyOf=[{"required": ["value"]}, {"required": ["left"]}],
        description="a value and what is known about it",
    )


def _fact_table(scalar: Json) -> Json:
    return _object(
        {
            "value": {**scalar, "description": "the fact itself"},
            "from": {"enum": list(facts.SOURCES), "description": "where the fact comes from"},
            "on": {**DATE, "description": "when it was found out"},
        },
        ("value",),
        description="a fact and where it comes from",
    )


def _table_defs() -> Json:
    """Return the tables of settings and facts, one for each kind of value."""
    defs: Json = {}
    for setting in SETTINGS.values():
        key = _scalar_key(setting.kind, setting.words, setting.can_be_off)
        defs[f"setting_{key}"] = _setting_table(_scalar(setting.kind, setting.words, setting.can_be_off))
    for fact in [*facts.FACTS.values(), *facts.EMITTER.values()]:
        defs[f"fact_{_scalar_key(fact.kind, fact.words)}"] = _fact_table(_scalar(fact.kind, fact.words))
    return defs


def _setting(row: Setting) -> Json:
    scalar = _scalar(row.kind, row.words, row.can_be_off)
    table = _ref(f"setting_{_scalar_key(row.kind, row.words, row.can_be_off)}")
    off = f'; "{OFF}" where it is switched off' if row.can_be_off else ""
    return {"title": row.title, "description": f"{row.does}{_units_of(row.kind)}{off}", **_with_table(scalar, table)}


def _fact(row: facts.FactRow) -> Json:
    scalar = _scalar(row.kind, row.words)
    table = _ref(f"fact_{_scalar_key(row.kind, row.words)}")
    return {"title": row.title, "description": f"{row.title}{_units_of(row.kind)}", **_with_table(scalar, table)}


def _rows(rows: dict[str, facts.FactRow]) -> Json:
    return {name: _fact(row) for name, row in rows.items()}


def profile_schema() -> Json:
    """Return the schema of a profile."""
    tables: Json = {}
    for table in facts.TABLES:
        rows = {row.name: row for row in facts.FACTS.values() if row.table == table}
        words = table.replace("_", " ")
        tables[table] = _object(_rows(rows), title=f"facts: {words}", description=f"what is known: {words}")
    plant = _object(
        {
            "name": {**SHORT, "title": "name", "description": "name of this boiler, one of a kind in the portfolio"},
            "site": {**SHORT, "title": "site", "description": "name of the site"},
            "control": {**NAME, "title": "control", "description": "name of the control file in controls/"},
            "size": {**SHORT, "title": "size", "description": "boiler size, in the words of the control file"},
            "serial": {**SHORT, "title": "serial number", "description": "serial number as the record has it"},
            "group": {**SHORT, "title": "group", "description": "boilers with one group name work together"},
            "revision": {**SHORT, "title": "revision", "description": "software revision that the control shows"},
            "first_fired": {
                "title": "first firing",
                "description": "date of the first firing, or false before it",
                "anyOf": [DATE, {"type": "boolean"}],
            },
            "since": {
                "title": "since",
                "description": "what has happened since the settings were typed",
                "type": "array",
                "items": {"enum": list(control_words.LOST_ON)},
            },
        },
        ("name", "site", "control"),
        title="the boiler",
        description="which boiler this is, and the control that it has",
    )
    accepted = _object(
        {
            "rule": {**SHORT, "description": "rule whose finding is accepted"},
            "setting": {**SHORT, "description": "only for this setting"},
            "because": {**TEXT, "description": "the reason"},
            "by": {**SHORT, "description": "who accepts it"},
            "until": {**DATE, "description": "end of the acceptance"},
        },
        ("rule",),
    )
    return {
        "$schema": DRAFT,
        "title": "settingslint profile",
        "description": "The as-left control settings of one boiler and the facts about its installation.",
        **_object(
            {
                "format": FORMAT,
                "units": _units_property("every number in this file"),
                "plant": plant,
                **tables,
                "emitter": {
                    "type": "array", "maxItems": 50, "title": "emitters",
                    "description": "one entry for each group of emitters on this boiler",
                    "items": _object(_rows(facts.EMITTER), ("kind",)),
                },
                "settings": _object(
                    {name: _setting(row) for name, row in SETTINGS.items()},
                    title="settings", description="the settings as they were typed",
                ),
                "visit": _object(
                    _rows(facts.VISIT), title="visit", description="the visit that left these settings"
                ),
                "combustion": _object(
                    {
                        end: _object(
                            _rows(facts.COMBUSTION), title=f"{end} fire", description=f"readings at {end} fire"
                        )
                        for end in ("high", "low")
                    },
                    title="combustion", description="combustion readings at high and low fire",
                ),
                "accepted": {
                    "type": "array", "maxItems": 200, "items": accepted, "title": "accepted findings",
                    "description": "findings that somebody answers for until a date",
                },
            },
            ("format", "units", "plant", "settings"),
        ),
        "$defs": _table_defs(),
    }  # fmt: skip


def _treatment() -> Json:
    number: Json = {"type": "number"}
    return _object(
        {
            "does": {"enum": list(control_words.DOES), "description": "what this control does to the value"},
            "low": {**number, "description": "ignore: begin of the band"},
            "high": {**number, "description": "ignore: end of the band"},
            "becomes": {**number, "description": "ignore: what it runs at instead"},
            "amount": {**number, "description": "add: what is added; first firing: the most that is allowed"},
            "equals": {**number, "description": "off when: the value that means off"},
            "by": {"$ref": "#/$defs/setting_name", "description": "cap, floor, off when: the other setting"},
        },
        ("does",),
        allOf=[
            _demand("ignore", "low", "high", "becomes"), _demand("add", "amount"),
            _demand("at most until first firing", "amount"), _demand("cap", "by"), _demand("floor", "by"),
            {"if": {"properties": {"does": {"const": "off when"}}},
             "then": {"anyOf": [{"required": ["equals"]}, {"required": ["by"]}]}},
        ],
    )  # fmt: skip


def _need() -> Json:
    return _object(
        {
            "accessory": {"enum": [n for n, f in _accessories()], "description": "what must be wired"},
            "fact": {
                "enum": [name for name in facts.FACTS if not name.startswith("emitter.")],
                "description": "a fact that must hold",
            },
            "setting": {"$ref": "#/$defs/setting_name", "description": "a setting that must hold"},
            "is": {
                "description": "the value that will do, or a list of them",
                "type": ["array", "string", "boolean", "number"],
                "minItems": 1,
                "items": {"type": ["string", "boolean", "number"]},
            },
            "otherwise": {"enum": list(control_words.OTHERWISE), "description": "what happens without"},
        },
        ("otherwise",),
        oneOf=[{"required": ["accessory"]}, {"required": ["fact", "is"]}, {"required": ["setting", "is"]}],
    )


def _control_row(row: Setting) -> Json:
    scalar = _scalar(row.kind, row.words, row.can_be_off)
    properties: Json = {
        "label": {**SHORT, "description": "what the owner's own control shows"},
        "menu": {**SHORT, "description": "where it stands in the menu"},
        "kind": {"const": row.kind.value, "description": "what it measures"},
        "unit": {**SHORT, "description": "fan speeds and per cent: the unit, and per cent of what"},
    }
    if row.kind in BOUNDS:
        number = _scalar(row.kind)
        properties["range"] = _object(
            {
                "low": {**number, "description": "the least that can be typed"},
                "high": {**number, "description": "the most that can be typed"},
                "outside": {"enum": list(control_words.OUTSIDE), "description": "what it does with what lies outside"},
            },
            description="what can be typed, and what the control does with what lies outside",
        )
        properties["step"] = {"type": "number", "minimum": 0.001, "maximum": 1e6, "description": "step of the values"}
    by_size = {"type": "object", "additionalProperties": scalar, "minProperties": 1, "description": "by size"}
    properties |= {
        "default": {
            "description": "value it comes with, or a table of one value for each size",
            **_with_table({**scalar, "description": "value it comes with"}, by_size),
        },
        "access": {"enum": list(control_words.ACCESS), "description": "who can set it"},
        "treatments": {
            "type": "array",
            "items": {"$ref": "#/$defs/treatment"},
            "description": "what it does to what is typed; [] where it takes it as it is; left out where unknown",
        },
        "needs": {
            "type": "array",
            "items": {"$ref": "#/$defs/need"},
            "description": "what must be there for it to count",
        },
        "takes_hold": {**SHORT, "description": "when a saved value counts"},
        "lost_on": {
            "type": "array",
            "items": {"enum": list(control_words.LOST_ON)},
            "description": "events that put it back to its default",
        },
        "read_back": {"enum": list(control_words.READ_BACK), "description": "what the display shows after saving"},
        "evidence": {"$ref": "#/$defs/evidence", "description": "how this is known"},
    }
    return _object(properties, title=row.title, description=f"{row.does}{_units_of(row.kind)}")


def _accessories() -> list[tuple[str, facts.FactRow]]:
    return [(row.name, row) for row in facts.FACTS.values() if row.table == "accessories" and row.kind is Kind.FLAG]


def _demand(does: str, *keys: str) -> Json:
    return {"if": {"properties": {"does": {"const": does}}}, "then": {"required": list(keys)}}


def control_schema() -> Json:
    """Return the schema of a control file."""
    power: Json = {"type": "number", "exclusiveMinimum": 0}
    head = _object(
        {
            "name": {**NAME, "description": "name that profiles use; the same as the file's"},
            "title": {**SHORT, "description": "how people call it"},
            "reset_style": {"enum": list(control_words.RESET_STYLES), "description": "how outdoor reset is set"},
            "cold_anchor": {"type": "number", "description": "outdoor temperature where a one-number line is hottest"},
            "overshoot": {"type": "number", "description": "fixed rise above the heating set point before it stops"},
            "complete": {"type": "boolean", "description": "true where every setting that the control has is listed"},
            "revisions": {"type": "array", "items": SHORT, "description": "revisions this file was checked against"},
            "entry_order": {"type": "array", "items": {"type": "string"}, "description": "order of entry"},
            "save": {"type": "array", "items": TEXT, "description": "steps that save, in words"},
            "freeze_active_in": {
                "type": "array",
                "items": {"enum": list(SETTINGS["operating_mode"].words)},
                "description": "operating modes in which freeze protection works",
            },
            "freeze_overrides_priority": {"type": "boolean", "description": "freeze protection goes before hot water"},
            "shared_target": {"type": "boolean", "description": "one target serves heating and hot water"},
            "rate_limits_hot_water": {"type": "boolean", "description": "the heating rate limit limits hot water too"},
            "compensates_elevation": {"type": "boolean", "description": "adapts to elevation by itself"},
            "second_reset": {"enum": ["lower of both", "added"], "description": "own reset and a reset from outside"},
            "notes": {**TEXT, "description": "whatever else people should know"},
        },
        ("name", "reset_style"),
        title="the control",
        description="what is true of the control as a whole",
    )
    size = _object(
        {
            "input_minimum": {**power, "description": f"input at low fire{_units_of(Kind.POWER)}"},
            "input_maximum": {**power, "description": f"input at high fire{_units_of(Kind.POWER)}"},
            "fan_at_minimum": {**power, "description": "fan speed at low fire"},
            "fan_at_maximum": {**power, "description": "fan speed at high fire"},
        },
        description="one boiler size",
    )
    return {
        "$schema": DRAFT,
        "title": "settingslint control file",
        "description": "How one control treats what is typed. Leave out what is not known: it then is not checked.",
        **_object(
            {
                "format": FORMAT,
                "units": _units_property("every number in this file"),
                "control": head,
                "size": {"type": "object", "additionalProperties": size, "description": "boiler sizes"},
                "setting": _object(
                    {name: _control_row(row) for name, row in SETTINGS.items()},
                    title="settings",
                    description="one table for each setting that this control has",
                ),
            },
            ("format", "units", "control", "setting"),
        ),
        "$defs": {
            "setting_name": {"enum": list(SETTINGS)},
            "treatment": _treatment(),
            "need": _need(),
            "evidence": _object(
                {
                    "where": {**TEXT, "description": "paper and page, or the bench"},
                    "how": {"enum": ["read", "tried", "told"], "description": "how it was found out"},
                    "by": {**SHORT, "description": "who found it out"},
                    "on": {**DATE, "description": "when"},
                },
                description="how this is known",
            ),
        },
    }


def portfolio_schema() -> Json:
    """Return the schema of portfolio.toml."""
    return {
        "$schema": DRAFT,
        "title": "settingslint portfolio",
        "description": "What the owner of many plants sets for all of them.",
        **_object(
            {
                "format": FORMAT,
                "name": {**SHORT, "title": "name", "description": "name of the portfolio"},
                "climate": {**SHORT, "title": "weather file", "description": "EPW or TMY3 CSV, path from here"},
                "thresholds": {
                    "type": "object",
                    "additionalProperties": {"type": "number"},
                    "description": "owner's numbers in place of habit; `explain` names them",
                },
                "severities": {
                    "type": "object",
                    "additionalProperties": {"enum": ["danger", "damage", "outage", "waste", "record"]},
                    "description": "owner's severity of a rule",
                },
                "units": _units_property("the thresholds"),
                "acceptance": _object(
                    {
                        "longest_days": {
                            "type": "integer",
                            "minimum": 1,
                            "maximum": 36500,
                            "description": "longest acceptance, days",
                        }
                    },
                    description="what an acceptance of a finding must keep to",
                ),
            },
            ("format", "name"),
        ),
    }


SCHEMAS: Final = {"profile": profile_schema, "control": control_schema, "portfolio": portfolio_schema}


def as_text(schema: Json) -> str:
    """Return a schema as it stands in `schemas/`."""
    return json.dumps(schema, indent=1, ensure_ascii=False) + "\n"


def main(folder: str = "schemas") -> None:
    """Write the schemas into a folder."""
    for name, build in SCHEMAS.items():
        Path(folder, f"{name}.schema.json").write_text(as_text(build()), encoding="utf-8")


if __name__ == "__main__":
    main(*sys.argv[1:])
