"""Validation against the schemas, with messages that say where and what.

The quick accept path is the Rust validator `jsonschema_rs`; whatever it does not accept goes to `jsonschema`, which
decides and whose errors become the messages. A differential test holds the two together.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from functools import cache
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, cast

from settingslint.model.bounds import beyond
from settingslint.model.source import Path_, Source, dotted
from settingslint.model.values import Problem, Unreadable

if TYPE_CHECKING:
    from jsonschema.exceptions import ValidationError

MOST_PROBLEMS: Final = 100
"""So many are shown of one file; a file with more is no profile at all."""
BOUNDED: Final = frozenset({"profile", "readings"})
"""The schemas of files whose numbers are those of a boiler and its site."""
FEW: Final = 12
"""Lists of words up to this length are shown in full."""


@cache
def schema(name: str) -> dict[str, Any]:
    """Return the schema of that name from the installed package, or from the checkout beside it."""
    return json.loads(schema_text(name))  # type: ignore[no-any-return]


SCHEMA_NAMES: Final = ("profile", "control", "portfolio", "readings")
"""The schemas that files of a portfolio, and the readings of visits, are written by."""


def schema_text(name: str) -> str:
    """Return a schema's text from the installed package, or from the checkout beside it."""
    packaged, beside = (Path(__file__).parents[up] / "schemas" / f"{name}.schema.json" for up in (1, 2))
    return (packaged if packaged.is_file() else beside).read_text(encoding="utf-8")


@cache
def _quick(name: str) -> Any:
    import jsonschema_rs

    return jsonschema_rs.Draft202012Validator(schema(name), validate_formats=True)


@cache
def _authority(name: str) -> Any:
    import jsonschema

    def pattern(_: Any, value: str, instance: object, __: Any) -> Iterator[jsonschema.ValidationError]:
        # In the regular expressions of JSON Schema (ECMA 262) a dollar does not match before a last line break.
        if isinstance(instance, str) and not re.search(value.replace("$", r"\Z"), instance):
            yield jsonschema.ValidationError(f"{instance!r} does not match {value!r}")

    extend = cast(Any, jsonschema.validators.extend)
    validator = extend(jsonschema.Draft202012Validator, {"pattern": pattern})
    formats = jsonschema.FormatChecker(())
    formats.checks("date", ValueError)(_is_date)
    return validator(schema(name), format_checker=formats)


DATE: Final = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


def _is_date(instance: object) -> bool:
    """Return whether text is a valid date; what does not look like one is the pattern's affair."""
    if isinstance(instance, str) and DATE.fullmatch(instance):
        date.fromisoformat(instance)
    return True


def check_schema(source: Source, name: str) -> None:
    """Check a source against the schema of that name, and its numbers against what they can be.

    The schema of a file in two unit systems can say the wider of two bounds only.

    Raises:
        Unreadable: with one problem for each place that is not accepted.
    """
    absurd = list(beyond(source)) if name in BOUNDED else []
    try:
        if _quick(name).is_valid(source.data):
            if absurd:
                raise Unreadable(sorted(absurd[:MOST_PROBLEMS]))
            return
    except ValueError:  # older ones give up on data that is nested deep
        pass
    told = {(one.line, one.column) for one in absurd}
    broken = _problems(source, name, _authority(name).iter_errors(source.data))
    found = list(islice(dict.fromkeys(one for one in broken if (one.line, one.column) not in told), MOST_PROBLEMS))
    if found or absurd:
        raise Unreadable(sorted([*found, *absurd])[:MOST_PROBLEMS])


def _problems(source: Source, name: str, errors: Iterable[ValidationError]) -> Iterator[Problem]:
    for error in errors:
        path: Path_ = tuple(error.absolute_path)
        wanted: Any = error.validator_value
        branches = list(error.context or ())
        if error.validator in ("anyOf", "oneOf") and all("required" in option for option in wanted):
            verb = "needs one of" if error.validator == "anyOf" else "needs exactly one of"
            choices = [" with ".join(option["required"]) for option in wanted]
            yield source.problem(path, f"{dotted(path)} {verb} {', '.join(choices)}")
        elif error.validator == "anyOf" and not any(
            "properties" in one or one.get("type") == "object" for one in wanted
        ):
            calendar = next((branch for branch in branches if branch.validator == "format"), None)
            kinds = ", ".join(_kinds(one) for one in wanted)
            reason = _reason(calendar) if calendar else f"expected {kinds}, found {_found(error.instance)}"
            yield source.problem(path, f"{dotted(path)}: {reason}")
        elif error.validator == "anyOf":
            yield from _problems(source, name, _branch(error, branches))
        elif error.validator == "additionalProperties":
            yield from _unknown_keys(source, name, path, error)
        elif error.validator == "required":
            missing = [key for key in wanted if key not in cast(Any, error.instance)]
            yield source.problem(path, f"{dotted(path)} lacks {' and '.join(missing)}")
        elif error.validator != "type" or "enum" not in cast(Any, error.schema):  # the words say it better
            yield source.problem(path, f"{dotted(path)}: {_reason(error)}")


def _branch(error: ValidationError, branches: list[ValidationError]) -> list[ValidationError]:
    """Return the errors of the branch that fits the type of what was written."""
    is_table = isinstance(error.instance, dict)
    options: Any = error.validator_value
    groups: dict[int, list[ValidationError]] = {}
    for branch in branches:
        groups.setdefault(cast(int, branch.schema_path[0]), []).append(branch)
    fitting = [group for index, group in groups.items() if (options[index].get("type") == "object") == is_table]
    return fitting[0] if fitting else branches[:1]


