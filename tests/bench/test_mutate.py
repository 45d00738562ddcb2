"""The mutants themselves: what is changed, one thing at a time, and what is left alone."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from settingslint.physics import reset
from tests.bench.mutate import FAILED, HOME, PASSED, forked, mutants, what_runs


@pytest.mark.parametrize(
    ("source", "expected"),
    [
        ("a < b", ["a <= b", "a >= b"]),
        ("a <= b", ["a < b", "a > b"]),
        ("a > b", ["a >= b", "a <= b"]),
        ("a >= b", ["a > b", "a < b"]),
        ("a == b", ["a != b"]),
        ("a is None", ["a is not None"]),
        ("a not in b", ["a in b"]),
        ("0 <= a < 2", ["0 < a < 2", "0 > a < 2", "0 <= a <= 2", "0 <= a >= 2", "1 <= a < 2", "0 <= a < 3"]),
        ("a + b", ["a - b"]),
        ("a * b / c", ["a * b * c", "a / b / c"]),
        ("a ** b", ["a * b"]),
        ("a // b % c", ["a // b * c", "a / b % c"]),
        ("a and b or c", ["(a and b) and c", "(a or b) or c"]),
        ("not a", ["a"]),
        ("-a", ["a"]),
        ("x = min(a, max(b, c))", ["x = max(a, max(b, c))", "x = min(a, min(b, c))"]),
        ("x = 2.0", ["x = 2.02"]),
        ("x = 0.0", ["x = 1.0"]),
        ("x = True", ["x = False"]),
        ("x = 7", ["x = 8"]),
        ("check(a)", ["pass"]),
        ("x = check(a)", []),
        ("if a:\n    b = c", ["if not a:\n    b = c"]),
        ("x = b if a else c", ["x = b if not a else c"]),
        ("x: Final[Literal[1]] = 'word'", []),
        ("@dataclass(frozen=True)\nclass A:\n    '''Words 1 < 2.'''", []),
        ("def f(a: int = 3) -> Literal[4]:\n    return a", ["def f(a: int = 4) -> Literal[4]:\n    return a"]),
        ("f'{a:.1f} {b}'", []),
    ],
)
def test_what_is_changed(source: str, expected: list[str]) -> None:
    found = [one.source for one in mutants(source)]
    assert sorted(found) == sorted(ast.unparse(ast.parse(one)) + "\n" for one in expected)


def test_every_mutant_of_a_real_module_is_another_program() -> None:
    source = Path(reset.__file__).read_text(encoding="utf-8")
    plain = ast.unparse(ast.parse(source)) + "\n"
    found = list(mutants(source))
    assert len(found) > 40
    assert len({one.source for one in found} | {plain}) == len(found) + 1
    for one in found:
        compile(one.source, "mutant", "exec")
        assert 0 < one.line <= source.count("\n")


def test_the_tests_that_name_a_module_come_first() -> None:
    module = Path("settingslint/physics/cooldown.py")
    near, far = what_runs(HOME, module, [])
    assert near == [module.as_posix(), "tests/physics/test_building_and_burner.py"]
    assert "tests/physics/test_water.py" in far
    climate = "settingslint/files/weather.py"
    assert what_runs(HOME, Path(climate), [])[0] == [climate, "tests/files/test_weather.py"]


@pytest.mark.parametrize("topic", ["freeze/protection", "record/several", "reset/line"])
def test_the_tests_of_a_rule_are_found_by_its_path(topic: str) -> None:
    """Not those of another group's module of that name."""
    group, name = topic.split("/")
    module = Path(f"settingslint/rules/{topic}.py")
    near, far = what_runs(HOME, module, [])
    assert near == [module.as_posix(), f"tests/rules/{group}/test_{name}.py"]
    assert {"tests/rules/test_every_rule.py", "tests/rules/cascade/test_several.py"} - set(near) <= {*far}


def test_a_child_is_judged_by_its_status_and_its_time() -> None:
    def endless() -> int:
        while True:
            pass

    def broken() -> int:
        raise ValueError

    assert forked(lambda: PASSED, 10) == PASSED
    assert forked(lambda: 3, 10) == 3
    assert forked(broken, 10) == FAILED
    assert forked(endless, 0.1) is None
