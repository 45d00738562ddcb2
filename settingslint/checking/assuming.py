"""What a finding says of the assumptions it rests on, and how a question is put with what its answer would mean."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Final

from settingslint.checking.trials import Tripped, Verdict
from settingslint.model.values import NUMERIC, Value, kind_of, show_value, title_of
from settingslint.rules.base import Certainty, Draft, Remedy
from settingslint.rules.rule import Rule
from settingslint.units import Kind, System
from settingslint.vocabulary.questions import QUESTIONS, cost_of, row_name

MOST_NAMED: Final = 3
"""So many assumptions are named in a finding; the rest are counted."""


MOST_QUESTIONS: Final = 6
"""So many questions are put about one plant, those that decide the worst first; the others wait for the answers."""
MORE_TO_ASK: Final = "asked once the more important questions are answered"


def questions_put(verdicts: Mapping[str, Verdict], rules: Iterable[tuple[int, Rule]]) -> frozenset[str]:
    """Return the names that are asked about at one plant, and the empty name of what is no question."""
    worst: dict[str, tuple[bool, int]] = {}
    counts: dict[str, int] = {}
    for _, rule in rules:
        verdict = verdicts.get(rule.name)
        for one in verdict.tripped if verdict is not None else ():
            if name := one.question:
                rank = (not one.rests_on_record, (one.draft.severity or rule.severity).rank)
                worst[name] = min(worst.get(name, rank), rank)
                counts[name] = counts.get(name, 0) + 1
    ranked = sorted(worst, key=lambda name: (worst[name], cost_of(name), -counts[name], name))
    return frozenset((*ranked[:MOST_QUESTIONS], ""))


def question_of(name: str) -> str:
    """Return the question about a setting or fact."""
    row = QUESTIONS.get(row_name(name))
    return row.text if row is not None else f"{title_of(name)[:1].upper()}{title_of(name)[1:]}?"


def drafted(tripped: Tripped, system: System) -> Draft:
    """Return what was found on trial plants as a finding about the real one: likely, or a question."""
    draft = tripped.draft
    if tripped.asks:
        (name, values), *others = tripped.asks.items()
        typed = name in tripped.plant.entries and tripped.plant.entries[name].typed is not None
        case = _case(name, values, system, example=not typed)
        for other, meant in others:  # what would be asked next, once the first is answered
            example = "for example " if kind_of(other) in NUMERIC else ""
            case += f", and {example}{valued(other, meant, system)}"
        remedy = None if draft.remedy is None else Remedy(draft.remedy.text)
        return replace(
            draft, question=question_of(name), case=case, certainty=Certainty.ASK, remedy=remedy, asks=(name,)
        )
    said = listed(valued(name, (value,), system) for name, value in tripped.assumed.items())
    if not said:
        ranges = [valued(name, values, system) for name, values in tripped.whatever.items()]
        said = f"for any {listed(ranges)}" if ranges else ""
    words = f"assuming {said}" if tripped.assumed else said
    lower = Certainty.ASK if draft.certainty is Certainty.ASK else Certainty.LIKELY
    remarks = (*draft.remarks, words) if words else draft.remarks
    return replace(draft, remarks=remarks, certainty=lower, assumed=tuple(tripped.assumed))


def _case(name: str, values: Iterable[Value], system: System, *, example: bool) -> str:
    kind = kind_of(name)
    if kind is Kind.FLAG:
        return "if so" if True in tuple(values) else "if not"
    shown = range_of(name, tuple(values), system)
    return f"for example if {shown}" if example and kind in NUMERIC else f"if {shown}"


def valued(name: str, values: tuple[Value, ...], system: System) -> str:
    """Return a name in words with its plausible values: `balance point: 55 F to 68 F`, `own mixing device: no`."""
    if kind_of(name) is Kind.FLAG:
        return f"{title_of(name)}: {' or '.join('yes' if value is True else 'no' for value in values)}"
    return f"{title_of(name)}: {range_of(name, values, system)}"


def range_of(name: str, values: tuple[Value, ...], system: System) -> str:
    """Return plausible values in words: numbers from the lowest to the highest, words with "or" between."""
    kind = kind_of(name)
    if kind in NUMERIC and len(values) > 1:
        numbers = [value for value in values if isinstance(value, float) and not isinstance(value, bool)]
        if len(numbers) == len(values):
            return f"{show_value(min(numbers), kind, system)} to {show_value(max(numbers), kind, system)}"
    return " or ".join(show_value(value, kind, system) for value in values)


def listed(parts: Iterable[str]) -> str:
    """Return the first few parts, and how many more there are."""
    every = list(parts)
    more = f" and {len(every) - MOST_NAMED} more" if len(every) > MOST_NAMED else ""
    return ", ".join(every[:MOST_NAMED]) + more
