"""The JSON Schema of a control file."""

from __future__ import annotations

from settingslint.model import control as control_words
from settingslint.model.schema_parts import (
    BOUNDS,
    DATE,
    DRAFT,
    FORMAT,
    NAME,
    SHORT,
    TEXT,
    Json,
    number_or_word,
    record,
    reference,
    scalar_key,
    units_of,
    units_property,
    with_table,
)  # fmt: skip
from settingslint.units import Kind
from settingslint.vocabulary import facts
from settingslint.vocabulary.settings import SETTINGS, Setting


def _treatment() -> Json:
    number: Json = {"type": "number"}
    return record(
        {
            "does": {"enum": list(control_words.DOES), "description": "what this control does to the value"},
            "low": {**number, "description": "ignore: begin of the band"},
            "high": {**number, "description": "ignore: end of the band"},
            "becomes": {**number, "description": "ignore: what it runs at instead; left out where unknown"},
            "amount": {**number, "description": "add: what is added; first firing: the maximum that is allowed"},
            "equals": {**number, "description": "off when: the value that means off"},
            "by": {"$ref": "#/$defs/setting_name", "description": "cap, floor, off when: the other setting"},
        },
        ("does",),
        allOf=[
            _demand("ignore", "low", "high"), _demand("add", "amount"),
            _demand("at most until first firing", "amount"), _demand("cap", "by"), _demand("floor", "by"),
            {"if": {"properties": {"does": {"const": "off when"}}},
             "then": {"anyOf": [{"required": ["equals"]}, {"required": ["by"]}]}},
        ],
    )  # fmt: skip


def _need() -> Json:
    return record(
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
    """Return the schema of a setting: its own words, and the table that it shares with others of its kind."""
    return {
        **reference(f"setting_{scalar_key(row.kind, row.words, row.can_be_off)}"),
        "title": row.title,
        "description": f"{row.does}{units_of(row.kind)}",
    }


def _shared_row(row: Setting) -> Json:
    scalar = number_or_word(row.kind, row.words, row.can_be_off)
    properties: Json = {
        "label": {**SHORT, "description": "what the owner's own control shows"},
        "menu": {**SHORT, "description": "its place in the menu"},
        "kind": {"const": row.kind.value, "description": "what it measures"},
        "unit": {**SHORT, "description": "fan speeds and per cent: the unit, and per cent of what"},
    }
    if row.kind in BOUNDS:
        number = number_or_word(row.kind)
        properties["range"] = record(
            {
                "low": {**number, "description": "minimum that can be typed"},
                "high": {**number, "description": "maximum that can be typed"},
                "outside": {"enum": list(control_words.OUTSIDE), "description": "what it does with what lies outside"},
            },
            description="what can be typed, and what the control does with what lies outside",
        )
        properties["step"] = {"type": "number", "minimum": 0.001, "maximum": 1e6, "description": "step of the values"}
    by_size = {"type": "object", "additionalProperties": scalar, "minProperties": 1, "description": "by size"}
    properties |= {
        "default": {
            "description": "value it comes with, or a table of one value for each size",
            **with_table({**scalar, "description": "value it comes with"}, by_size),
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
        "read_back": {
            "enum": list(control_words.READ_BACK),
            "description": "what the display shows: exact, what the control keeps; as typed, whatever it keeps",
        },
        "evidence": {"$ref": "#/$defs/evidence", "description": "how this is known"},
    }
    return record(properties)


def _accessories() -> list[tuple[str, facts.FactRow]]:
    return [(row.name, row) for row in facts.FACTS.values() if row.table == "accessories" and row.kind is Kind.FLAG]


def _demand(does: str, *keys: str) -> Json:
    return {"if": {"properties": {"does": {"const": does}}}, "then": {"required": list(keys)}}


def control_schema() -> Json:
    """Return the schema of a control file."""
    power: Json = {"type": "number", "exclusiveMinimum": 0}
    head = record(
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
    size = record(
        {
            "input_minimum": {**power, "description": f"input at low fire{units_of(Kind.POWER)}"},
            "input_maximum": {**power, "description": f"input at high fire{units_of(Kind.POWER)}"},
            "fan_at_minimum": {**power, "description": "fan speed at low fire"},
            "fan_at_maximum": {**power, "description": "fan speed at high fire"},
        },
        description="one boiler size",
    )
    return {
        "$schema": DRAFT,
        "title": "settingslint control file",
        "description": "How one control treats what is typed. Leave out what is not known: it then is not checked.",
        **record(
            {
                "format": FORMAT,
                "units": units_property("every number in this file"),
                "control": head,
                "size": {"type": "object", "additionalProperties": size, "description": "boiler sizes"},
                "setting": record(
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
            **{
                f"setting_{scalar_key(row.kind, row.words, row.can_be_off)}": _shared_row(row)
                for row in SETTINGS.values()
            },
            "evidence": record(
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
