"""`check --form markdown`: a comment for a review, new findings first and no longer than a comment may be."""

from __future__ import annotations

import re
from typing import Final

from settingslint.checking.audit import Result
from settingslint.checking.questions import FIRST_VIEW, questions
from settingslint.checking.report import Report
from settingslint.checking.weakening import TITLE as WEAKER
from settingslint.output import Look
from settingslint.output.data import totals
from settingslint.output.owner import TITLE, accepted_words, owner_words
from settingslint.output.plain import plural
from settingslint.output.questions import MORE, NEXT, about
from settingslint.plain import Plain, as_laid_out, in_lines, plain
from settingslint.rules.base import Certainty, Finding
from settingslint.vocabulary.cautions import CAUTIONS, FRAME

MOST_CHARACTERS: Final = 60_000
_SPECIAL: Final = re.compile(r"([\\`*_{}\[\]()#+!|<>~&:])")


def escaped(text: str) -> str:
    r"""Return untrusted text so that Markdown shows it as it is.

    >>> escaped("[x](y) <b> @all")
    '\\[x\\]\\(y\\) \\<b\\> @ all'
    """
    return _SPECIAL.sub(r"\\\1", plain(text)).replace("@", "@ ").replace("www.", "www\\.")


Part = tuple[str, float, list[str]]
"""Title, the share of what room is left that it may take, and its items."""


def _item(result: Result, finding: Finding) -> Plain:
    place = escaped(f"{finding.file}:{finding.line}")
    certainty = "" if finding.certainty is Certainty.PROVEN else f" ({finding.certainty.value})"
    lines = [f"- **{finding.severity.value}**{certainty} {escaped(finding.message)} ({place}, {finding.rule})"]
    if finding.accepted is not None:
        lines.append(f"  - {escaped(accepted_words(finding.accepted))}")
    if finding.remedy is not None:
        lines.append(f"  - way out: {escaped(finding.remedy.text)}")
    lines += [f"  - caution: {escaped(CAUTIONS[name].short)}" for name in finding.cautions]
    return as_laid_out("\n".join(map(plain, lines)))


def render(report: Report, look: Look) -> Plain:
    """Return the report as Markdown."""
    counts = totals(report)
    found = ", ".join(f"{count} {name}" for name, count in counts["findings"].items())
    head = [
        f"## Boiler settings: {escaped(report.portfolio.name)}",
        "",
        f"{plural(counts['plants'], 'plant')}: {found}; {counts['accepted']} accepted; "
        f"{plural(counts['checked'], 'check')} made, {counts['assumed']} with assumptions, "
        f"**{counts['not_checked']} not made**, {counts['not_applicable']} do not apply; "
        f"{plural(counts['problems'], 'unreadable place')}.",
        "",
    ]
    if report.history:
        head += [f"**{escaped(report.history)}**", ""]
    pairs = [(result, finding) for result in report.results for finding in result.findings]
    pairs.sort(key=lambda pair: (pair[1].severity.rank, pair[1].file, pair[1].line, pair[1].column, pair[1].rule))
    new = [p for p in pairs if not report.is_known(*p)]
    old = len(pairs) - len(new)
    parts: list[Part] = [(WEAKER, 0.3, [f"- {escaped(one.said)}" for one in report.weakened])]
    parts.append((TITLE, 0.3, [f"- {escaped(word.line)}" for word in owner_words(report)]))
    if report.problems:
        parts.append((
            "Unreadable",
            0.3,
            [f"- {escaped(f'{one.file}:{one.line}:{one.column}: {one.message}')}" for one in report.problems],
        ))  # fmt: skip
    title = "Findings" if report.known is None else f"New since {escaped(report.known_from)}"
    parts.append((title, 0.8, [_item(*pair) for pair in new if pair[1].accepted is None] or ["none under these rules"]))
    parts.append(("Accepted risks", 0.6, [_item(*pair) for pair in new if pair[1].accepted is not None]))
    asked = questions(report.results)
    first = [f"- {escaped(one.text)} {escaped(about(one))}" for one in asked[:FIRST_VIEW]]
    more = [f"- and {len(asked) - FIRST_VIEW} more: `{MORE}`"] if len(asked) > FIRST_VIEW else []
    parts.append((NEXT, 1.0, [*first, *more]))
    tail = ["", f"{plural(old, 'finding')} from before, not listed.", ""] if old else [""]
    tail += [f"*{escaped(FRAME)}*", ""]
    return _bounded(head, parts, tail)


def _bounded(head: list[str], parts: list[Part], tail: list[str]) -> Plain:
    """Return it all, leaving out what is too much and saying how much that is."""
    lines = list(head)
    left = MOST_CHARACTERS - sum(len(line) + 1 for line in [*head, *tail]) - 600
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
    return in_lines([*lines, *tail[:-1]])
