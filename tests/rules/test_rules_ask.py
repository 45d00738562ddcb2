"""Rules ask their plant by name: none looks into the profile or the control file, reads a file, a clock or git."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from settingslint import rules

HOME = Path(rules.__file__).parent
MODULES = sorted([*HOME.glob("*/*.py")])
BEHIND = {"profile", "control", "context"}
READERS = {"os", "pathlib", "subprocess", "time", "git", "io"}


def behind(tree: ast.AST) -> set[str]:
    """Return what is reached of a plant that only other rooms look into."""
    return {
        node.attr
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute)
        and isinstance(node.value, ast.Name)
        and node.value.id == "plant"
        and node.attr in BEHIND
    }


def parameters(tree: ast.AST) -> set[str]:
    """Return the names under which functions have a plant."""
    return {
        argument.arg
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef)
        for argument in node.args.args
        if isinstance(argument.annotation, ast.Name) and argument.annotation.id == "Plant"
    }


@pytest.mark.parametrize("module", MODULES, ids=lambda path: path.relative_to(HOME).as_posix())
def test_no_rule_looks_behind_its_plant(module: Path) -> None:
    tree = ast.parse(module.read_text(encoding="utf-8"))
    assert parameters(tree) <= {"plant"}
    assert behind(tree) - ({"control"} if module.name == "several.py" else set()) == set()  # there it is a summary's
    imported = {
        (node.module or "") if isinstance(node, ast.ImportFrom) else alias.name
        for node in ast.walk(tree)
        if isinstance(node, ast.Import | ast.ImportFrom)
        for alias in node.names
    }
    assert not {one.partition(".")[0] for one in imported} & READERS
    assert not [one for one in imported if one.startswith(("settingslint.files", "settingslint.history"))]


def test_looking_behind_is_seen() -> None:
    assert behind(ast.parse("def f(plant): return plant.control.rows")) == {"control"}
