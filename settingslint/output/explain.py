"""What `explain` prints and the rules chapter of the documentation holds: both come from the rules themselves."""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from importlib import import_module

from settingslint.model.values import title_of
from settingslint.output.plain import wrapped
from settingslint.plain import Plain, as_laid_out, in_lines
from settingslint.rules import all_rules, by_group
from settingslint.rules.base import Threshold
from settingslint.rules.examples import as_toml, passing, tripping
from settingslint.rules.rule import Rule
from settingslint.sheets.give import PLANT
from settingslint.units import Kind, unit_name, written
from settingslint.vocabulary.cautions import CAUTIONS, FRAME
from settingslint.vocabulary.facts import FACTS
from settingslint.vocabulary.settings import SETTINGS


def nearest(name: str) -> str:
    """Return a hint at the rule with the nearest name, or nothing."""
    near = difflib.get_close_matches(name, [rule.name for rule in all_rules()], n=1, cutoff=0.6)
    return f"; did you mean {near[0]}?" if near else ""


def _needs(rule: Rule) -> str:
    return ", ".join([*rule.only_if, *rule.needs]) or "nothing beyond the settings it speaks of"


def listed(width: int) -> Plain:
    """Return all rules by group with severity and what they need."""
    lines: list[str] = []
    for group, rules in by_group().items():
        lines.append(f"{import_module(f'settingslint.rules.{group}').TITLE} ({len(rules)})")
        for rule in rules:
            lines.append(f"  {rule.name}: {rule.severity.value}, {rule.certainty.value} at best")
            lines.append(wrapped(rule.title, width, "    ", ""))
            lines.append(wrapped(f"needs {_needs(rule)}", width, "    "))
        lines.append("")
    lines.append(f"{len(all_rules())} rules. settingslint explain RULE tells more of one.")
    return in_lines(lines)


def named(name: str) -> str:
    """Return one line on a setting, a fact or a name of `[plant]`: its unit, or the words that it can be.

    >>> named("tank_setpoint"), named("hot_water.kind")
    ('tank_setpoint: tank set point (F or C)', 'hot_water.kind: what makes the hot water (none, tank, plate, separate)')
    """
    row = SETTINGS.get(name) or FACTS.get(name)
    if row is None:
        return name
    units = dict.fromkeys(filter(None, (unit_name(row.kind, "us"), unit_name(row.kind, "metric"))))
    plain = {Kind.FLAG: "yes or no", Kind.DATE: "a date", Kind.FAN_SPEED: "as the control counts it"}
    what = ", ".join(row.words) or " or ".join(units) or plain.get(row.kind, "")
    return f"{name}: {row.title}" + (f" ({what})" if what else "")


def cautions(width: int) -> Plain:
    """Return every caution in full."""
    lines: list[str] = []
    for one in CAUTIONS.values():
        lines += [wrapped(f"{one.title}: {one.short}", width, "", ""), wrapped(one.long, width, "  ", ""), ""]
    return in_lines([*lines, wrapped(FRAME, width, "", "")])


def names(width: int) -> Plain:
    """Return every name that a column of a spreadsheet or a list of readings can have, with units and words."""
    groups = {"of the plant": [f"plant.{name}" for name in PLANT], "facts": FACTS, "settings": SETTINGS}
    lines: list[str] = []
    for title, group in groups.items():
        lines += [title, *(wrapped(named(name), width, "  ") for name in group), ""]
    return in_lines(lines[:-1])


def explained(rule: Rule, width: int) -> Plain:
    """Return everything about one rule."""
    return in_lines(_lines(rule, width))


CHAPTER = """# The rules

Written by `settingslint explain --form markdown`; a test fails when it is stale. {count} rules in {groups} groups.
*Needs* names what has to be recorded beside the settings that the rule speaks of; what is missing makes it
*not checked*. An example is a change to a correctly set plant.
"""


def chapter() -> Plain:
    """Return all rules as the chapter of the documentation, Markdown."""
    lines = [CHAPTER.format(count=len(all_rules()), groups=len(by_group()))]
    for group, rules in by_group().items():
        lines += [f"## {import_module(f'settingslint.rules.{group}').TITLE.capitalize()}", ""]
        for rule in rules:
            lines += [*_section(rule), ""]
    return as_laid_out("\n".join(lines).rstrip() + "\n")


def _section(rule: Rule) -> Iterator[str]:
    yield f"### {rule.name}"
    yield ""
    yield f"*{rule.severity.value}, {rule.certainty.value} at best.* {rule.title}"
    yield ""
    for paragraph in rule.doc.split("\n\n")[1:]:
        yield from (paragraph, "")
    for heading, example in _examples(rule):
        yield from (heading, "", "```toml", example, "```", "")
    facts = ", ".join(f"`{name}`" for name in [*rule.only_if, *rule.needs])
    yield f"- needs: {facts or 'nothing else'}"
    if rule.assumes:
        yield f"- assumes: {'; '.join(rule.assumes)}"
    for line in _thumbs(rule):
        yield f"- {line}"
    yield f"- source: {'; '.join(rule.source)}"
    yield f"- caution: {', '.join(CAUTIONS[name].title.lower() for name in rule.cautions)}"


def _examples(rule: Rule) -> Iterator[tuple[str, str]]:
    """Yield the rule's two examples, each with its heading."""
    if rule.trips:
        for word, example, history in zip(
            ("Trips", "Passes"), (tripping(rule), passing(rule)), rule.history, strict=True
        ):
            yield f"{word} (with a history {history}):" if history else f"{word}:", as_toml(example)


def _thumbs(rule: Rule) -> Iterator[str]:
    for threshold in rule.thresholds:
        yield (
            f"rule of thumb: {threshold.name} = {_both(threshold, threshold.value)}: {threshold.means}"
            f" ({threshold.origin}); an owner can set it in portfolio.toml, from {_both(threshold, threshold.low)}"
            f" to {_both(threshold, threshold.high)} ({threshold.reason})"
        )


def _both(threshold: Threshold, value: float) -> str:
    """Return a number in both unit systems."""
    return " or ".join(dict.fromkeys(written(value, threshold.kind, system, 2) for system in ("us", "metric")))


def _lines(rule: Rule, width: int) -> Iterator[str]:
    yield f"{rule.name}: {rule.severity.value}, {rule.certainty.value} at best"
    yield ""
    for paragraph in rule.doc.split("\n\n"):
        yield wrapped(" ".join(paragraph.split()), width, "", "")
        yield ""
    for heading, example in _examples(rule):
        yield from (heading, *(f"    {line}" for line in example.splitlines()))
    if rule.trips:
        yield ""
    if rule.only_if:
        conditions = "; ".join(
            f"{title_of(name)} is {' or '.join(str(value) for value in values)}"
            for name, values in rule.only_if.items()
        )
        yield wrapped(f"applies where: {conditions}", width, "")
    needs = ", ".join(f"{title_of(name)} ({name})" for name in rule.needs) or "nothing beyond what it speaks of"
    yield wrapped(f"needs: {needs}", width, "")
    if rule.assumes:
        yield wrapped(f"assumes: {'; '.join(rule.assumes)}", width, "")
    for line in _thumbs(rule):
        yield wrapped(line, width, "")
    for source in rule.source:
        yield wrapped(f"source: {source}", width, "")
    for name in rule.cautions:
        yield wrapped(f"caution: {CAUTIONS[name].short}", width, "")
    yield ""
    for name in rule.cautions:
        yield wrapped(f"{CAUTIONS[name].title}: {CAUTIONS[name].long}", width, "", "")
