"""What a finding says of the assumptions it rests on, and how a question is put with what its answer would mean."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Final

from settingslint.checking.guesses import EMITTERS, FIRST_KIND
from settingslint.checking.trials import Tripped
from settingslint.model.values import NUMERIC, Value, kind_of, show_value, title_of
from settingslint.rules.base import Certainty, Draft, Remedy
from settingslint.units import Kind, System
from settingslint.vocabulary.questions import QUESTIONS

MOST_NAMED: Final = 3
"""So many assumptions are named in a finding; the rest are counted."""


def question_of(name: str) -> str:
    """Return the question about a setting or fact."""
    row = QUESTIONS.get(row_name(name))
    return row.text if row is not None else f"{title_of(name)[:1].upper()}{title_of(name)[1:]}?"


def row_name(name: str) -> str:
    """Return under which name of the vocabulary something is asked for: emitters by what they are, whichever it is."""
    if name == FIRST_KIND:
        return EMITTERS
    head, bracket, rest = name.partition("[")
    return head + rest.partition("]")[2] if bracket else name


def drafted(tripped: Tripped, system: System) -> Draft:
    """Return what was found on trial plants as a finding about the real one: likely, or a question."""
    draft = tripped.draft
    if tripped.asks:
        questions = " ".join(question_of(name) for name in tripped.asks)
        cases = " and ".join(_case(name, values, system) for name, values in tripped.asks.items())
        remedy = None if draft.remedy is None else Remedy(draft.remedy.text)
        return replace(
            draft, question=questions, case=cases, certainty=Certainty.ASK, remedy=remedy, asks=tuple(tripped.asks)
        )
    said = listed(
        f"{title_of(name)} {show_value(value, kind_of(name), system)}" for name, value in tripped.assumed.items()
    )
    if not said:
        ranges = [f"{title_of(name)} {range_of(name, values, system)}" for name, values in tripped.whatever.items()]
        said = f"whatever is true of {listed(ranges)}" if ranges else ""
    words = f"assuming {said}" if tripped.assumed else said
    lower = Certainty.ASK if draft.certainty is Certainty.ASK else Certainty.LIKELY
    return replace(
        draft, remarks=(words,) if words else (), certainty=lower, assumed=tuple(tripped.assumed)
    )  # fmt: skip


def _case(name: str, values: Iterable[Value], system: System) -> str:
    kind = kind_of(name)
    if kind is Kind.FLAG:
        return "if so" if True in tuple(values) else "if not"
    return f"if {range_of(name, tuple(values), system)}"


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
