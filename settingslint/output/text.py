"""`check --form text`: a line for each finding that editors understand, with proof, way out and caution below it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Final

from settingslint.checking.assuming import row_name
from settingslint.checking.audit import Result
from settingslint.checking.questions import questions
from settingslint.checking.report import Report, covered
from settingslint.model.bounds import NOT_PLAUSIBLE
from settingslint.model.effect import NOT_RECORDED
from settingslint.model.values import show_value, title_of
from settingslint.output import Look
from settingslint.output.data import farewells, totals
from settingslint.output.owner import owner_words
from settingslint.output.plain import plural, wrapped
from settingslint.output.questions import MORE, NEXT, lines, of_one
from settingslint.plain import Plain, in_lines, plain, together
from settingslint.plain import painted as in_colour
from settingslint.rules.base import Finding, NotChecked, Severity
from settingslint.units import System, show
from settingslint.vocabulary.cautions import CAUTIONS, FRAME
from settingslint.vocabulary.settings import SETTINGS

_COLOURS: Final = {
    Severity.DANGER: "1;35", Severity.DAMAGE: "1;34", Severity.OUTAGE: "1;36", Severity.WASTE: "36",
    Severity.RECORD: "2",
}  # fmt: skip
"""On a terminal only, and the word stands there too."""

ASK_NEXT: Final = 3
"""So many questions end a check."""
MOST_NEEDS: Final = 12
"""So many things that are missing at one plant are told with the rules that need them; more are only counted."""
EVERY: Final = "--not-checked"
"""The option of `check` that tells them all."""


def painted(severity: Severity, look: Look) -> Plain:
    """Return the word of a severity, coloured on a terminal."""
    return in_colour(severity.value, _COLOURS[severity]) if look.colour else plain(severity.value)


def _numbers(finding: Finding, system: System) -> str:
    return ", ".join(
        f"{name} {show(quantity.value, quantity.kind, system, quantity.unit)}"
        for name, quantity in finding.numbers.items()
    )


def finding_lines(finding: Finding, system: System, look: Look) -> Iterator[str]:
    """Yield the lines of one finding."""
    word = painted(finding.severity, look)
    certainty = "" if finding.certainty.value == "proven" else f" ({finding.certainty.value})"
    place = f"{finding.file}:{finding.line}:{finding.column}: "
    yield together(place, word, f"{certainty}: {finding.message} [{finding.rule}]")
    width, indent = look.width, "    "
    if finding.accepted is not None:
        because, by, until = (finding.accepted[key] for key in ("because", "by", "until"))
        yield wrapped(f"accepted by {by or 'nobody named'} until {until or 'no date'}: {because}", width, indent)
    if finding.numbers:
        yield wrapped(f"proof: {_numbers(finding, system)}", width, indent)
    if finding.at in SETTINGS and finding.typed is not None and finding.typed != finding.effective:
        kind = SETTINGS[finding.at].kind
        typed, effective = (show_value(one, kind, system) for one in (finding.typed, finding.effective))
        yield wrapped(f"{title_of(finding.at)}: asked for {typed}, effective {effective}", width, indent)
    if finding.remedy is not None:
        checked = {True: " (tried on a copy: the finding is gone)", False: " (not shown to clear it)"}
        extra = checked.get(finding.remedy.verified, "") if finding.remedy.verified is not None else ""
        yield wrapped(f"way out: {finding.remedy.text}{extra}", width, indent)
    for name in finding.cautions:
        yield wrapped(f"caution: {CAUTIONS[name].short}", width, indent)
    yield wrapped(f"source: {'; '.join(finding.sources)}", width, indent)


def lacking(result: Result) -> dict[str, list[NotChecked]]:
    """Return the rules that were not checked, by what they need first."""
    by_need: dict[str, list[NotChecked]] = {}
    for lack in result.not_checked:
        by_need.setdefault(" and ".join(lack.needs), []).append(lack)
    return dict(sorted(by_need.items(), key=lambda item: (-len(item[1]), item[0])))


def _tells_more(lack: NotChecked) -> bool:
    """Return whether the reason says more than that the setting or fact is not recorded."""
    if lack.kind == NOT_PLAUSIBLE:
        return True
    return bool(lack.why) and lack.needs[0] in SETTINGS and lack.kind != NOT_RECORDED


def coverage_lines(result: Result, look: Look) -> Iterator[str]:
    """Yield what was checked of one plant, what not and why, and what does not apply."""
    yield f"{result.path}: {result.plant}, {result.site}: {covered([result]).words}"
    by_need = lacking(result)
    if len(by_need) > MOST_NEEDS and not look.every:
        yield from _summed(result, look)
        return
    for needs, lacks in by_need.items():
        rules = ", ".join(lack.rule for lack in lacks)
        why = next((lack.why for lack in lacks if _tells_more(lack)), "")
        yield wrapped(f"not checked: needs {needs}: {rules}{f' ({why})' if why else ''}", look.width, "    ")


def _summed(result: Result, look: Look) -> Iterator[str]:
    """Yield everything that is missing at a plant, each with the number of rules that lack it."""
    yield f"    not checked: {plural(len(result.not_checked), 'rule')}; {EVERY} names each and says why"
    counts = Counter(row_name(name) for lack in result.not_checked for name in lack.needs)
    missing = sorted(counts.items(), key=lambda item: (-item[1], item[0]))
    for what, known in (("facts", False), ("settings", True)):
        names = ", ".join(f"{name} {count}" for name, count in missing if (name in SETTINGS) is known)
        if names:
            yield wrapped(f"{what} missing, with the number of rules that lack them: {names}", look.width, "    ")


def render(report: Report, look: Look) -> Plain:
    """Return the report as text."""
    return together(*pieces(report, look))


def pieces(report: Report, look: Look) -> Iterator[Plain]:
    """Yield the report as text: what the owner sets and accepts, then plant by plant."""
    words = [plain(word.line) for word in owner_words(report)]
    if words:
        yield in_lines([*words, ""])
    for result in report.results:
        system = result.summary.system
        lines: list[str] = []
        for finding in result.findings:
            if not report.is_known(result, finding):
                lines += finding_lines(finding, system, look)
        yield in_lines([*lines, *coverage_lines(result, look), ""])
    problems = [
        f"{problem.file}:{problem.line}:{problem.column}: unreadable: {problem.message}" for problem in report.problems
    ]
    if problems:
        yield in_lines([*problems, ""])
    yield in_lines([*summary_lines(report, look), wrapped(FRAME, look.width, "", "")])


def summary_lines(report: Report, look: Look) -> Iterator[str]:
    """Yield the counts, and the questions that matter most."""
    counts = totals(report)
    found = ", ".join(f"{count} {name}" for name, count in counts["findings"].items())
    plants = plural(counts["plants"], "plant")
    of = f" of {report.portfolio.name}" if report.portfolio.name else ""
    head = f"{plants}{of} as of {report.portfolio.context.as_of}: {found};"
    yield wrapped(head, look.width, "", "")
    made = (
        f"{counts['accepted']} accepted; {plural(counts['checked'], 'check')} made, {counts['assumed']} with"
        f" assumptions, {counts['not_checked']} not made, {counts['not_applicable']} do not apply;"
        f" {plural(counts['problems'], 'unreadable place')}."
    )
    yield wrapped(made, look.width, "", "")
    if report.known is not None:
        yield f"{plural(counts['known'], 'finding')} that {report.known_from} had already: not listed above."
    for _, line in farewells(report):
        yield wrapped(line, look.width, "")
    if report.history:
        yield wrapped(report.history, look.width, "", "")
    asked = questions(report.results)
    if asked:
        yield NEXT
        yield from lines(asked, look, ASK_NEXT, one_plant=of_one(asked))
        if len(asked) > ASK_NEXT:
            yield f"and {len(asked) - ASK_NEXT} more: {MORE}"