def _unknown_keys(source: Source, name: str, path: Path_, error: ValidationError) -> Iterator[Problem]:
    known = list(error.schema.get("properties", ())) if isinstance(error.schema, dict) else []
    for key in islice((key for key in cast(Any, error.instance) if key not in known), MOST_PROBLEMS):
        where = f" in {dotted(path)}" if path else ""
        yield source.problem_at_key((*path, key), f"unknown key {key}{where}{_hint(key, known, path, name)}")


def _near(word: str, known: list[str], cutoff: float) -> list[str]:
    import difflib  # seldom needed

    return difflib.get_close_matches(word, known, n=1, cutoff=cutoff)


def _hint(key: str, known: list[str], path: Path_, name: str) -> str:
    near = _near(key, known, 0.8)
    homes = [] if near else _homes(key, path, name)
    if homes:
        return f"; it belongs in {' or '.join(homes)}"
    near = near or _near(key, known, 0.6)
    if near:
        return f"; did you mean {near[0]}?"
    return f"; known are {', '.join(known)}" if len(known) <= FEW else ""


@cache
def _tables(name: str) -> dict[str, frozenset[str]]:
    """Return the keys of each top table of a schema."""
    properties: dict[str, Any] = schema(name)["properties"]
    return {table: frozenset(part["properties"]) for table, part in properties.items() if "properties" in part}


def _homes(key: str, path: Path_, name: str) -> list[str]:
    """Return the other top tables that know the key."""
    return [f"[{table}]" for table, keys in _tables(name).items() if key in keys and (table,) != path]


_TYPES = {
    "number": "a number", "string": "text", "boolean": "true or false", "object": "a table", "array": "a list",
    "integer": "a whole number",
}  # fmt: skip


def _kinds(around: Any) -> str:
    """Return what a schema expects, in words."""
    kinds = [around["type"]] if isinstance(around["type"], str) else list(around["type"])
    if around.get("format") == "date":
        return "a date like 2026-03-12"
    if around.get("pattern") == "^off$":
        return 'a number or "off"'
    return " or ".join(_TYPES[kind] for kind in kinds)


def _instead(error: ValidationError) -> str:
    """Return what to write instead, where that is plain."""
    around: Any = error.schema
    found: Any = error.instance
    numeric = "number" in around["type"] or around["type"] == "integer"
    if isinstance(found, str) and numeric:
        number = NUMBER.fullmatch(found)
        return f"; write {number[1]}, without quotes and unit" if number else ""
    if around["type"] == "boolean" and isinstance(found, str) and found.lower() in FLAGS:
        return f"; write {FLAGS[found.lower()]}, without quotes"
    if around["type"] == "boolean" and type(found) is int and found in (0, 1):
        return f"; write {'true' if found else 'false'}"
    if found is False and around.get("pattern") == "^off$":
        return '; write "off"'
    return ""


NUMBER: Final = re.compile(r"(-?[0-9]{1,9}(?:\.[0-9]{1,9})?)[^0-9]{0,12}")
FLAGS: Final = {"on": "true", "yes": "true", "true": "true", "off": "false", "no": "false", "false": "false"}


def _reason(error: ValidationError) -> str:
    value: Any = error.validator_value
    match error.validator:
        case "type":
            return f"expected {_kinds(error.schema)}, found {_found(error.instance)}{_instead(error)}"
        case "enum":
            words = [str(one) for one in value]
            if not isinstance(error.instance, str):
                return f"expected one of {_listed(words)}, found {_found(error.instance)}"
            near = _near(error.instance[:100].lower(), words, 0.6)
            hint = f"; did you mean {near[0]!r}?" if near else ""
            if len(words) > FEW:
                return f"{_found(error.instance)} is not a known name{hint}"
            return f"{_found(error.instance)} is not one of {_listed(words)}{hint}"
        case "exclusiveMinimum":
            return f"{_found(error.instance)} can't be: it must be above {value:g}"
        case "minimum":
            return f"{_found(error.instance)} can't be: at least {value:g}"
        case "maximum":
            return f"{_found(error.instance)} can't be: at most {value:g}"
        case "pattern":
            if value == "^off$":
                return f'expected a number or "off", found {_found(error.instance)}{_instead(error)}'
            if isinstance(error.schema, Mapping) and error.schema.get("format") == "date":
                return f"expected a date like 2026-03-12, found {_found(error.instance)}"
            return f"{_found(error.instance)} is not a valid name (letters, digits, dot, dash, underscore and blank)"
        case "format":
            return f"{_found(error.instance)} is not a valid date"
        case "const":
            return f"expected {value!r}, found {_found(error.instance)}"
        case "maxLength":
            return f"longer than {value} characters"
        case "maxItems":
            return f"more than {value} entries"
        case "minLength" | "minItems" | "minProperties":
            return "is empty"
        case _:
            return error.message[:200]


def _listed(words: list[str]) -> str:
    return ", ".join(repr(word) for word in words[:FEW]) + (" ..." if len(words) > FEW else "")


def _found(instance: object) -> str:
    if isinstance(instance, bool):
        return "true" if instance else "false"
    if isinstance(instance, dict):
        return "a table"
    if isinstance(instance, list):
        return "a list"
    text = repr(instance)
    return text if len(text) <= 60 else text[:57] + "..."
