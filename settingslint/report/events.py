"""What happened at a plant as picture and words: from its history, or else from what its profile records."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date, datetime, timezone
from typing import Final

from settingslint.history.objects import Commit
from settingslint.history.timeline import Mark, Stretch, Timeline
from settingslint.model.values import title_of
from settingslint.output.plain import plural
from settingslint.output.timeline import span_text, summary, value_text
from settingslint.report.both import both_of
from settingslint.report.svg import Picture
from settingslint.report.timeline import CAPTION, lanes, picture
from settingslint.rules.plant import Plant

MOST: Final = 80
"""Bars of a picture; with more of them it begins later."""
SAID: Final = 12
"""Changes without a reason, and things that happened, that a page names."""
TITLE: Final = "Timeline of changes"


def recorded(plant: Plant) -> Timeline:
    """Return what a profile alone tells of the past: its visit, its combustion readings, its temporary values."""
    profile, as_of = plant.profile, plant.as_of
    visit = profile.fact_value("visit.on")
    marks = [Mark(visit, "visit", str(profile.fact_value("visit.why") or "a visit"))] if isinstance(visit, date) else []
    for end in ("high", "low"):
        on = profile.fact_value(f"combustion.{end}.on")
        if isinstance(on, date):
            marks.append(Mark(on, "combustion", f"combustion reading at {end} fire"))
    begin = visit if isinstance(visit, date) else as_of
    settings: dict[str, tuple[Stretch, ...]] = {}
    for name, entry in profile.settings.items():
        if entry.until is None:
            continue
        effect = plant.effects.get(name)
        who = entry.by or str(profile.fact_value("visit.by") or "no name recorded")
        day = entry.on or begin
        commit = Commit("", "", (), who, datetime.combine(day, datetime.min.time(), timezone.utc), "")  # noqa: UP017
        settings[name] = (
            Stretch(
                name, entry.typed, entry.left, effect.effective if effect else None, effect.state if effect else "",
                day, None, commit, who, entry.why or "", "", until=entry.until, then=entry.then,
                watched_by=entry.watched_by,
            ),
        )  # fmt: skip
    marks = [mark for mark in marks if mark.on <= as_of]
    return Timeline(profile.path, plant, as_of, begin, 0, settings, tuple(marks))


def events_picture(plant: Plant, line: Timeline | None, corner: str) -> Picture | None:
    """Return the picture of what happened; None where nothing is recorded.

    Args:
        plant: as it is.
        line: its history; None where there is none, then the profile alone speaks.
        corner: date and commit.
    """
    shown, later = latest(line or recorded(plant))
    if not lanes(shown, None) and not shown.marks:
        return None
    if line is not None:
        caption = " ".join((summary(line), *line.remarks))
        if later:
            caption += f" The picture begins at {later}."
    else:
        count = len(shown.settings)
        caption = (
            "No history to look into: what the profile records is its last visit, its combustion readings and"
            f" {plural(count, 'temporary value')}."
        )
    facts = [*_marks(shown), *_values(shown)]
    return Picture("timeline", TITLE, picture(shown, None, corner), caption, tuple(facts), CAPTION, wide=True)


def latest(line: Timeline) -> tuple[Timeline, str]:
    """Return a timeline with no more than about `MOST` bars, the latest, and the day from which, where it was cut."""
    ends = sorted(
        (one.end or line.as_of for stretches in lanes(line, None).values() for one in stretches), reverse=True
    )
    if len(ends) <= MOST:
        return line, ""
    cut = ends[MOST]
    settings: Mapping[str, tuple[Stretch, ...]] = {
        name: tuple(replace(one, begin=max(one.begin, cut)) for one in stretches if one.end is None or one.end > cut)
        for name, stretches in line.settings.items()
    }
    marks = tuple(mark for mark in line.marks if mark.on >= cut)
    return replace(line, settings=dict(settings), marks=marks, begin=cut), cut.isoformat()


def _marks(line: Timeline) -> Iterator[tuple[str, str]]:
    marks = sorted(line.marks, key=lambda mark: mark.on)
    if len(marks) > SAID:
        yield "earlier", f"{len(marks) - SAID} visits, readings and the like"
    for mark in marks[-SAID:]:
        yield f"{mark.on} {mark.kind}", mark.text


def _values(line: Timeline) -> Iterator[tuple[str, str]]:
    for name, stretches in lanes(line, None).items():
        yield title_of(name), "; ".join(_value(one, line) for one in stretches)


def _value(one: Stretch, line: Timeline) -> str:
    words = f"from {one.begin} " + (
        both_of(line.plant, one.setting, one.typed) if one.typed is not None else one.left or "-"
    )
    if one.until is not None:
        words += f", temporary until {one.until}"
        late = one.overdue(line.as_of)
        words += f", in place {plural(late, 'day')} longer" if late else ""
    return words


def unexplained(line: Timeline) -> list[str]:
    """Return the changes for which nobody recorded a reason, the latest first, no more than `SAID`."""
    lacking = [
        f"{title_of(one.setting)}, {span_text(one)}: {value_text(one, line.plant)}; {one.who}"
        + (", found so" if one.found else f"; the commit says: {one.said}" if one.said else "")
        for one in reversed(line.unexplained())
    ]
    more = len(lacking) - SAID
    return lacking[:SAID] + ([f"and {more} earlier ones"] if more > 0 else [])
