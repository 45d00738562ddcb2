"""Places of keys and values, against documents whose writer noted where it wrote each of them.

The outside references are `tomllib` of the standard library, which says what a text means, the TOML 1.0.0 specification
(https://toml.io/en/v1.0.0), whose syntax the examples and the writer follow (from memory), and CPython's own test files
for `tomllib` where the interpreter has them.
"""

from __future__ import annotations

import random
import tomllib
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from time import perf_counter
from typing import Any

import pytest
from hypothesis import HealthCheck, given, reject, settings
from hypothesis import strategies as st

from settingslint.model.locate import Place, locate, place_of_error
from tests.model.toml_writer import CHANCE, DOCUMENTS, Path_, Writer

# -- what a place must be ------------------------------------------------------------------------------------------


def walk(node: Any, path: Path_ = ()) -> Iterator[tuple[Path_, Any]]:
    """Yield each path and value below a parsed table or array."""
    for step, value in node.items() if isinstance(node, dict) else enumerate(node):
        yield (*path, step), value
        if isinstance(value, dict | list):
            yield from walk(value, (*path, step))


def cut(text: str, place: Place) -> str:
    """Return the text between the two ends of a place, by lines and columns alone."""
    lines = text.split("\n")[place.line - 1 : place.end_line]
    lines[-1] = lines[-1][: place.end_column - 1]
    lines[0] = lines[0][place.column - 1 :]
    return "\n".join(lines)


def comparable(node: Any) -> Any:
    """Return the data with `repr` for its scalars, which tells 1 from 1.0 and True, and lets nan be nan."""
    if isinstance(node, dict):
        return {name: comparable(value) for name, value in node.items()}
    return [comparable(item) for item in node] if isinstance(node, list) else repr(node)


def check_against_tomllib(text: str) -> int:
    """Check that the text at each value's place means that value, and at each key's place that key; count the values.

    Tables, and arrays that may be arrays of tables, stand at headers and are checked by what was written instead.
    """
    places, checked = locate(text), 0
    for path, value in walk(tomllib.loads(text)):
        if isinstance(value, dict) or (isinstance(value, list) and any(isinstance(item, dict) for item in value)):
            continue
        here = cut(text, places.value(path))
        assert comparable(tomllib.loads(f"x = {here}")["x"]) == comparable(value), (text, path, here)
        if isinstance(path[-1], str):
            key = cut(text, places.key(path))
            assert tomllib.loads(f"{key} = 0") == {path[-1]: 0}, (text, path, key)
        checked += 1
    return checked


# -- examples with their places counted by hand ----------------------------------------------------------------------

PROFILE = """\
format = 1
[settings]  # as found
heating_setpoint = { value = 140, until = 2024-05-01 }
"warm \\u0077eather" . 'off' = 18.5
curve = [
  1, # one ]
  [2, 3],
  { at = "é\u00e9\U0001f525", then = 4 },
]

[[emitter]]
\tkind = "fin"
[emitter.rating]
 output = 600
[[emitter.row]]
[[emitter.row]]
n = 2
[[emitter]]
kind = 'fan'
[a.b]
c = 1
[a]
d = 07:32:00
[f . g.h]
e = 1979-05-27 07:32:00Z#end"""

