"""`--form text`: the whole of it as a person reads it, kept beside this test. `python -m tests.output.test_text`
writes it anew; the difference is then read before it is committed.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Final

import pytest

from settingslint.checking.audit import audit
from settingslint.checking.report import Report, key_of
from settingslint.output import Look, render
from settingslint.rules import all_rules
from tests.output.reports import HOSTILE, hostile, ordinary
from tests.rules.kit import make_plant

GOLDEN = Path(__file__).parent / "golden"
GNU = re.compile(
    r"(?P<file>[^:]+):(?P<line>\d+):(?P<column>\d+): (?P<severity>\w+)( \(\w+\))?: .+ \[(?P<rule>[\w-]+)\]"
)
"""GNU coding standards, "Formatting Error Messages": sourcefile:lineno:column: message."""


def compared() -> Report:
    """Return a report beside an earlier revision."""
    plain = ordinary()
    known = frozenset(key_of(result, result.findings[0]) for result in plain.results)
    return Report(plain.portfolio, plain.results, (), plain.rules, known, "HEAD~3")


FILES: Final[dict[str, Callable[[], str]]] = {
    "ordinary.txt": lambda: render("text", ordinary(), Look(72)),
    "compared.txt": lambda: render("text", compared(), Look(100)),
}


@pytest.mark.parametrize("name", FILES)
def test_golden(name: str) -> None:
    assert FILES[name]() == (GOLDEN / name).read_text(encoding="utf-8")


def test_findings_have_the_gnu_form() -> None:
    lines = [line for line in render("text", ordinary(), Look(full=True)).splitlines() if line.endswith("]")]
    assert len(lines) == 6
    assert all(GNU.fullmatch(line) for line in lines)


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_moves_no_cursor_and_makes_no_line(text: str) -> None:
    out, plain = (render("text", hostile(one), Look(10**6)) for one in (text, "plain"))
    out.encode("utf-8")
    assert all(char == "\n" or char.isprintable() for char in out)
    assert out.count("\n") == plain.count("\n")


def test_colour_is_never_the_only_carrier() -> None:
    coloured = render("text", ordinary(), Look(72, True))
    assert "\x1b[" in coloured
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == render("text", ordinary(), Look(72))


def poor() -> Report:
    """Return a report on a plant of which next to nothing is recorded."""
    plant = make_plant(drop=["emitter", "building", "hot_water", "water", "boiler", "accessories", "piping",
                             "settings.heating_setpoint"])  # fmt: skip
    result = audit(plant, all_rules(), assume=False)
    return Report(ordinary().portfolio, (result,), (), all_rules())


def test_much_that_was_not_checked_is_counted_and_how_to_see_it_is_said() -> None:
    report = poor()
    (result,) = report.results
    lines = render("text", report, Look(10**6, full=True)).splitlines()
    assert "    --not-checked names each rule that was not checked and says why" in lines
    assert any(f", {len(result.not_checked)} not checked, " in line for line in lines)
    assert len(result.not_checked) > 50


def test_every_rule_that_was_not_checked_is_named_where_that_is_asked_for() -> None:
    report = poor()
    text = " ".join(render("text", report, Look(10**6, every=True)).split())
    for lack in report.results[0].not_checked:
        assert re.search(rf"not checked: needs {re.escape(' and '.join(lack.needs))}: [^:]*\b{lack.rule}\b", text)
    assert "--not-checked" not in text


if __name__ == "__main__":
    for file, make in FILES.items():
        (GOLDEN / file).write_text(make(), encoding="utf-8", newline="\n")
