"""The quick reader takes what `tomllib` takes, with the same meaning, and nothing else.

Outside references: `tomllib` of the standard library; TOML 1.0.0 and 1.1.0 (https://toml.io/en/v1.1.0, what changed).
"""

from __future__ import annotations

import random
import tomllib
from typing import Any

import pytest
import tomli
from hypothesis import given

from settingslint.model.toml import loads
from tests.model.test_locate import AWKWARD, MODEST, comparable, mutate
from tests.model.toml_writer import CHANCE, DOCUMENTS, Writer

LATER: dict[str, str] = {
    "line break": "a = { b = 1,\n c = 2 }",
    "line break before the end": "a = { b = { c = 1 }\n}",
    "line break before the first name": "a = {\n b = 1 }",
    "line break before a comma": "a = { b = { c = 1 }\n, d = 2 }",
    "line break in a list": "a = [ { b = 1,\r\n c = 2 } ]",
    "comment": "a = { b = { c = 1 } # why\n, d = 2 }",
    "last comma": "a = { b = 1, }",
    "last comma in front of a blank": "a = { b = 1,\t }",
    "escape": 'a = "\\e[0m"',
    "byte": 'a = "\\x41"',
    "time": "a = 10:30",
    "time after a tab": "a =\t10:30",
    "time in a list": "a = [10:30]",
    "second time in a list": "a = [10:30:00,\n 11:30]",
    "time in a table": "a = {b=10:30}",
    "day and time": "a = 2026-03-01T10:30",
    "day and time with a blank": "a = 2026-03-01 10:30",
    "day and time in small letters": "a = 2026-03-01t10:30z",
}


def answer(read: Any, text: str) -> object:
    try:
        return comparable(read(text))
    except (ValueError, RecursionError) as error:
        return type(error), str(error)


@pytest.mark.parametrize("text", LATER.values(), ids=LATER)
def test_what_only_later_versions_have_is_refused_as_tomllib_refuses_it(text: str) -> None:
    assert answer(loads, text) == answer(tomllib.loads, text)


def test_the_list_above_is_not_empty_words() -> None:
    """A current `tomli` takes all of it, so that each test above would fail without its guard."""

    def taken(text: str) -> bool:
        try:
            tomli.loads(text)
        except tomli.TOMLDecodeError:
            return False
        return True

    if not taken(LATER["last comma"]):
        pytest.skip("this tomli reads TOML 1.0.0 only")
    assert [name for name, text in LATER.items() if not taken(text)] == []


@MODEST
@given(DOCUMENTS, CHANCE)
def test_documents_mean_the_same(data: dict[str, Any], chance: random.Random) -> None:
    text = Writer(chance).document(data).replace("\r\n", "\n")
    for _ in range(3):
        assert answer(loads, text) == answer(tomllib.loads, text)
        text = mutate(text, chance)


@pytest.mark.parametrize("value", AWKWARD)
def test_awkward_values_mean_the_same(value: str) -> None:
    for text in (f"a = {value}", f"a = {value}\r\n", f"a = [{value}]", f"a = {{ b = {value} }}\n"):
        assert answer(loads, text) == answer(tomllib.loads, text)


def test_an_ordinary_file_is_read_by_the_quick_reader(monkeypatch: pytest.MonkeyPatch) -> None:
    def slow(text: str) -> dict[str, Any]:
        raise AssertionError("the slow reader was asked")

    usual = 'why = "at 10:30, as found"\nat = 10:30:00\non = 2026-03-01T10:30:15Z\nx = { a = { b = 1 } }\n'
    monkeypatch.setattr("tomllib.loads", slow)
    assert loads(usual)["x"] == {"a": {"b": 1}}
    with pytest.raises(AssertionError, match="slow reader"):
        loads('why = "set { for now"')