VALUES: list[tuple[Path_, tuple[int, int, int, int]]] = [
    (("format",), (1, 10, 1, 11)),
    (("settings",), (2, 1, 2, 11)),
    (("settings", "heating_setpoint"), (3, 20, 3, 55)),
    (("settings", "heating_setpoint", "value"), (3, 30, 3, 33)),
    (("settings", "heating_setpoint", "until"), (3, 43, 3, 53)),
    (("settings", "warm weather"), (4, 1, 4, 28)),
    (("settings", "warm weather", "off"), (4, 31, 4, 35)),
    (("settings", "curve"), (5, 9, 9, 2)),
    (("settings", "curve", 0), (6, 3, 6, 4)),
    (("settings", "curve", 1), (7, 3, 7, 9)),
    (("settings", "curve", 1, 1), (7, 7, 7, 8)),
    (("settings", "curve", 2, "at"), (8, 10, 8, 15)),
    (("settings", "curve", 2, "then"), (8, 24, 8, 25)),
    (("emitter",), (11, 1, 11, 12)),
    (("emitter", 0), (11, 1, 11, 12)),
    (("emitter", 0, "kind"), (12, 9, 12, 14)),
    (("emitter", 0, "rating"), (13, 1, 13, 17)),
    (("emitter", 0, "rating", "output"), (14, 11, 14, 14)),
    (("emitter", 0, "row"), (15, 1, 15, 16)),
    (("emitter", 0, "row", 1), (16, 1, 16, 16)),
    (("emitter", 0, "row", 1, "n"), (17, 5, 17, 6)),
    (("emitter", 1), (18, 1, 18, 12)),
    (("emitter", 1, "kind"), (19, 8, 19, 13)),
    (("a",), (22, 1, 22, 4)),
    (("a", "b"), (20, 1, 20, 6)),
    (("a", "d"), (23, 5, 23, 13)),
    (("f",), (24, 1, 24, 10)),
    (("f", "g"), (24, 1, 24, 10)),
    (("f", "g", "h", "e"), (25, 5, 25, 25)),
]
KEYS: list[tuple[Path_, tuple[int, int, int, int]]] = [
    (("settings",), (2, 2, 2, 10)),
    (("settings", "heating_setpoint", "until"), (3, 35, 3, 40)),
    (("settings", "warm weather"), (4, 1, 4, 20)),
    (("settings", "warm weather", "off"), (4, 23, 4, 28)),
    (("settings", "curve", 1, 1), (5, 1, 5, 6)),
    (("settings", "curve", 2, "then"), (8, 17, 8, 21)),
    (("emitter", 1), (18, 3, 18, 10)),
    (("emitter", 0, "row"), (15, 11, 15, 14)),
    (("a", "b"), (20, 4, 20, 5)),
    (("a",), (22, 2, 22, 3)),
    (("f",), (24, 2, 24, 3)),
    (("f", "g"), (24, 6, 24, 7)),
]


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
@pytest.mark.parametrize(("path", "place"), VALUES)
def test_values_of_the_example(path: Path_, place: tuple[int, int, int, int], newline: str) -> None:
    assert locate(PROFILE.replace("\n", newline)).value(path) == Place(*place)


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
@pytest.mark.parametrize(("path", "place"), KEYS)
def test_keys_of_the_example(path: Path_, place: tuple[int, int, int, int], newline: str) -> None:
    assert locate(PROFILE.replace("\n", newline)).key(path) == Place(*place)


def test_the_example_is_toml_and_every_value_is_where_it_stands() -> None:
    assert check_against_tomllib(PROFILE) == 17
    assert tomllib.loads(PROFILE)["settings"]["warm weather"] == {"off": 18.5}


@pytest.mark.parametrize(
    ("path", "parent"),
    [
        (("settings", "heating_setpoint", "by"), ("settings", "heating_setpoint")),
        (("settings", "heating_setpoint", "value", "deeper", 3), ("settings", "heating_setpoint", "value")),
        (("settings", "missing"), ("settings",)),
        (("emitter", 2, "kind"), ("emitter",)),
        (("emitter", -1), ("emitter",)),
        (("emitter", "kind"), ("emitter",)),
        (("settings", "curve", 9), ("settings", "curve")),
    ],
)
def test_what_is_missing_stands_where_its_nearest_parent_stands(path: Path_, parent: Path_) -> None:
    places = locate(PROFILE)
    assert places.value(path) == places.value(parent) != Place(1, 1, 1, 1)
    assert places.key(path) == places.key(parent) != Place(1, 1, 1, 1)


@pytest.mark.parametrize("text", [PROFILE, "", "# only a comment", "\r\n"])
@pytest.mark.parametrize("path", [(), ("no such table",), ("no such table", 1, "x"), (0,)])
def test_the_document_stands_at_line_1_column_1(text: str, path: Path_) -> None:
    assert locate(text).value(path) == locate(text).key(path) == Place(1, 1, 1, 1)


