"""A point of temperature and a difference do not mix: mypy refuses it, so that a difference can't get the 32."""

from __future__ import annotations

from pathlib import Path

import pytest
from mypy import api

HEAD = """
from settingslint.units import Celsius, Kelvin, between, celsius, kelvin, shifted
supply, drop = celsius(140.0), kelvin(20.0)
"""

MIXED = {
    "a difference for a point": "shifted(drop, drop)",
    "a point for a difference": "shifted(supply, supply)",
    "a number without a unit": "shifted(supply, 20.0)",
    "a difference of differences": "between(drop, supply)",
    "a difference kept as a point": "point: Celsius = kelvin(20.0)",
    "a point kept as a difference": "difference: Kelvin = celsius(140.0)",
    "two points make a difference": "sum_: Celsius = between(supply, supply)",
}
RIGHT = """
returning: Celsius = shifted(supply, Kelvin(-drop))
distance: Kelvin = between(supply, returning)
number: float = drop
"""


def mypy(text: str, folder: Path, head: str = HEAD) -> tuple[str, int]:
    root = Path(__file__).parents[1]
    file = folder / "snippet.py"
    file.write_text(head + text)
    options = ["--strict", "--no-error-summary", "--cache-dir", str(folder / "cache"), "--config-file", ""]
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("MYPYPATH", str(root))
        out, err, status = api.run([*options, str(file)])
    assert not err
    return out, status


def test_each_mixture_is_an_error_and_right_use_is_none(tmp_path: Path) -> None:
    out, status = mypy("\n".join(MIXED.values()) + RIGHT, tmp_path)
    wrong = {int(line.split(":")[1]) for line in out.splitlines() if ": error:" in line}
    first = HEAD.count("\n") + 1
    assert status == 1
    assert wrong == set(range(first, first + len(MIXED))), out
    assert all("[arg-type]" in line or "[assignment]" in line for line in out.splitlines() if ": error:" in line), out
