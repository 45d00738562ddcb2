"""A part of a portfolio: the result for a plant is the same whichever way it was asked for."""

from __future__ import annotations

import random
import shutil
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Final

import pytest

from settingslint.checking.audit import Result
from settingslint.checking.check import check
from settingslint.checking.report import Report
from settingslint.files.finding import profile_files
from settingslint.rules import all_rules

HOME: Final = Path(__file__).parents[2] / "profiles"
AS_OF: Final = date(2026, 11, 25)
WHOLE: Final = frozenset(rule.name for rule in all_rules() if rule.scope == "portfolio")


@pytest.fixture(scope="module")
def whole() -> Report:
    return check([HOME], AS_OF)


def comparable(result: Result) -> Result:
    """Return a result without the rules about the whole portfolio, which a part can't be asked."""
    findings = tuple(one for one in result.findings if one.rule not in WHOLE)
    lacks = tuple(one for one in result.not_checked if one.rule not in WHOLE)
    codes = bytes(
        0 if rule in WHOLE else code for rule, code in zip(result.coverage.rules, result.coverage.codes, strict=True)
    )
    return replace(result, findings=findings, not_checked=lacks, coverage=replace(result.coverage, codes=codes))


def same(whole: Report, paths: Sequence[Path]) -> list[Result]:
    """Check some paths, and that each plant's result is that of the whole check; return the results."""
    results = check(paths, AS_OF).results
    by_path = {result.path: comparable(result) for result in whole.results}
    for result in results:
        assert comparable(result) == by_path[result.path]
    return list(results)


@pytest.mark.parametrize("file", profile_files(HOME), ids=lambda file: file.relative_to(HOME).as_posix())
def test_each_plant_alone(whole: Report, file: Path) -> None:
    assert len(same(whole, [file])) == 1


@pytest.mark.parametrize("seed", range(8))
def test_some_plants_together(whole: Report, seed: int) -> None:
    chosen = random.Random(seed).sample(profile_files(HOME), 5)
    assert len(same(whole, chosen)) == 5


@pytest.mark.parametrize("folder", sorted(HOME.glob("sites/*")), ids=lambda folder: folder.name)
def test_each_site(whole: Report, folder: Path) -> None:
    same(whole, [folder])


def test_rules_about_the_portfolio_are_not_checked_in_a_part(whole: Report) -> None:
    (result,) = check([profile_files(HOME)[0]], AS_OF).results
    lacks = {one.rule: one for one in result.not_checked if one.rule in WHOLE}
    assert lacks.keys() == WHOLE
    assert {one.needs for one in lacks.values()} == {("portfolio",)}
    assert not WHOLE & set(result.checked)
    assert all(not one.not_checked or "portfolio" not in one.not_checked[0].needs for one in whole.results)


@pytest.fixture
def estate(tmp_path: Path) -> Path:
    shutil.copytree(HOME, tmp_path / "estate")
    return tmp_path / "estate"


def group_of(estate: Path) -> list[Path]:
    """Return the profiles of a site whose boilers form a group."""
    files = [file for file in profile_files(estate) if "group = " in file.read_text(encoding="utf-8")]
    folder = files[0].parent
    own = [file for file in files if file.parent == folder]
    assert len(own) > 1
    return own


GROUP: Final = frozenset(rule.name for rule in all_rules() if rule.scope in ("group", "site"))


def test_a_member_in_another_folder_is_seen(estate: Path) -> None:
    first, *others = group_of(estate)
    for other in others:
        (estate / "sites" / "elsewhere").mkdir(exist_ok=True)
        other.rename(estate / "sites" / "elsewhere" / other.name)
    (alone,) = same(check([estate], AS_OF), [first])
    assert "twins-not-alike" in {one.rule for one in alone.findings}


@pytest.mark.parametrize("ask_for_all", [False, True])
def test_where_a_member_can_not_be_read_its_group_is_not_judged(estate: Path, ask_for_all: bool) -> None:
    first, *others = group_of(estate)
    others[0].write_text(others[0].read_text(encoding="utf-8") + "\nnot toml", encoding="utf-8")
    report = check([estate] if ask_for_all else [first], AS_OF)
    result = next(one for one in report.results if one.path.endswith(first.relative_to(estate).as_posix()))
    assert not [one for one in result.findings if one.rule in GROUP]
    lacks = {one.rule: one for one in result.not_checked}
    assert lacks.keys() >= GROUP and others[0].name in lacks["two-leaders"].why
    assert not GROUP & set(result.checked)


def test_a_name_with_escapes_is_the_same_site(estate: Path) -> None:
    first, *others = group_of(estate)
    before = check([first], AS_OF).results[0]
    site = before.site
    for other in others:
        text = other.read_text(encoding="utf-8")
        assert f'site = "{site}"' in text
        spelt = "".join(f"\\u{ord(letter):04x}" for letter in site)
        other.write_text(text.replace(f'site = "{site}"', f'site = "{spelt}"'), encoding="utf-8")
    assert check([first], AS_OF).results[0].coverage == before.coverage
