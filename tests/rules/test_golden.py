"""Whole profiles and what is said of them, word for word: the example portfolio beside files of expected findings.

`python -m tests.rules.test_golden` writes the expected files anew; read the difference before it is committed.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Final

import pytest

from settingslint.checking.check import check

HOME: Final = Path(__file__).parents[2] / "profiles"
EXPECTED: Final = Path(__file__).parent / "golden"
AS_OF: Final = date(2026, 11, 25)


def said() -> dict[str, str]:
    """Return what is said of each plant of the example, by the name of its expected file."""
    texts = {}
    for result in check([HOME], AS_OF).results:
        site, plant = result.path.removesuffix(".toml").split("/")[-2:]
        lines = []
        for one in result.findings:
            place = f"{one.line}:{one.column} {one.at}"
            lines.append(f"{place}: {one.severity.value} {one.certainty.value} {one.rule}: {one.message}")
            if one.accepted is not None:
                lines.append(f"    accepted until {one.accepted['until']}")
            if one.remedy is not None:
                lines.append(f"    way out: {one.remedy.text} [tried: {one.remedy.verified}]")
        lines += [f"not checked: {lack.rule}: needs {', '.join(lack.needs)}" for lack in result.not_checked]
        texts[f"{site}-{plant}.txt"] = "\n".join(lines) + "\n"
    return texts


@pytest.fixture(scope="module")
def texts() -> dict[str, str]:
    return said()


def test_the_same_plants(texts: dict[str, str]) -> None:
    assert sorted(file.name for file in EXPECTED.iterdir()) == sorted(texts)


@pytest.mark.parametrize("name", sorted(file.name for file in EXPECTED.glob("*.txt")))
def test_word_for_word(name: str, texts: dict[str, str]) -> None:
    assert texts.get(name) == (EXPECTED / name).read_text(encoding="utf-8")


if __name__ == "__main__":
    EXPECTED.mkdir(exist_ok=True)
    for old in EXPECTED.iterdir():
        old.unlink()
    for file, text in said().items():
        (EXPECTED / file).write_text(text, encoding="utf-8", newline="\n")
