"""`explain`: every rule is told in full, and the chapter in the documentation is the rules' own text."""

from __future__ import annotations

from pathlib import Path

import pytest
from markdown_it import MarkdownIt
from typer.testing import CliRunner

import settingslint
from settingslint.cli import app
from settingslint.output.explain import chapter, explained, listed
from settingslint.rules import GROUPS, all_rules
from settingslint.rules.rule import Rule
from settingslint.vocabulary.cautions import CAUTIONS, FRAME

CHAPTER = Path(settingslint.__file__).parent / "rules" / "README.md"


def test_the_chapter_is_not_stale() -> None:
    assert CHAPTER.read_text(encoding="utf-8") == chapter(), "settingslint explain --form markdown --to " + str(CHAPTER)


def test_the_chapter_is_markdown_with_every_rule_and_closed_fences() -> None:
    tokens = MarkdownIt().parse(chapter())
    heads = [tokens[i + 1].content for i, one in enumerate(tokens) if one.type == "heading_open" and one.tag == "h3"]
    assert heads == [rule.name for rule in all_rules()]
    fences = [one for one in tokens if one.type == "fence"]
    assert {one.info for one in fences} == {"toml"}
    assert all("###" not in one.content for one in fences)


@pytest.mark.parametrize("rule", all_rules(), ids=lambda rule: rule.name)
def test_one_rule_is_told_in_full(rule: Rule) -> None:
    text = explained(rule, 80)
    flat = " ".join(text.split())
    assert rule.title in flat
    for name in rule.needs:
        assert name in flat
    for caution in rule.cautions:
        assert CAUTIONS[caution].short in flat
    for source in rule.source:
        assert " ".join(source.split()) in flat
    for threshold in rule.thresholds:
        assert threshold.name in text
    assert all(len(line) <= 80 or line.startswith("    ") for line in text.splitlines())


def test_examples_with_a_history_stand_on_lines_of_their_own_below_their_headings() -> None:
    rule = next(rule for rule in all_rules() if rule.name == "as-found-differs")
    text = explained(rule, 80)
    example = "\n    [settings]\n    heating_setpoint = 164\n"
    assert f"\nTrips (with a history in which the set point was found changed):{example}" in text
    assert f"\nPasses (with a history in which nothing was found changed):{example}" in text


def test_the_list_has_every_rule_in_its_group() -> None:
    text = listed(80)
    assert all(f"  {rule.name}: {rule.severity.value}" in text for rule in all_rules())
    assert len([line for line in text.splitlines() if line and not line.startswith(" ")]) == len(GROUPS) + 1


def test_at_least_a_hundred_and_ten_rules_in_twelve_groups() -> None:
    assert len(all_rules()) >= 110
    assert len(GROUPS) == 12
    assert len({rule.name for rule in all_rules()}) == len(all_rules())


def test_wrong_use() -> None:
    run = CliRunner()
    unknown = run.invoke(app(), ["explain", "reset-endpoint-above"])
    assert unknown.exit_code == 2
    assert "did you mean reset-endpoint-above-setpoint?" in unknown.output
    assert run.invoke(app(), ["explain", "--form", "html"]).exit_code == 2
    assert run.invoke(app(), ["explain", "keep-warm-with-tank", "--form", "markdown"]).exit_code == 2


def test_all_cautions_in_full() -> None:
    done = CliRunner().invoke(app(), ["explain", "--cautions"])
    flat = " ".join(done.output.split())
    assert done.exit_code == 0
    for caution in CAUTIONS.values():
        assert f"{caution.title}: {' '.join(caution.short.split())}" in flat and " ".join(caution.long.split()) in flat
    assert " ".join(FRAME.split()) in flat
    assert CliRunner().invoke(app(), ["explain", "--cautions", "--names"]).exit_code == 2
