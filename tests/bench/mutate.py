"""Mutation testing: change one thing in a module, run its tests, and count the changes that no test noticed.

    python -m tests.bench.mutate settingslint/physics/*.py
    python -m tests.bench.mutate settingslint/rules/freeze/*.py --every 5

Works on a copy of the tree in a temporary folder. The libraries of the tests are imported once, and every mutant runs
in a child forked from there (POSIX only). Its tests are the module's doctests, then the file of its path
(`tests/rules/freeze/test_protection.py` for `settingslint/rules/freeze/protection.py`) and those of `tests/<room>` that
name the module, then the other files there; for a module without a room, `tests/test_<module>.py`. The first failure
ends the run, and so does ten times the time of the unchanged tree. Hypothesis draws the same examples each time and
shrinks nothing.

What is changed: comparisons (the neighbour and the opposite), arithmetic, `and`/`or`/`not`, numbers (about 1 per cent,
whole ones by 1), `True`/`False`, `min`/`max`, tests of `if`, and calls made for their effect alone (taken out). Words,
types and decorators are left alone. A survivor is either a gap in the tests or a change that makes no difference: the
list is for reading, and the score counts both against the tests.
"""

from __future__ import annotations

import argparse
import ast
import copy
import importlib
import os
import shutil
import signal
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any, Final, NamedTuple

HOME: Final = Path(__file__).resolve().parents[2]
COPIED: Final = ("settingslint", "tests", "schemas", "profiles", "pyproject.toml")
LIBRARIES: Final = (
    "CoolProp.CoolProp", "iapws", "hypothesis", "jsonschema", "numpy", "pandas", "pint", "pvlib", "pytest",
    "scipy.integrate", "scipy.optimize", "tomlkit",
)  # fmt: skip
"""Imported before the fork where they are installed: what costs the tests most of their start."""
PASSED, FAILED, NOTHING_RUN = 0, 1, 5
SLOWER: Final = 10.0
"""A mutant that takes this many times the unchanged tree's time is taken for an endless loop, and as noticed."""

NEIGHBOURS: Final[dict[type, tuple[type, ...]]] = {
    ast.Lt: (ast.LtE, ast.GtE), ast.LtE: (ast.Lt, ast.Gt), ast.Gt: (ast.GtE, ast.LtE), ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,), ast.NotEq: (ast.Eq,), ast.Is: (ast.IsNot,), ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,), ast.NotIn: (ast.In,),
    ast.Add: (ast.Sub,), ast.Sub: (ast.Add,), ast.Mult: (ast.Div,), ast.Div: (ast.Mult,), ast.Pow: (ast.Mult,),
    ast.Mod: (ast.Mult,), ast.FloorDiv: (ast.Div,), ast.And: (ast.Or,), ast.Or: (ast.And,),
}  # fmt: skip
EXTREMES: Final = {"min": "max", "max": "min"}


class Mutant(NamedTuple):
    """One change: where it stands, in words, and the whole source with it."""

    line: int
    words: str
    source: str


class Score(NamedTuple):
    """Mutants of a module, and those that no test noticed."""

    tried: int
    survivors: tuple[Mutant, ...]


def mutants(source: str) -> Iterator[Mutant]:
    """Yield every mutant of a module's source, in the order of its lines."""
    tree = ast.parse(source)
    for node, field, at in sorted(_places(tree), key=lambda place: _line(place[0])):
        for new in _changes(node, field, at):
            before = getattr(node, field)
            words = f"{_shown(before, at)} -> {_shown(new, at)}"
            setattr(node, field, new)
            yield Mutant(_line(node), words, ast.unparse(ast.fix_missing_locations(tree)) + "\n")
            setattr(node, field, before)


def _line(node: ast.AST) -> int:
    return int(getattr(node, "lineno", 0))


