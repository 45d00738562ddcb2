"""Builds the JSON Schemas of profile, control and portfolio from the vocabulary. `python -m settingslint.files.schemas`
writes them to `schemas/`; a test fails when those files are stale.

Dates are TOML dates in the files and ISO text for the schema.
"""

from __future__ import annotations

import json
from typing import Final

from settingslint.model import control as control_words
from settingslint.model.bounds import range_of
from settingslint.model.profile import LEFT
from settingslint.model.schema_control import control_schema
from settingslint.model.schema_parts import (
    DATE,
    DRAFT,
    FORMAT,
    NAME,
    SHORT,
    TEXT,
    Json,
    in_either,
    number_or_word,
    record,
    reference,
    scalar_key,
    units_of,
    units_property,
    with_table,
)  # fmt: skip
from settingslint.plain import Plain, as_laid_out
from settingslint.vocabulary import facts
from settingslint.vocabulary.settings import OFF, SETTINGS, Setting


def _setting_table(scalar: Json) -> Json:
    return record(
        {
            "value": {**scalar, "description": "what it was set to"},
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
    return record(
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
        key = scalar_key(setting.kind, setting.words, setting.can_be_off)
        defs[f"setting_{key}"] = _setting_table(number_or_word(setting.kind, setting.words, setting.can_be_off))
    for fact in [*facts.FACTS.values(), *facts.EMITTER.values()]:
        defs[f"fact_{scalar_key(fact.kind, fact.words)}"] = _fact_table(number_or_word(fact.kind, fact.words))
    return defs


def _bounded(table: Json, row: Setting | facts.FactRow, keys: tuple[str, ...]) -> Json:
    """Return the table of a kind of value with the narrower bounds of one row, where it has its own."""
    if row.physical is None:
        return table
    low, high = in_either(row.kind, row.physical)
    words = {"description": "the bounds of this one", "minimum": low, "maximum": high}
    return {**table, "properties": dict.fromkeys(keys, words)}


def _plausible(row: Setting | facts.FactRow) -> str:
    """Return the range in which a fact is plausible, in both unit systems, and where it comes from."""
    own = row.plausible
    if own is None:
        return ""
    span = range_of(row.kind, own)
    return f"; plausible: {' or '.join(dict.fromkeys([span.show('us'), span.show('metric')]))} ({own.origin})"


def _setting(row: Setting) -> Json:
    scalar = number_or_word(row.kind, row.words, row.can_be_off, row.physical)
    shared = reference(f"setting_{scalar_key(row.kind, row.words, row.can_be_off)}")
    table = _bounded(shared, row, ("value", "read_back", "then"))
    off = f'; "{OFF}" where it is switched off' if row.can_be_off else ""
    return {"title": row.title, "description": f"{row.does}{units_of(row.kind)}{off}", **with_table(scalar, table)}


def _fact(row: facts.FactRow) -> Json:
    scalar = number_or_word(row.kind, row.words, own=row.physical)
    table = _bounded(reference(f"fact_{scalar_key(row.kind, row.words)}"), row, ("value",))
    words = f"{row.title}{units_of(row.kind)}{_plausible(row)}"
    return {"title": row.title, "description": words, **with_table(scalar, table)}


def _rows(rows: dict[str, facts.FactRow]) -> Json:
    return {name: _fact(row) for name, row in rows.items()}


def profile_schema() -> Json:
    """Return the schema of a profile."""
    tables: Json = {}
    for table in facts.TABLES:
        rows = {row.name: row for row in facts.FACTS.values() if row.table == table}
        words = table.replace("_", " ")
        tables[table] = record(_rows(rows), title=f"facts: {words}", description=f"what is known: {words}")
    plant = record(
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
    accepted = record(
        {
            "rule": {**SHORT, "description": "rule whose finding is accepted"},
            "setting": {**SHORT, "description": "only for this setting or fact; a danger needs it"},
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
        **record(
            {
                "format": FORMAT,
                "units": units_property("every number in this file"),
                "plant": plant,
                **tables,
                "emitter": {
                    "type": "array", "maxItems": 50, "title": "emitters",
                    "description": "one entry for each group of emitters on this boiler",
                    "items": record(_rows(facts.EMITTER), ("kind",)),
                },
                "settings": record(
                    {name: _setting(row) for name, row in SETTINGS.items()},
                    title="settings", description="the settings as they were typed",
                ),
                "visit": record(
                    _rows(facts.VISIT), title="visit", description="the visit that left these settings"
                ),
                "combustion": record(
                    {
                        end: record(
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


def _usual() -> Json:
    ends = record(
        {key: {"type": "number", "description": f"the {key} value"} for key in ("low", "usual", "high")},
        ("low", "usual", "high"),
    )
    one: Json = {"oneOf": [{"type": ["number", "boolean", "string"]}, ends]}
    rows: Json = {"type": "object", "additionalProperties": one}
    parts: Json = {
        "type": "object", "additionalProperties": rows, "description": "the same for one site or group, by its name",
    }  # fmt: skip
    return {
        **rows,
        "properties": {"sites": {**parts, "title": "sites"}, "groups": {**parts, "title": "groups"}},
        "description": "what facts and settings usually are where nobody recorded them; also for sites and groups",
    }


def portfolio_schema() -> Json:
    """Return the schema of portfolio.toml."""
    return {
        "$schema": DRAFT,
        "title": "settingslint portfolio",
        "description": "What the owner of many plants sets for all of them.",
        **record(
            {
                "format": FORMAT,
                "name": {**SHORT, "title": "name", "description": "name of the portfolio"},
                "climate": {**SHORT, "title": "weather file", "description": "EPW or TMY3 CSV, path from here"},
                "thresholds": {
                    "type": "object",
                    "additionalProperties": {"type": "number"},
                    "description": "owner's numbers instead of rules of thumb, within bounds; `explain` names them",
                },
                "severities": {
                    "type": "object",
                    "additionalProperties": {"enum": ["danger", "damage", "outage", "waste", "record"]},
                    "description": "owner's severity of a rule",
                },
                "usual": _usual(),
                "units": units_property("the thresholds and what is usual"),
                "acceptance": record(
                    {
                        "longest_days": {
                            "type": "integer",
                            "description": "days from the check that an acceptance lasts at most, 1 to 731",
                        }
                    },
                    description="what an acceptance of a finding must keep to",
                ),
            },
            ("format", "name"),
        ),
    }


def readings_schema() -> Json:
    """Return the schema of the readings of one visit."""
    profile = profile_schema()["properties"]
    nothing = record({"left": {"enum": list(LEFT), "description": "where there was no value to read"}}, ("left",))
    defs: Json = {"nothing_found": {**nothing, "description": "why there is no value"}}
    found: Json = {}
    left: Json = {}
    for name, row in SETTINGS.items():
        scalar = number_or_word(row.kind, row.words, row.can_be_off)
        key = f"left_{scalar_key(row.kind, row.words, row.can_be_off)}"
        table = {key: value for key, value in _setting_table(scalar).items() if key != "anyOf"}
        del table["properties"]["on"], table["properties"]["by"]
        defs[key] = {**table, "minProperties": 1}
        words = {"title": row.title, "description": f"{row.does}{units_of(row.kind)}"}
        found[name] = {**words, **with_table(scalar, reference("nothing_found"))}
        left[name] = {**words, **with_table(scalar, reference(key))}
    facts_of_profile = {name: profile[name] for name in (*facts.TABLES, "visit", "combustion")}
    defs.update({key: value for key, value in _table_defs().items() if key.startswith("fact_")})
    content = record(
        {
            "format": FORMAT,
            "units": units_property("the numbers in this file; the profile's where it is left out"),
            "serial": {**SHORT, "description": "serial number, read off the boiler that was visited"},
            "control": {**NAME, "description": "the control that was found there"},
            **facts_of_profile,
            "found": record(found, description="what the control showed before anything was touched"),
            "left": record(left, description="what was typed, read back and why; only what was touched"),
        }
    )
    used = json.dumps(content)
    return {
        "$schema": DRAFT,
        "title": "settingslint readings",
        "description": "What one visit to one boiler found and left.",
        **content,
        "$defs": {key: value for key, value in defs.items() if f'"#/$defs/{key}"' in used},
    }


SCHEMAS: Final = {
    "profile": profile_schema, "control": control_schema, "portfolio": portfolio_schema, "readings": readings_schema,
}  # fmt: skip


def as_text(schema: Json) -> Plain:
    """Return a schema as it stands in `schemas/`."""
    return as_laid_out(json.dumps(schema, indent=1, ensure_ascii=False) + "\n")