# Values of TOML 1.0.0, sections String to Inline Table: delimiters, escapes and breaks where a scan could go astray.
AWKWARD = [
    '""',
    "''",
    '""""""',
    "''''''",
    '"""""a"""""',
    "'''''a'''''",
    '""""""""',
    "''''''''",
    '"""a\\"""b"""',
    '"""\\\\"""',
    '"""\na\\\n   b ""c\n"""',
    "'''\nit's ''here'' # ]\n'''",
    '"a\\"b = 1 # [x]"',
    '"\\\\"',
    "'\\'",
    '"# } ]"',
    "+1_000",
    "0xDEAD_beef",
    "-1.5e-3",
    "+inf",
    "-nan",
    "1979-05-27",
    "1979-05-27 07:32:00",
    "1979-05-27 00:32:00.999999-07:00",
    "1979-05-27t07:32:00z",
    "07:32:00.5",
    "[1979-05-27 , 1979-05-27 07:32:00,07:32:00]",
    '[\n#]\n"]",#"\n\']\'\n, ]',
    "[[], [[]],\t[ ] ]",
    "{}",
    '{ "}" = "}", a . b = {c=[{d=1}]},\'a\'.e = 2 }',
    "[{a=1},{a=[\n{b='''\n}'''}]}]",
]


@pytest.mark.parametrize("value", AWKWARD)
@pytest.mark.parametrize("after", ["", "#c", " \t# c\n", "\ny = 1"])
@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_awkward_values(value: str, after: str, newline: str) -> None:
    text = f"é.x = {value}{after}".replace("é", '"é"').replace("\n", newline)
    lines = value.split("\n")
    end = Place(1, 9, len(lines), len(lines[-1]) + 1 + (8 if len(lines) == 1 else 0))
    assert locate(text).value(("é", "x")) == end
    assert check_against_tomllib(text) >= ("y" in after)


@pytest.mark.parametrize("key", ["a", "1", "-", '""', "''", '"a.b"', "'a\"b'", '"\\"]\\u00e9"', '"="', "'#'", "é"])
@pytest.mark.parametrize(
    "form", ["{} = 1", "x.{}=1", "{} .\t{}=1", "[{}]", "[ {} . x ]#", "[[{}]]", "x = {{ {} = 1 }}"]
)
def test_awkward_keys(key: str, form: str) -> None:
    written = '"é"' if key == "é" else key
    text = form.replace("{}", written).replace("{{", "{").replace("}}", "}")
    path = next(path for path, _ in walk(tomllib.loads(text)) if path[-1] == tomllib.loads(f"{written}=1").popitem()[0])
    column = text.index(written) + 1
    assert locate(text).key(path) == Place(1, column, 1, column + len(written))


def test_a_dotted_key_and_headers_share_tables() -> None:
    text = "[a]\nb.c = 1\n[a.b.d]\ne = 2\n[[x.y.z]]\n[x]\ny.w = 3\n"
    places = locate(text)
    assert places.value(("a", "b")) == Place(2, 1, 2, 4)
    assert places.value(("a", "b", "d", "e")) == Place(4, 5, 4, 6)
    assert places.value(("x", "y")) == Place(5, 1, 5, 10)
    assert places.value(("x", "y", "w")) == Place(7, 7, 7, 8)
    assert check_against_tomllib(text) == 3


# -- documents whose writer noted its places -------------------------------------------------------------------------

MODEST = settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@MODEST
@given(DOCUMENTS, CHANCE)
def test_every_place_is_where_the_writer_wrote_it(data: dict[str, Any], chance: random.Random) -> None:
    writer = Writer(chance)
    text = writer.document(data)
    assert comparable(tomllib.loads(text)) == comparable(data)
    places = locate(text)
    paths = [path for path, _ in walk(data)]
    assert {path: places.value(path) for path in paths} == writer.values
    assert {path: places.key(path) for path in paths} == writer.keys
    check_against_tomllib(text)


TOKENS: list[str] = [
    *"[]{}.,=#'\" \t\n\\-:0a",
    "\r\n",
    '"""',
    "'''",
    "[[a]]\n",
    "[a]\n",
    "a.b = 1\n",
    "x = {",
    "1979-05-27",
    "é",
]