def _places(tree: ast.AST) -> Iterator[tuple[ast.AST, str, int]]:
    """Yield (node, field, index in the field) of everything that may be changed."""
    for field, value in ast.iter_fields(tree):
        if field in ("annotation", "returns", "decorator_list", "type_params", "format_spec"):
            continue
        for index, child in enumerate(value if isinstance(value, list) else [value]):
            if isinstance(child, ast.AST):
                yield tree, field, index
                yield from _places(child)
    if isinstance(tree, ast.Constant):
        yield tree, "value", 0


def _changes(node: ast.AST, field: str, at: int) -> Iterator[Any]:
    """Yield what may stand in a field instead of what stands there."""
    value = getattr(node, field)
    if isinstance(node, ast.Constant):
        yield from _numbers(value)
        return
    child = value[at] if isinstance(value, list) else value

    def put(new: Any) -> Any:
        return [*value[:at], new, *value[at + 1 :]] if isinstance(value, list) else new

    for kind in NEIGHBOURS.get(type(child), ()):
        yield put(kind())
    if isinstance(child, ast.UnaryOp) and isinstance(child.op, ast.Not | ast.USub):
        yield put(child.operand)
    elif isinstance(child, ast.Name) and child.id in EXTREMES and field == "func":
        yield put(ast.Name(EXTREMES[child.id], ast.Load()))
    elif isinstance(child, ast.Expr) and isinstance(child.value, ast.Call):
        yield put(ast.copy_location(ast.Pass(), child))
    elif field == "test" and not isinstance(child, ast.Compare | ast.BoolOp | ast.UnaryOp):
        yield put(ast.UnaryOp(ast.Not(), copy.deepcopy(child)))


def _numbers(value: object) -> Iterator[object]:
    if isinstance(value, bool):
        yield not value
    elif isinstance(value, int):
        yield value + 1
    elif isinstance(value, float):
        yield value * 1.01 if value else 1.0


def _shown(value: Any, at: int) -> str:
    value = value[at] if isinstance(value, list) else value
    if isinstance(value, ast.expr | ast.stmt):
        return " ".join(ast.unparse(value).split())[:70]
    return type(value).__name__ if isinstance(value, ast.AST) else repr(value)


def what_runs(root: Path, module: Path, folders: Sequence[str]) -> tuple[list[str], list[str]]:
    """Return what pytest runs for a module: itself and the files of its path or that name it; then the other files."""
    name, room, mirror = module.stem, module.parts[1], root / "tests" / Path(*module.parts[1:-1], f"test_{module.name}")
    home = f"tests/{room}" if (root / "tests" / room).is_dir() else f"tests/test_{name}.py"
    files = sorted(file for folder in folders or [home] for file in _files(root / folder))
    ways = [f"{module.parent.name}.{name} ", f"{module.parent.name} import {name}"]
    if not mirror.is_file():
        ways.append(f"test_{name}")

    near: list[str] = [module.as_posix()]
    far: list[str] = []
    for file in files:
        names = file == mirror or any(way in file.name or way in file.read_text(encoding="utf-8") for way in ways)
        (near if names else far).append(file.relative_to(root).as_posix())
    if near == [module.as_posix()] and ">>>" not in (root / module).read_text(encoding="utf-8"):
        return far, []  # nothing to begin with: a run of no tests says nothing
    return near, far


def _files(place: Path) -> list[Path]:
    return [place] if place.is_file() else list(place.rglob("test_*.py"))


def _child(root: Path, module: Path, tests: Sequence[str]) -> int:
    """Run the tests in this process, without a word, and return pytest's status."""
    quiet = os.open(os.devnull, os.O_WRONLY)
    os.dup2(quiet, 1)
    os.dup2(quiet, 2)
    import pytest

    status = int(pytest.main(["-x", "-p", "no:cacheprovider", "--no-header", "--tb=no", *tests]))
    loaded = getattr(sys.modules.get(module.parts[0]), "__file__", None) or "/nowhere"
    # a run that passed without the copy says nothing
    return status if status != PASSED or Path(loaded).is_relative_to(root) else NOTHING_RUN


