"""`check --form markdown`: a comment for a review. Thirty lines say what to do first; the rest is folded away."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from settingslint.checking.audit import Result
from settingslint.checking.questions import questions
from settingslint.checking.report import Report
from settingslint.checking.weakening import TITLE as WEAKER
from settingslint.output import Look
from settingslint.output.data import totals
from settingslint.output.first_view import Shown, classes_of, grouped, places, shown
from settingslint.output.owner import DANGER, TITLE, accepted_words, owner_words
from settingslint.output.plain import plural
from settingslint.output.questions import MORE, NEXT, about
from settingslint.plain import Plain, as_laid_out, in_lines, plain
from settingslint.rules.base import Certainty, Finding, Severity
from settingslint.vocabulary.cautions import CAUTIONS, FRAME

MOST_LINES: Final = 30
"""Lines that are not folded."""
MOST_CHARACTERS: Final = 60_000
MOST_WORDS: Final = 8
MOST_FIRST: Final = 5
MOST_ASKED: Final = 3
BELOW: Final = "below"
DO_FIRST: Final = "Do first"
NONE: Final = "none under these rules"
_SPECIAL: Final = re.compile(r"([\\`*_{}\[\]()#+!|<>~&:])")


def escaped(text: str) -> str:
    r"""Return untrusted text so that Markdown shows it as it is.

    >>> escaped("[x](y) <b> @all")
    '\\[x\\]\\(y\\) \\<b\\> @ all'
    """
    return _SPECIAL.sub(r"\\\1", plain(text)).replace("@", "@ ").replace("www.", "www\\.")


@dataclass(frozen=True, slots=True)
class _Part:
    """Items under a title; `most` of them stand in front, and the first of them in any case."""

    title: str
    items: Sequence[str]
    most: int
    more: str = BELOW
    """Where the others are."""
    folds: bool = True
    """Whether all of it stands below where there is not room for it."""

    def lines(self, count: int) -> list[str]:
        """Return the part with so many items."""
        rest = len(self.items) - count
        more = [f"- and {rest:,} more: {self.more}"] if rest else []
        return [f"### {self.title}", *self.items[:count], *more, ""]


def render(report: Report, look: Look) -> Plain:
    """Return the report as Markdown."""
    every = shown(report)
    head, tail = _head(report, every), ["", f"*{escaped(FRAME)}*"]
    chosen = _chosen(_front(report, every), MOST_LINES - len(head) - len(tail))
    lines = [*head, *(line for part, count in chosen for line in part.lines(count))]
    lines += ["<details>", f"<summary>{plural(len(every), 'finding')} with fix and place</summary>", ""]
    rest = [(part.title, 0.3, part.items) for part, count in chosen if part.folds and count < len(part.items)]
    left = MOST_CHARACTERS - sum(len(line) + 1 for line in [*lines, *tail]) - 600
    return in_lines([*lines, *_bounded([*rest, *_folded(report, every)], left), "</details>", *tail])


def _front(report: Report, every: Sequence[Shown]) -> list[_Part]:
    """Return what stands in front; of what the owner sets and accepts, dangers come first."""
    words = sorted(owner_words(report), key=lambda word: word.what != DANGER)
    groups = grouped(one for one in every if not one.is_question)
    first = [_to_do(number, group) for number, group in enumerate(groups, 1)]
    parts = (
        _Part(WEAKER, [f"- {escaped(one.said)}" for one in report.weakened], 5),
        _Part(TITLE, [f"- {escaped(word.line)}" for word in words], MOST_WORDS),
        _Part(
            "Unreadable",
            [f"- {escaped(f'{one.file}:{one.line}:{one.column}: {one.message}')}" for one in report.problems],
            3,
        ),
        _Part(DO_FIRST, first or [f"- {NONE}"], MOST_FIRST, folds=False),
        _Part(
            NEXT,
            [f"- {escaped(one.text)} {escaped(about(one))}" for one in questions(report.results)],
            MOST_ASKED,
            f"`{MORE}`",
            folds=False,
        ),
    )
    return [part for part in parts if part.items]


def _folded(report: Report, every: Sequence[Shown]) -> list[tuple[str, float, Sequence[str]]]:
    """Return what is folded away: all findings, what is accepted, the cautions."""
    title = "Findings" if report.known is None else f"New since {escaped(report.known_from)}"
    accepted = [
        _item(result, one)
        for result in report.results
        for one in result.findings
        if one.accepted is not None and not report.is_known(result, one)
    ]
    return [
        (title, 0.8, [_item(one.result, one.finding, one.head.related) for one in every] or [NONE]),
        ("Accepted risks", 0.6, accepted),
        ("Cautions", 1.0, [f"- {CAUTIONS[name].title}: {CAUTIONS[name].short}" for name in classes_of(every)]),
    ]


def _head(report: Report, every: Sequence[Shown]) -> list[str]:
    counts = totals(report)
    found = dict.fromkeys(Severity, 0)
    for one in every:
        if not one.is_question:
            found[one.finding.severity] += 1
    words = [f"{count} {severity.value}" for severity, count in found.items()]
    words.append(f"{sum(one.is_question for one in every)} to ask about")
    known = f"; {plural(counts['known'], 'finding')} from before, not listed" if counts.get("known") else ""
    unread = f"; **{plural(counts['problems'], 'unreadable place')}**" if counts["problems"] else ""
    line = (
        f"{plural(counts['plants'], 'plant')}: {', '.join(words)}; {counts['accepted']} accepted{known}{unread};"
        f" {plural(counts['checked'], 'check')} made, {counts['assumed']} with assumptions,"
        f" **{counts['not_checked']:,} not made**, {counts['not_applicable']:,} do not apply."
    )
    history = [f"**{escaped(report.history)}**"] if report.history else []
    return [f"## Boiler settings: {escaped(report.portfolio.name)}", "", line, *history, ""]


def _chosen(parts: Sequence[_Part], room: int) -> list[tuple[_Part, int]]:
    """Return with each part how many of its items stand in front: one each, then what there is room for."""
    counts = [1 for _ in parts]

    def length() -> int:
        return sum(
            line.count("\n") + 1 for part, count in zip(parts, counts, strict=True) for line in part.lines(count)
        )

    grown = True
    while grown:
        grown = False
        for number, part in enumerate(parts):
            if counts[number] >= min(part.most, len(part.items)):
                continue
            counts[number] += 1
            if length() > room:
                counts[number] -= 1
            else:
                grown = True
    return list(zip(parts, counts, strict=True))


def _certainty(finding: Finding) -> str:
    return "" if finding.certainty is Certainty.PROVEN else f" ({finding.certainty.value})"


def _to_do(number: int, group: Sequence[Shown]) -> Plain:
    """Return what is to be done about one finding at one or several plants."""
    first = group[0]
    plants = len({one.result.path for one in group})
    count = f" at {plants} plants" if plants > 1 else ""
    words = escaped(f"{places(group)}: {first.finding.headline}")
    line = f"{number}. **{first.finding.severity.value}**{_certainty(first.finding)}{count}, {words}"
    fix = "; ".join(filter(None, (first.fix, f"who: {first.who}")))
    lines = [f"{line}\\", f"   fix: {escaped(fix)}"] if fix else [line]
    return as_laid_out("\n".join(map(plain, lines)))


def _item(result: Result, finding: Finding, others: Sequence[Finding] = ()) -> Plain:
    where = f"{escaped(f'{finding.file}:{finding.line}')}, {finding.rule}"
    severity = f"**{finding.severity.value}**{_certainty(finding)}"
    lines = [f"- {severity} {escaped(finding.headline)} ({where})"]
    if finding.question:
        lines.append(f"  - {escaped(finding.case)}: {escaped(finding.says)}")
    lines += [f"  - {escaped(remark)}" for remark in finding.remarks]
    if finding.accepted is not None:
        lines.append(f"  - {escaped(accepted_words(finding.accepted))}")
    if finding.remedy is not None:
        lines.append(f"  - fix: {escaped(finding.remedy.text)}")
    if others:
        lines.append(f"  - same cause: {', '.join(dict.fromkeys(one.rule for one in others))}")
    return as_laid_out("\n".join(map(plain, lines)))


def _bounded(parts: Sequence[tuple[str, float, Sequence[str]]], left: float) -> list[str]:
    """Return parts, leaving out what is too much and saying how much that is.

    Args:
        parts: each with its title, the share of what room is left that it may take, and its items.
        left: characters.
    """
    lines: list[str] = []
    for title, share, items in parts:
        if not items:
            continue
        lines += [f"### {title}", ""]
        room = left * share
        for index, item in enumerate(items):
            room -= len(item) + 1
            if room < 0:
                lines.append(f"- and {len(items) - index} more; `settingslint check` lists all")
                break
            lines.append(item)
            left -= len(item) + 1
        lines.append("")
    return lines
