"""Whether one row of a control file, or one acceptance, lets more pass than it did; told from what stands there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from math import inf
from typing import Final

from settingslint.model.control import ACCESS, Control, Need, Row, Treatment
from settingslint.model.profile import Acceptance
from settingslint.model.values import kind_of, show_value
from settingslint.rules.record.acceptance import why_not

REFUSED: Final = "refused"


def looser_acceptance(olds: Iterable[Acceptance], one: Acceptance, as_of: date) -> tuple[str, bool]:
    """Return how an acceptance lets more pass than those before, in words that follow it; empty where it does not.

    With it, whether it does so for dangers only: it has now what the acceptance of a danger needs.
    """
    until = f"until {one.until}" if one.until is not None else "without an end"
    about = [old for old in olds if old.rule == one.rule and old.setting in (None, one.setting)]
    as_long = [old for old in about if old.until is None or (one.until is not None and one.until <= old.until)]
    if as_long:
        complete = [not why_not(each, True, as_of, inf) for each in (one, *as_long)]
        return (f"holds for a danger now, {until}", True) if complete[0] and not any(complete[1:]) else ("", False)
    same = next((old for old in about if old.setting == one.setting), None)
    return (f"new, {until}" if same is None else f"longer: {until}, before until {same.until}"), False


def looser_row(old: Row | None, new: Row | None, before: Control, after: Control) -> list[str]:
    """Return what a row lets pass that it did not, each in a few words."""
    if old is None:
        return []
    if new is None:
        return ["is not described any more"]
    return list(_looser_row(old, new, before, after))


def _looser_row(old: Row, new: Row, before: Control, after: Control) -> Iterator[str]:
    kind = kind_of(new.name)

    def show(value: float | None, control: Control, row: Row) -> str:
        return show_value(value, kind, control.system, row.unit) if value is not None else "no bound"

    ends = (("from", old.low, new.low, -1), ("up to", old.high, new.high, 1))
    for word, was, is_, way in ends:
        if was is not None and (is_ is None or (is_ - was) * way > 1e-9):
            yield f"range {word} {show(is_, after, new)}, before {show(was, before, old)}"
    if old.outside == REFUSED and new.outside != REFUSED:
        yield f"a value outside its range is {new.outside}, before refused"
    if ACCESS.index(new.access) < ACCESS.index(old.access):
        yield f"access {new.access}, before {old.access}"
    if old.treatments is not None and new.treatments is None:
        yield "its treatments are not stated any more"
    for one in old.treatments or ():
        if new.treatments is not None and not any(_as_strict(one, other) for other in new.treatments):
            yield f"{_treatment(one, old, before)}: taken away, or narrower"
    for need in old.needs:
        if need not in new.needs:
            yield f"{_need(need)}: taken away"


def _as_strict(old: Treatment, new: Treatment) -> bool:
    """Return whether the later of two treatments does what the earlier one does, over no less."""
    if old == new:
        return True
    if old.does != new.does or (old.becomes, old.equals, old.by) != (new.becomes, new.equals, new.by):
        return False
    if old.does == "ignore":
        low = new.low is None or (old.low is not None and new.low <= old.low)
        return low and (new.high is None or (old.high is not None and new.high >= old.high))
    return old.does == "at most until first firing" and (new.amount or 0) <= (old.amount or 0)


def _treatment(one: Treatment, row: Row, control: Control) -> str:
    kind = kind_of(row.name)
    ends = [
        f"{word} {show_value(value, kind, control.system, row.unit)}"
        for word, value in (("from", one.low), ("to", one.high))
        if value is not None
    ]
    return " ".join([one.does, *([f"by {one.by}"] if one.by else []), *ends])


def _need(one: Need) -> str:
    return f"needs {one.accessory or one.fact or one.setting}"
