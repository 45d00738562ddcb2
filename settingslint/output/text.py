"""`check --form text`: the first view, and with `--full` everything; each finding's first line is one editors know."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from settingslint.checking.audit import Result
from settingslint.checking.questions import questions
from settingslint.checking.report import Report, covered
from settingslint.checking.weakening import WEAKENED
from settingslint.model.bounds import NOT_PLAUSIBLE
from settingslint.model.effect import NOT_RECORDED
from settingslint.model.values import show_value, title_of
from settingslint.output import Look
from settingslint.output.data import totals
from settingslint.output.first_view import Shown, classes_of, grouped, places, shown
from settingslint.output.owner import accepted_words, owner_words
from settingslint.output.plain import plural, wrapped
from settingslint.output.questions import MORE, NEXT, of_one
from settingslint.output.questions import lines as question_lines
from settingslint.plain import Plain, in_lines, plain, together
from settingslint.plain import painted as in_colour
from settingslint.rules.base import Certainty, Finding, NotChecked, Severity
from settingslint.units import System, show
from settingslint.vocabulary.cautions import CAUTIONS, FRAME, SHORT_FRAME
from settingslint.vocabulary.settings import SETTINGS

_COLOURS: Final = {
    Severity.DANGER: "1;35", Severity.DAMAGE: "1;34", Severity.OUTAGE: "1;36", Severity.WASTE: "36",
    Severity.RECORD: "2",
}  # fmt: skip
"""On a terminal only, and the word stands there too."""

ROOM: Final = 60
"""Lines of the first view; what does not fit is told in totals, the ten to do first, and a line for each site."""
FIRST: Final = 10
FEWEST: Final = 3
SITES: Final = 6
ASK_NEXT: Final = 3
MOST_CAUTIONS: Final = 5
FEW_CAUTIONS: Final = 2
EVERY: Final = "--not-checked"
"""The option of `check` that tells all rules that were not checked."""
ASKED: Final = "to ask about"
LEGEND: Final = "(likely) rests on an assumption, (ask) on an answer; the others are proven."
INDENT: Final = "    "


def painted(severity: Severity, look: Look) -> Plain:
    """Return the word of a severity, coloured on a terminal."""
    return in_colour(severity.value, _COLOURS[severity]) if look.colour else plain(severity.value)


def render(report: Report, look: Look) -> Plain:
    """Return the report as text."""
    return together(*pieces(report, look))


def pieces(report: Report, look: Look) -> Iterator[Plain]:
    """Yield the report as text: what the owner sets and accepts, the findings, what to ask and do, the totals."""
    words = [plain(f"{WEAKENED}: {one.said}") for one in report.weakened]
    words += [plain(word.line) for word in owner_words(report)]
    problems = [f"{one.file}:{one.line}:{one.column}: unreadable: {one.message}" for one in report.problems]
    if words:
        yield in_lines([*words, ""])
    if look.full or look.every:
        for result in report.results:
            yield in_lines([*_full(result, report, look), ""])
        if problems:
            yield in_lines([*problems, ""])
        yield in_lines([*_end(report, shown(report), look), wrapped(FRAME, look.width, "", "")])
        return
    every = shown(report)
    listed = [line for one in every for line in _two_lines(one, look)]
    whole = bool(look.by) or look.narrow or _height(listed) < ROOM // 2
    end = [
        *_asks(report, look),
        *_cautions(every, look, whole),
        *_end(report, every, look),
        wrapped(SHORT_FRAME, look.width, "", ""),
    ]
    around = len(words) + len(problems) + _height(end)
    if problems:
        yield in_lines([*problems, ""])
    if look.by:
        yield in_lines([*_by(every, look), ""])
    elif look.narrow or around + _height(listed) < ROOM:
        if listed:
            yield in_lines([*listed, ""])
    else:
        yield in_lines([*_overview([one for one in every if not one.is_question], ROOM - around, look), ""])
    yield in_lines(end)


def _height(lines: Iterable[str]) -> int:
    """Return how many lines of a screen some lines take, those that are filled counted as they are broken."""
    return sum(line.count("\n") + 1 for line in lines)


# the first view -------------------------------------------------------------------------------------------------------


def _first_line(finding: Finding, look: Look) -> Plain:
    certainty = "" if finding.certainty is Certainty.PROVEN else f" ({finding.certainty.value})"
    place = f"{finding.file}:{finding.line}:{finding.column}: "
    return together(place, painted(finding.severity, look), f"{certainty}: {finding.headline} [{finding.rule}]")


def _second_line(one: Shown) -> str:
    """Return what a finding rests on or with which answer it is so, then the fix."""
    finding = one.finding
    parts = [f"{finding.case}: {finding.says}"] if finding.question else []
    parts += finding.remarks
    if one.fix:
        parts.append(f"fix: {one.fix}")
    return "; ".join(parts)


def _two_lines(one: Shown, look: Look) -> list[Plain]:
    second = _second_line(one)
    return [_first_line(one.finding, look), *([wrapped(second, look.width, INDENT)] if second else [])]


def _overview(every: list[Shown], room: int, look: Look) -> Iterator[str]:
    """Yield the ten to do first, fewer where they are long, then a line for each site as far as there is room."""
    groups = grouped(every)
    sites: dict[str, list[Shown]] = {}
    for one in every:
        sites.setdefault(one.result.site, []).append(one)
    left = room - 3 - min(len(sites), SITES)
    yield "do first"
    told = 0
    for number, group in enumerate(groups[:FIRST], 1):
        lines = _to_do(number, group, look)
        left -= _height(lines)
        if left < 0 and told >= FEWEST:
            break
        yield from lines
        told += 1
    if len(groups) > told:
        yield f"    and {len(groups) - told} findings more: --by rule, a path, or --full shows them"
    yield "by site"
    for site, own in [*sites.items()][: len(sites) if len(sites) <= SITES else SITES - 1]:
        yield wrapped(f"{site}: {_counts(own)}", look.width, "  ")
    if len(sites) > SITES:
        yield f"  and {len(sites) - SITES + 1} sites more: --by site shows them"


def _to_do(number: int, group: list[Shown], look: Look) -> list[Plain]:
    first = group[0]
    finding = first.finding
    certainty = "" if finding.certainty is Certainty.PROVEN else f" ({finding.certainty.value})"
    elsewhere = [one for one in group if one.where != first.where]
    also = f"; the same kind at {places(elsewhere)}" if elsewhere else ""
    head = together(
        f"{number:>2}. ", painted(finding.severity, look), f"{certainty}: {first.where}: {finding.headline}{also}"
    )
    second = "; ".join(filter(None, (
        f"{finding.case}: {finding.says}" if finding.question else "",
        f"fix: {first.fix}" if first.fix else "", f"who: {first.who}",
    )))  # fmt: skip
    return [wrapped(head, look.width, "", INDENT), wrapped(second, look.width, INDENT)]


def _counts(own: Iterable[Shown]) -> str:
    counts: dict[str, int] = {}
    for one in own:
        word = ASKED if one.is_question else one.finding.severity.value
        counts[word] = counts.get(word, 0) + 1
    words = (*(severity.value for severity in Severity), ASKED)
    return ", ".join(f"{counts[word]} {word}" for word in words if word in counts)


def _by(every: list[Shown], look: Look) -> Iterator[str]:
    """Yield all findings in short, by rule, site or plant."""
    if look.by == "rule":
        for number, group in enumerate(grouped(every), 1):
            yield from _to_do(number, group, look)
        return
    parts: dict[str, list[Shown]] = {}
    for one in every:
        parts.setdefault(one.result.site if look.by == "site" else one.where, []).append(one)
    for name, own in parts.items():
        yield wrapped(f"{name}: {_counts(own)}", look.width, "")
        for one in own:
            plant = f"{one.result.plant}: " if look.by == "site" else ""
            sure = "" if one.finding.certainty is Certainty.PROVEN else f" ({one.finding.certainty.value})"
            text = f"{one.finding.severity.value}{sure}: {plant}{one.finding.headline} [{one.finding.rule}]"
            yield wrapped(text, look.width, "  ")


def _asks(report: Report, look: Look) -> Iterator[str]:
    """Yield the questions that matter most."""
    asked = [one for one in questions(report.results) if one.worst is not None]
    if not asked:
        return
    yield NEXT.lower()
    yield from question_lines(asked, look, ASK_NEXT, one_plant=of_one(asked))
    if len(asked) > ASK_NEXT:
        yield f"and {plural(len(asked) - ASK_NEXT, 'question')} more: {MORE}"


def _cautions(every: list[Shown], look: Look, whole: bool) -> Iterator[str]:
    """Yield a short line for each class of caution of what can hurt people or plant; where room is short, for two."""
    classes = classes_of(one for one in every if one.finding.severity.at_least(Severity.DAMAGE))
    told = classes[: MOST_CAUTIONS if whole else FEW_CAUTIONS]
    for name in told:
        yield wrapped(f"caution, {CAUTIONS[name].title.lower()}: {CAUTIONS[name].short}", look.width, "")
    if len(classes) > len(told):
        more = ", ".join(CAUTIONS[name].title.lower() for name in classes[len(told) :])
        yield wrapped(f"cautions also: {more}: settingslint explain --cautions", look.width, "")


def _end(report: Report, every: list[Shown], look: Look) -> Iterator[str]:
    """Yield what was there before and is gone, then the totals."""
    if report.known is not None:
        now = {(result.site, result.plant, one.rule, one.at) for result in report.results for one in result.findings}
        for site, plant, rule, at in sorted(report.known - now):
            yield wrapped(f"cleared: {site}, {plant}: {rule} ({at})", look.width, "")
    if report.weakened:
        yield f"{plural(len(report.weakened), 'thing')} weakened since then: named first, above."
    if report.history:
        yield wrapped(report.history, look.width, "", "")
    counts = totals(report)
    found = _counts(every) or "no finding"
    of = f" of {report.portfolio.name}" if report.portfolio.name else ""
    known = ""
    if report.known is not None:
        known = f"; {plural(counts['known'], 'finding')} that {report.known_from} had already"
    accepted = f"; {counts['accepted']} accepted" if counts["accepted"] else ""
    unread = f"; {plural(counts['problems'], 'unreadable place')}" if counts["problems"] else ""
    yield wrapped(
        f"{plural(counts['plants'], 'boiler')}{of} as of {report.portfolio.context.as_of}: {found}{accepted}{known}"
        f"{unread}; {plural(counts['checked'], 'check')}, {counts['assumed']:,} more with assumptions,"
        f" {counts['not_checked']:,} not made, {counts['not_applicable']:,} do not apply.",
        look.width, "", "",
    )  # fmt: skip
    if any(one.finding.certainty is not Certainty.PROVEN for one in every):
        yield LEGEND


# everything -----------------------------------------------------------------------------------------------------------


def _numbers(finding: Finding, system: System) -> str:
    return ", ".join(
        f"{name} {show(quantity.value, quantity.kind, system, quantity.unit)}"
        for name, quantity in finding.numbers.items()
    )


def _full(result: Result, report: Report, look: Look) -> Iterator[str]:
    """Yield all findings of a plant with all that is known of them, and its coverage."""
    own = [one for one in result.findings if not report.is_known(result, one)]
    for one in own:
        yield from finding_lines(one, result.summary.system, look)
    yield from coverage_lines(result, look)


def finding_lines(finding: Finding, system: System, look: Look) -> Iterator[str]:
    """Yield the lines of one finding with its proof, fix, cautions and source."""
    yield _first_line(finding, look)
    width = look.width
    if finding.question:
        yield wrapped(f"{finding.case}: {finding.says}", width, INDENT)
    for remark in finding.remarks:
        yield wrapped(remark, width, INDENT)
    if finding.accepted is not None:
        yield wrapped(accepted_words(finding.accepted), width, INDENT)
    if finding.numbers:
        yield wrapped(f"proof: {_numbers(finding, system)}", width, INDENT)
    if finding.at in SETTINGS and finding.typed is not None and finding.typed != finding.effective:
        kind = SETTINGS[finding.at].kind
        typed, effective = (show_value(one, kind, system) for one in (finding.typed, finding.effective))
        yield wrapped(f"{title_of(finding.at)}: set to {typed}, runs at {effective}", width, INDENT)
    if finding.remedy is not None:
        checked = {True: " (verified: this clears the finding)", False: " (not shown to clear it)"}
        extra = checked.get(finding.remedy.verified, "") if finding.remedy.verified is not None else ""
        yield wrapped(f"fix: {finding.remedy.text}{extra}", width, INDENT)
    for name in finding.cautions:
        yield wrapped(f"caution: {CAUTIONS[name].short}", width, INDENT)
    yield wrapped(f"source: {'; '.join(finding.sources)}", width, INDENT)


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
    if not look.every:
        if result.not_checked:
            yield f"{INDENT}{EVERY} names each rule that was not checked and says why"
        return
    for needs, lacks in lacking(result).items():
        rules = ", ".join(lack.rule for lack in lacks)
        why = next((lack.why for lack in lacks if _tells_more(lack)), "")
        yield wrapped(f"not checked: needs {needs}: {rules}{f' ({why})' if why else ''}", look.width, INDENT)
    if result.assumed:
        yield wrapped(f"checked with assumptions: {', '.join(result.assumed)}", look.width, INDENT)
