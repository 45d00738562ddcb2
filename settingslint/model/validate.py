"""Validation against the schemas, with messages that say where and what.

The quick accept path is the Rust validator `jsonschema_rs`; whatever it does not accept goes to `jsonschema`, which
decides and whose errors become the messages. A differential test holds the two together.
"""

from __future__ import annotations

import difflib
import json
from collections.abc import Iterable, Iterator
from functools import cache
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from settingslint.model.source import Path_, Source
from settingslint.model.values import Problem, Unreadable

if TYPE_CHECKING:
    from jsonschema.exceptions import ValidationError


@cache
def schema(name: str) -> dict[str, Any]:
    """Return the schema of that name from the installed package, or from the checkout beside it."""
    return json.loads(_schema_text(name))  # type: ignore[no-any-return]


def _schema_text(name: str) -> str:
    packaged = resources.files("settingslint") / "schemas" / f"{name}.schema.json"
    if packaged.is_file():
        return packaged.read_text(encoding="utf-8")
    return (Path(__file__).parents[2] / "schemas" / f"{name}.schema.json").read_text(encoding="utf-8")


@cache
def _quick(name: str) -> Any:
    import jsonschema_rs

    return jsonschema_rs.Draft202012Validator(schema(name))


@cache
def _authority(name: str) -> Any:
    import jsonschema

    return jsonschema.Draft202012Validator(schema(name))


def check_schema(source: Source, name: str) -> None:
    """Check a source against the schema of that name.

    Raises:
        Unreadable: with one problem for each place that the schema does not accept.
    """
    if _quick(name).is_valid(source.data):
        return
    problems = sorted(set(_problems(source, _authority(name).iter_errors(source.data))))
    if problems:
        raise Unreadable(problems)


def _problems(source: Source, errors: Iterable[ValidationError]) -> Iterator[Problem]:
    for error in errors:
        path: Path_ = tuple(error.absolute_path)
        branches = list(error.context or ())
        if error.validator == "anyOf" and branches:
            yield from _problems(source, _branch(error, branches))
        elif error.validator == "additionalProperties":
            yield from _unknown_keys(source, path, error)
        elif error.validator == "required":
            wanted: Any = error.validator_value
            missing = [key for key in wanted if key not in cast(Any, error.instance)]
            yield source.problem(path, f"{_name(path)} lacks {' and '.join(missing)}")
        else:
            yield source.problem(path, f"{_name(path)}: {_reason(error)}")


def _branch(error: ValidationError, branches: list[ValidationError]) -> list[ValidationError]:
    """Return the errors of the branch that fits the type of what was written."""
    is_table = isinstance(error.instance, dict)
    options: Any = error.validator_value
    groups: dict[int, list[ValidationError]] = {}
    for branch in branches:
        groups.setdefault(cast(int, branch.schema_path[0]), []).append(branch)
    fitting = [group for index, group in groups.items() if (options[index].get("type") == "object") == is_table]
    if is_table and all("required" in option for option in options):
        fitting = [[branches[0]]]
    return fitting[0] if fitting else branches[:1]


def _unknown_keys(source: Source, path: Path_, error: ValidationError) -> Iterator[Problem]:
    known = list(error.schema.get("properties", ())) if isinstance(error.schema, dict) else []
    for key in cast(Any, error.instance):
        if key in known:
            continue
        near = difflib.get_close_matches(str(key), known, n=1, cutoff=0.6)
        hint = f"; did you mean {near[0]}?" if near else ""
        where = f" in {_name(path)}" if path else ""
        yield source.problem_at_key((*path, key), f"unknown key {key}{where}{hint}")


def _name(path: Path_) -> str:
    text = ""
    for part in path:
        text += f"[{part + 1}]" if isinstance(part, int) else f".{part}" if text else str(part)
    return text or "the file"


_TYPES = {
    "number": "a number", "string": "text", "boolean": "true or false", "object": "a table", "array": "a list",
    "integer": "a whole number",
}  # fmt: skip


def _reason(error: ValidationError) -> str:
    value: Any = error.validator_value
    match error.validator:
        case "type":
            kinds = [value] if isinstance(value, str) else value
            return f"expected {' or '.join(_TYPES[kind] for kind in kinds)}, found {_found(error.instance)}"
        case "enum":
            near = difflib.get_close_matches(str(error.instance), [str(one) for one in value], n=1, cutoff=0.5)
            hint = f"; did you mean {near[0]!r}?" if near else ""
            few = ", ".join(repr(one) for one in value[:12]) + (" ..." if len(value) > 12 else "")
            return f"{_found(error.instance)} is none of {few}{hint}"
        case "minimum" | "exclusiveMinimum":
            return f"{_found(error.instance)} is absurd: the least that can be is {value:g}"
        case "maximum":
            return f"{_found(error.instance)} is absurd: the most that can be is {value:g}"
        case "pattern":
            if value == "^off$":
                return f'expected a number or "off", found {_found(error.instance)}'
            if "[0-9]{4}" in value:
                return f"expected a date like 2026-03-12, found {_found(error.instance)}"
            return f"{_found(error.instance)} has characters that a name can't have"
        case "const":
            return f"expected {value!r}, found {_found(error.instance)}"
        case "maxLength":
            return f"longer than {value} characters"
        case "maxItems":
            return f"more than {value} entries"
        case "minLength":
            return "is empty"
        case _:
            return error.message[:200]


def _found(instance: object) -> str:
    if isinstance(instance, bool):
        return "true" if instance else "false"
    if isinstance(instance, dict):
        return "a table"
    if isinstance(instance, list):
        return "a list"
    text = repr(instance)
    return text if len(text) <= 60 else text[:57] + "..."
