"""The schema files: fresh, valid JSON Schema 2020-12, in step with the vocabulary, and of use to an editor."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema
import jsonschema_rs
import pytest

from settingslint.model.control import DOES, RESET_STYLES
from settingslint.model.schema import SCHEMAS, as_text
from settingslint.model.schema_parts import BOUNDS, DRAFT
from settingslint.model.validate import schema
from settingslint.units import CONVERSIONS, Kind, from_si, to_si
from settingslint.vocabulary.facts import FACTS, TABLES
from settingslint.vocabulary.settings import SETTINGS

FOLDER = Path(__file__).parents[2] / "schemas"
MADE_HERE = sorted(SCHEMAS)
Node = dict[str, Any]


@pytest.mark.parametrize("name", MADE_HERE)
def test_the_files_are_fresh(name: str) -> None:
    """`python -m settingslint.files.schemas` makes them anew."""
    assert (FOLDER / f"{name}.schema.json").read_text(encoding="utf-8") == as_text(SCHEMAS[name]())


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.json")), ids=lambda path: path.name)
def test_each_is_itself_valid(path: Path) -> None:
    """Against the meta-schema of 2020-12, https://json-schema.org/draft/2020-12/schema, by two implementations."""
    content = json.loads(path.read_text(encoding="utf-8"))
    assert content["$schema"] == DRAFT
    jsonschema.Draft202012Validator.check_schema(content)
    assert jsonschema_rs.meta.is_valid(content)


def nodes(node: Any, path: str = "") -> Iterator[tuple[str, Node]]:
    if isinstance(node, dict):
        yield path, node
        for key, value in node.items():
            yield from nodes(value, f"{path}/{key}")
    elif isinstance(node, list):
        for index, value in enumerate(node):
            yield from nodes(value, f"{path}/{index}")


@pytest.mark.parametrize("name", MADE_HERE)
def test_every_reference_has_a_target_and_every_target_is_used(name: str) -> None:
    content = schema(name)
    used = {node["$ref"] for _, node in nodes(content) if isinstance(node.get("$ref"), str)}
    assert used == {f"#/$defs/{key}" for key in content.get("$defs", {})}


@pytest.mark.parametrize("name", MADE_HERE)
def test_tables_know_all_their_keys(name: str) -> None:
    for path, node in nodes(schema(name)):
        if node.get("type") == "object" and "$ref" not in node:
            assert "additionalProperties" in node, path


def properties(name: str) -> Iterator[tuple[str, str, Node]]:
    """Yield every key that an editor can complete: its place, its name and its schema."""
    for path, node in nodes(schema(name)):
        if node.get("type") == "object" and isinstance(node.get("properties"), dict):
            for key, value in node["properties"].items():
                yield path, key, value


@pytest.mark.parametrize("name", MADE_HERE)
def test_whatever_an_editor_completes_is_described(name: str) -> None:
    for path, key, node in properties(name):
        text = node.get("description", "")
        assert len(text) >= 3, f"{path}: {key}"
        assert text == text.strip()
        assert not text.endswith("."), f"{path}: {key}"


@pytest.mark.parametrize("name", MADE_HERE)
def test_tables_and_rows_have_titles(name: str) -> None:
    content = schema(name)
    assert content["title"]
    assert content["description"]
    for key, node in content["properties"].items():
        if name == "profile":
            assert node.get("title"), key
    if name == "profile":
        for table in [*TABLES, "settings", "visit", "plant"]:
            for key, node in content["properties"][table]["properties"].items():
                assert node["title"], key
    if name == "control":
        for key, node in content["properties"]["setting"]["properties"].items():
            assert node["title"] == SETTINGS[key].title


def test_settings_are_the_vocabulary() -> None:
    in_profile = schema("profile")["properties"]["settings"]["properties"]
    in_control = schema("control")["properties"]["setting"]["properties"]
    assert list(in_profile) == list(in_control) == list(SETTINGS)
    for name, row in SETTINGS.items():
        node = in_profile[name]
        plain = node["anyOf"][0]
        assert node["title"] == row.title
        assert row.does in node["description"]
        if row.kind is Kind.WORD:
            assert tuple(plain["enum"]) == row.words
        elif row.kind is Kind.FLAG:
            assert plain == {"type": "boolean"}
        elif row.kind in BOUNDS:
            assert ("string" in plain["type"]) == row.can_be_off
            assert (plain["minimum"], plain["maximum"]) == BOUNDS[row.kind]


def test_facts_are_the_vocabulary() -> None:
    content = schema("profile")["properties"]
    for table in TABLES:
        in_table = [row.name for row in FACTS.values() if row.table == table]
        assert list(content[table]["properties"]) == in_table


def test_units_are_named_where_they_differ() -> None:
    """An editor shows in which unit a number is."""
    settings = schema("profile")["properties"]["settings"]["properties"]
    assert "(F in a us file, C in a metric file)" in settings["heating_setpoint"]["description"]
    assert "(F in a us file, K in a metric file)" in settings["heating_differential"]["description"]
    for name, row in SETTINGS.items():
        if row.kind in CONVERSIONS and (unit := CONVERSIONS[row.kind]["us"].unit):
            assert unit in settings[name]["description"], name


@pytest.mark.parametrize("kind", sorted(BOUNDS))
def test_no_plausible_value_is_absurd(kind: Kind) -> None:
    """What the vocabulary calls plausible, in US units, passes the schema in either unit system."""
    least, most = BOUNDS[kind]
    for row in SETTINGS.values():
        if row.kind is kind and row.low is not None and row.high is not None:
            for shown in (row.low, row.high):
                assert least <= shown <= most, row.name
                assert least <= from_si(to_si(shown, kind, "us"), kind, "metric") <= most, row.name


def test_every_number_kind_has_bounds() -> None:
    assert set(BOUNDS) == set(CONVERSIONS)


def test_the_words_of_the_code_are_the_words_of_the_schema() -> None:
    content = schema("control")
    assert content["$defs"]["treatment"]["properties"]["does"]["enum"] == list(DOES)
    assert content["properties"]["control"]["properties"]["reset_style"]["enum"] == list(RESET_STYLES)


def test_the_wheel_carries_the_schemas() -> None:
    project = tomllib.loads((FOLDER.parent / "pyproject.toml").read_text(encoding="utf-8"))
    build = project["tool"]["hatch"]["build"]["targets"]
    assert build["wheel"]["force-include"]["schemas"] == "settingslint/schemas"
    assert "schemas" in build["sdist"]["include"]