def mutate(text: str, chance: random.Random) -> str:
    """Insert a token, drop a few characters, or repeat or move a line."""
    at = chance.randint(0, len(text))
    lines = text.splitlines(keepends=True) or [""]
    line = chance.choice(lines)
    match chance.randrange(4):
        case 0:
            return text[:at] + chance.choice(TOKENS) + text[at:]
        case 1:
            return text[:at] + text[at + chance.randint(1, 3) :]
        case 2:
            return text + "\n" + line
        case _:
            return line + text


def check_any(text: str) -> bool:
    """Whatever the text: nothing raises. Where `tomllib` accepts it, every value is where it stands."""
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        locate(text).value(("a",))
        place = place_of_error(error, text)
        assert 1 <= place.line <= text.count("\n") + 1
        return False
    check_against_tomllib(text)
    return True


@MODEST
@given(DOCUMENTS, CHANCE, st.integers(1, 3))
def test_documents_with_faults(data: dict[str, Any], chance: random.Random, times: int) -> None:
    text = Writer(chance).document(data)
    for _ in range(times):
        text = mutate(text, chance)
    check_any(text)


@MODEST
@given(st.lists(st.sampled_from(TOKENS)).map("".join) | st.text())
def test_any_text(text: str) -> None:
    check_any(text)


def test_faulty_documents_are_not_all_refused() -> None:
    """The checks above would be empty if `tomllib` refused every document that has been tampered with."""
    chance = random.Random(20240501)
    accepted = sum(check_any(mutate(PROFILE, chance)) for _ in range(1000))
    assert 200 < accepted < 800


# -- what is scanned of a text where one place is asked for -----------------------------------------------------------


def check_each_by_itself(text: str) -> None:
    """Check that a place asked for by itself is that of the whole text scanned, also of paths that are not there."""
    places, nodes = locate(text), locate(text)._whole()
    paths = [(), *(path for path, _ in walk(tomllib.loads(text)))]
    for path in [*paths, *((*path, more) for path in paths for more in ("nothing", 0, 3, "#", "1"))]:
        node = nodes.find(path)
        assert locate(text).value(path) == places._place(nodes.values[node]), path
        assert locate(text).key(path) == places._place(nodes.keys[node]), path


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
def test_a_place_asked_for_by_itself_in_the_example_portfolio(newline: str) -> None:
    for file in sorted((Path(__file__).parents[2] / "profiles").rglob("boiler-1.toml"))[:4]:
        check_each_by_itself(file.read_text(encoding="utf-8").replace("\n", newline))


LINES: list[str] = [
    "a = 1", "b = { a = 1, b = [1, 2] }", " c=[1]", '"a" = 2', "a.b = 3", "[a]", "[b]", "[a.c]", " [c] # x", "[[d]]",
    "[[d]]", "[d.e]", "[[a.f]]", "", "# [a]", "  #", 'x = "[a]"', "d = 4", "e-f = 5", "[e-f]", "f = [", "1]", "[1],",
    "]", 'y = """', "z = 6", '"""', "[ a ]", '["a"]', '["a"],', '["d"', "['b'.c]", "g = [", "[1]", "'' = 7", "['']",
]  # fmt: skip


