"""Imports go down: from a room to itself and to those below it, at the top of a module and inside functions alike."""

from __future__ import annotations

import ast
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Final, NamedTuple

import pytest

import settingslint

HOME: Final = Path(settingslint.__file__).parent
ROOMS: Final = (
    "__main__", "cli", "api", "report", "output", "workout", "starter", "history", "sheets", "checking", "files",
    "rules", "model", "vocabulary", "physics", "plain", "units", "",
)  # fmt: skip
"""From the top down; the last is the package itself, with its version."""
AT_TOP, INSIDE, FOR_TYPES = "at the top of a module", "in a function", "for types only"
UP_FOR_TYPES: Final[frozenset[tuple[str, str]]] = frozenset()
"""What is imported from above for types only."""


class Import(NamedTuple):
    """One module that another imports, by their names without that of the package, and where it does so."""

    by: str
    of: str
    where: str


def _within(tree: ast.AST, where: str = AT_TOP) -> Iterator[tuple[ast.Import | ast.ImportFrom, str]]:
    for node in ast.iter_child_nodes(tree):
        here = where
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef, ast.Lambda)) and where == AT_TOP:
            here = INSIDE
        if isinstance(node, ast.If) and ast.unparse(node.test).endswith("TYPE_CHECKING"):
            here = FOR_TYPES
        if isinstance(node, (ast.Import, ast.ImportFrom)):
            yield node, here
        yield from _within(node, here)


def imports_of(sources: Mapping[str, str], package: str) -> list[Import]:
    """Return the imports among the modules of a package, whose sources are given by their names in it."""
    found = []
    for name, text in sources.items():
        for node, where in _within(ast.parse(text)):
            names = [one.name for one in node.names]
            if isinstance(node, ast.ImportFrom):
                assert not node.level, f"{name}: imports are absolute"
                names = [f"{node.module}.{one}" for one in names]
            for one in names:
                if one == package or one.startswith(f"{package}."):
                    of = one.removeprefix(package).removeprefix(".")
                    found.append(Import(name, of if of in sources else of.rpartition(".")[0], where))
    return found


def upward(imports: Sequence[Import], rooms: Sequence[str]) -> list[Import]:
    """Return the imports that go up."""
    order = {room: place for place, room in enumerate(rooms)}
    return [one for one in imports if order[one.of.partition(".")[0]] < order[one.by.partition(".")[0]]]


def circles(imports: Sequence[Import]) -> set[frozenset[str]]:
    """Return the sets of modules that import each other, directly or through others."""
    after: dict[str, set[str]] = {}
    for one in imports:
        after.setdefault(one.by, set()).add(one.of)

    def reached(start: str) -> set[str]:
        seen: set[str] = set()
        open_ = [start]
        while open_:
            following = after.get(open_.pop(), set()) - seen
            seen |= following
            open_ += following
        return seen

    all_ = {name: reached(name) for name in after}
    return {frozenset(one for one in all_ if one in all_[name] and name in all_[one]) for name in after} - {frozenset()}


@pytest.fixture(scope="module")
def imports() -> list[Import]:
    sources = {}
    for file in HOME.rglob("*.py"):
        parts = file.relative_to(HOME).with_suffix("").parts
        sources[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = file.read_text(encoding="utf-8")
    return imports_of(sources, HOME.name)


def test_imports_go_down(imports: list[Import]) -> None:
    assert upward([one for one in imports if one.where != FOR_TYPES], ROOMS) == []


def test_what_goes_up_for_types_is_listed(imports: list[Import]) -> None:
    up = upward([one for one in imports if one.where == FOR_TYPES], ROOMS)
    assert {(one.by, one.of) for one in up} == UP_FOR_TYPES


def test_no_modules_import_each_other(imports: list[Import]) -> None:
    assert circles([one for one in imports if one.where == AT_TOP]) == set()


def test_every_room_has_its_place_and_every_place_is_a_room(imports: list[Import]) -> None:
    there = {one.stem for one in HOME.iterdir() if one.suffix == ".py" or (one / "__init__.py").is_file()}
    assert {*ROOMS[:-1], "__init__"} == there


SMALL: Final = {
    "": "",
    "low": "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from p.high import one\n",
    "high": "from p.low import x\nimport p.high.two\n",
    "high.one": "from p.high import two\ndef f():\n    from p.high.two import g\n",
    "high.two": "import os\nfrom p.high.one import f\nfrom p import __version__\n",
}


def test_the_test_itself_sees_what_goes_up_and_what_goes_round() -> None:
    found = imports_of(SMALL, "p")
    assert Import("low", "high.one", FOR_TYPES) in found and Import("high.one", "high.two", INSIDE) in found
    assert upward(found, ("high", "low", "")) == [Import("low", "high.one", FOR_TYPES)]
    assert circles([one for one in found if one.where == AT_TOP]) == {frozenset({"high.one", "high.two"})}
    assert Import("high.two", "", AT_TOP) in found