def forked(call: Callable[[], int], seconds: float) -> int | None:
    """Return the exit status of a call in a child process, or None where it took longer."""
    child = os.fork()
    if not child:
        try:
            os._exit(call())
        finally:
            os._exit(FAILED)
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            return os.waitstatus_to_exitcode(status)
        time.sleep(0.02)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return None


def score(root: Path, module: Path, tests: Sequence[Sequence[str]], every: int, say: Callable[[str], None]) -> Score:
    """Run every nth mutant of a module and return how many were tried and which survived.

    Raises:
        RuntimeError: where the tests do not pass on the unchanged module.
    """
    file = root / module
    source = file.read_text(encoding="utf-8")
    stages: list[tuple[Sequence[str], float]] = []
    for some in filter(None, tests):
        began = time.monotonic()
        if forked(lambda some=some: _child(root, module, some), 3600) != PASSED:  # type: ignore[misc]
            raise RuntimeError(f"{module}: its tests do not pass as it is")
        stages.append((some, 10 + SLOWER * (time.monotonic() - began)))
    chosen = list(mutants(source))[::every]
    survivors = []
    sys.dont_write_bytecode = True
    for one in chosen:
        for stale in (file.parent / "__pycache__").glob(f"{file.stem}.*"):
            stale.unlink()
        file.write_text(one.source, encoding="utf-8")
        if all(
            forked(lambda some=some: _child(root, module, some), seconds) == PASSED  # type: ignore[misc]
            for some, seconds in stages
        ):
            survivors.append(one)
            say(f"{module}:{one.line}: {one.words}")
    file.write_text(source, encoding="utf-8")
    sys.dont_write_bytecode = False
    return Score(len(chosen), tuple(survivors))


def main(words: Sequence[str] | None = None) -> int:
    """Run the command and return its exit status: 0, or 2 where the tests fail before anything is changed."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.mutate", description=(__doc__ or "").split("\n")[0])
    parser.add_argument("modules", nargs="+", type=Path, help="modules, as paths from the top of the tree")
    parser.add_argument("--tests", action="append", default=[], help="folder or file to run instead of these")
    parser.add_argument("--every", type=int, default=1, help="try only every nth mutant")
    given = parser.parse_args(words)

    def say(text: str) -> None:
        print(text, flush=True)

    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder).resolve()
        for name in COPIED:
            _copy(HOME / name, root / name)
        os.chdir(root)
        sys.path[:] = [str(root), *(entry for entry in sys.path if Path(entry).resolve() != HOME)]
        for name in [name for name in sys.modules if name.partition(".")[0] in ("settingslint", "tests")]:
            del sys.modules[name]  # what was imported on the way here is not the copy
        _import_libraries()
        tried = killed = 0
        for module in given.modules:
            module = module.resolve().relative_to(HOME) if module.is_absolute() else module
            try:
                found = score(root, module, what_runs(root, module, given.tests), given.every, say)
            except RuntimeError as error:
                print(error, file=sys.stderr)
                return 2
            tried += found.tried
            killed += found.tried - len(found.survivors)
            say(f"{module}: {found.tried - len(found.survivors)} of {found.tried} noticed")
        sample = "" if given.every == 1 else f" (every {given.every}th mutant)"
        say(f"noticed {killed} of {tried}{sample}: {100 * killed / max(1, tried):.1f} %")
    return 0


def _copy(old: Path, new: Path) -> None:
    if old.is_dir():
        shutil.copytree(old, new, ignore=shutil.ignore_patterns("__pycache__"))
    elif old.exists():
        shutil.copy(old, new)


def _import_libraries() -> None:
    for name in LIBRARIES:
        try:
            importlib.import_module(name)
        except ImportError:
            continue
    from hypothesis import Phase, settings

    settings.register_profile(
        "mutation", phases=(Phase.explicit, Phase.generate), database=None, derandomize=True, deadline=None
    )
    settings.load_profile("mutation")


if __name__ == "__main__":
    sys.exit(main())