@settings(max_examples=1000, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
@given(st.lists(st.sampled_from(LINES), max_size=12, unique=True).map("\n".join))
def test_a_place_asked_for_by_itself_in_any_lines(text: str) -> None:
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        reject()
    check_each_by_itself(text)


IN_VALUES: list[str] = [
    '[\n["a"],\n["a"]\n]', "[\n[[1],\n['a']\n,],]", "[\n[\n['a']]]", '"""\n[a]\nx = 3 #"""', "'''\n[a]\nx = 3 #'''",
]  # fmt: skip


@pytest.mark.parametrize("inside", IN_VALUES)
@pytest.mark.parametrize("first", ["a", "b"])
def test_what_looks_like_a_header_inside_a_value_is_none(inside: str, first: str) -> None:
    text = f"[a]\nx = 2\nw = {inside}\n[b]\ny = {inside}\nz = 1\n[[a.d]]\n[[a.d]]\n[[e]]\n[[e]]\n"
    places = locate(text)
    places.value((first,))
    assert [cut(text, places.value(path)) for path in (("b", "y"), ("b", "z"), ("a", "x"))] == [inside, "1", "2"]
    assert places.value(("e", 3)) == places.value(("e",)), "no entry twice"
    check_each_by_itself(text)


def test_tables_that_nobody_asks_about_are_not_scanned() -> None:
    places = locate(PROFILE)
    places.value(("settings", "heating_setpoint"))
    names = {step for parent, step in places._nodes.children if parent == 0}
    assert "settings" in names and not names & {"emitter", "accepted"}


CPYTHON = Path(tomllib.__file__).parents[1] / "test" / "test_tomllib" / "data"


@pytest.mark.skipif(not CPYTHON.is_dir(), reason="this interpreter comes without its own tests")
def test_cpythons_own_test_files() -> None:
    """Source: Lib/test/test_tomllib/data of CPython."""
    valid = sorted((CPYTHON / "valid").rglob("*.toml"))
    accepted = [check_any(path.read_bytes().decode()) for path in valid]
    assert accepted
    assert all(accepted)
    for path in sorted((CPYTHON / "invalid").rglob("*.toml")):
        with suppress(UnicodeDecodeError):
            assert not check_any(path.read_bytes().decode()), path


# -- errors, depth and speed -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("a = 1\nb = é\n", (2, 5, 2, 6)),
        ("a = 1\r\n\r\n[b\r\n", (3, 3, 3, 3)),
        ("a = 1\na = 2", (2, 6, 2, 6)),
        ('a = "é', (1, 7, 1, 7)),
        ("a = [\r\n 1,\r\n", (3, 1, 3, 1)),
        ("'at line 7, column 7' = ?", (1, 25, 1, 26)),
        ("[a]\n\n[a]\n", (3, 3, 3, 4)),
    ],
)
def test_place_of_error(text: str, place: tuple[int, int, int, int]) -> None:
    with pytest.raises(tomllib.TOMLDecodeError) as raised:
        tomllib.loads(text)
    assert place_of_error(raised.value, text) == Place(*place)


def test_an_error_without_a_place_stands_at_the_start() -> None:
    assert place_of_error(tomllib.TOMLDecodeError("no place in the words"), "a = 1\n") == Place(1, 1, 1, 2)


def test_place_of_error_takes_the_numbers_where_the_error_has_them() -> None:
    class Newer(tomllib.TOMLDecodeError):
        lineno, colno = 2, 3

    assert place_of_error(Newer("no place in the words"), "a = 1\nbcd\n") == Place(2, 3, 2, 4)


def test_before_the_first_fault_places_are_good() -> None:
    """`tomllib` refuses the escape and the lone bracket."""
    places = locate('a = 1\n"\\q" = 2\nb = 3\n]\nc = 4\n')
    assert [places.value((name,)).line for name in "abc"] == [1, 3, 1]


DEEP = 40_000


@pytest.mark.parametrize(
    ("text", "path", "value_column", "key_column"),
    [
        ("x = " + "[" * DEEP, ("x", *(0,) * 9_999), 5 + 9_999, 1),
        ("x = " + "{x=" * DEEP, ("x",) * 10_000, 5 + 9_999 * 3, 6 + 9_998 * 3),
        ("x." * DEEP + "x = 1", ("x",) * (DEEP + 1), 2 * DEEP + 5, 2 * DEEP + 1),
    ],
)
def test_no_depth_is_too_deep(text: str, path: Path_, value_column: int, key_column: int) -> None:
    """`tomllib` itself gives up on the first two with a RecursionError."""
    places = locate(text)
    assert (places.value(path).line, places.value(path).column) == (1, value_column)
    assert (places.key(path).line, places.key(path).column) == (1, key_column)


@pytest.mark.parametrize(
    "text",
    [
        'x = "' + "\\" * 200_001,
        'x = """' + '""\\"' * 100_000,
        " " * 500_000,
        "a" * 500_000,
        "#\n" * 99_999,
        "a." * 99_999,
    ],
    ids=["escapes", "quotes", "blanks", "key", "comments", "dots"],
)
def test_no_text_takes_long(text: str) -> None:
    """A pattern that backtracks would take hours on these."""
    began = perf_counter()
    locate(text).value(("x",))
    assert perf_counter() - began < 2
