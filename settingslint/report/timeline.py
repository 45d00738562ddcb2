"""`timeline --form html`: the changes as a picture with a lane for each setting, and the same as tables."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from html import escape
from typing import Any, Final

from settingslint.history.timeline import Stretch, Timeline
from settingslint.model.values import title_of
from settingslint.output import Look
from settingslint.output.timeline import RUNS_AT, chosen, details, heading, span_text, summary, value_text
from settingslint.plain import Plain, plain
from settingslint.report.single import page
from settingslint.report.svg import svg, text

WIDTH: Final = 760
LEFT: Final = 214
"""Pixels for the titles of the lanes."""
RIGHT: Final = 10
LANE: Final = 30
BAR: Final = 20
TOP: Final = 62
CHARACTER: Final = 6.4
"""Pixels of a character, on the wide side."""
LETTER: Final = 13
"""Pixels that a letter above the lanes takes."""
SIGNS: Final = {"visit": ("V", 12), "combustion": ("C", 25), "identity": ("B", 38), "gap": ("?", 38)}
"""Letter and height of what happened, above the lanes; the words below the picture say what they mean."""
CAPTION: Final = (
    "Each bar is one value. Hatched: temporary; dark: longer than meant; dashed: what it ran at is not known."
)
MEANING: Final = "V visit, C combustion reading, B board or boiler changed, ? no reason recorded"


def lanes(line: Timeline, setting: str | None) -> dict[str, tuple[Stretch, ...]]:
    """Return what has a lane: the named setting, or all that changed or were meant to."""
    if setting is not None:
        return {name: stretches for name, stretches in chosen(line, setting).items() if stretches}
    return {
        name: stretches
        for name, stretches in line.settings.items()
        if len(stretches) > 1 or any(one.until is not None for one in stretches)
    }


def picture(line: Timeline, setting: str | None, corner: str = "") -> str:
    """Return the changes as SVG: a lane for each setting, a bar for each value, what happened above."""
    shown = lanes(line, setting)
    first = min([one[0].begin for one in shown.values()] + [mark.on for mark in line.marks], default=line.begin)
    days = max((line.as_of - first).days, 1)
    height = TOP + LANE * len(shown) + 34 + (18 if corner else 0)

    def across(day: date) -> float:
        return LEFT + min(max((day - first).days / days, 0.0), 1.0) * (WIDTH - LEFT - RIGHT)

    bottom = TOP + LANE * len(shown)
    parts = [_HATCH, f'<path class="axis" d="M{LEFT} {bottom}H{WIDTH - RIGHT}"/>']
    for day in _ticks(first, line.as_of):
        x = across(day)
        parts.append(f'<path class="grid" d="M{x:.1f} {TOP - 4}V{bottom + 4}"/>')
        parts.append(text(x, bottom + 16, f"{day:%Y-%m}" if days < 1500 else f"{day:%Y}", "num", "middle"))
    for kind, (sign, above) in SIGNS.items():
        places = sorted({across(mark.on) for mark in line.marks if mark.kind == kind})
        parts += [
            f'<text class="mark" x="{x:.1f}" y="{above}" text-anchor="middle">{sign}</text>' for x in _apart(places)
        ]
    for place, (name, stretches) in enumerate(shown.items()):
        y = TOP + LANE * place + (LANE - BAR) / 2
        title = _fitting(title_of(name), LEFT - 8)
        parts.append(f'<text class="lane" x="{LEFT - 8}" y="{y + 14:.1f}" text-anchor="end">{escape(title)}</text>')
        for index, stretch in enumerate(stretches):
            ends = across(stretch.begin), across(stretch.end or line.as_of)
            parts += _bar(stretch, line, ends, y, index == 0, across)
    parts.append(text(8, bottom + 32, MEANING, "num"))
    return svg(WIDTH, height, f"{heading(line)}: {summary(line)}", "".join(parts), corner)


def _apart(places: Sequence[float]) -> list[float]:
    """Return the places of letters, those left out that would stand on the one before them."""
    kept: list[float] = []
    for x in places:
        if not kept or x - kept[-1] >= LETTER:
            kept.append(x)
    return kept


_HATCH: Final = (
    '<defs><pattern id="temporary" width="6" height="6" patternUnits="userSpaceOnUse"'
    ' patternTransform="rotate(45)"><rect width="6" height="6" fill="#fff"/><path d="M0 0V6" stroke="#6d6a79"'
    ' stroke-width="2"/></pattern></defs>'
)


def _bar(
    stretch: Stretch, line: Timeline, ends: tuple[float, float], y: float, first: bool, across: Any
) -> Iterator[str]:
    """Yield a bar: hatched while it is temporary, dark where it stood longer than that, its value inside."""
    begin, end = ends[0], max(ends[1], ends[0] + 2)
    look = "value unknown" if stretch.effective is None else "value"
    yield f'<rect class="{look}" x="{begin:.1f}" y="{y}" width="{end - begin:.1f}" height="{BAR}"/>'
    if stretch.until is not None:
        until = min(max(across(stretch.until), begin), end)
        yield (
            f'<rect class="value" style="fill:url(#temporary)" x="{begin:.1f}" y="{y}" width="{until - begin:.1f}"'
            f' height="{BAR}"/>'
        )
        if stretch.overdue(line.as_of):
            yield f'<rect class="late" x="{until:.1f}" y="{y}" width="{end - until:.1f}" height="{BAR}"/>'
    said = value_text(stretch, line.plant).partition(RUNS_AT)[0]
    question = "" if first or stretch.why else "? "
    room = end - begin - 6
    shown = question + said if len(question + said) * CHARACTER <= room else question.strip()
    if shown and len(shown) * CHARACTER <= room:
        yield f'<text class="inside" x="{begin + 4:.1f}" y="{y + 14:.1f}">{escape(plain(shown))}</text>'


def _fitting(words: str, room: float) -> str:
    most = int(room / CHARACTER)
    return words if len(words) <= most else words[: most - 1] + "…"


def _ticks(first: date, last: date) -> Iterator[date]:
    """Yield the first days of months, or of years, at most about ten of them."""
    days = (last - first).days
    months = next((step for step in (1, 2, 3, 6, 12, 24, 60, 120) if days / 30 / step <= 9), 240)
    year, month = first.year, 1
    while year <= last.year and (day := date(year, month, 1)) <= last:
        if day >= first - timedelta(days=2):
            yield day
        month += months
        year, month = year + (month - 1) // 12, (month - 1) % 12 + 1


def render(line: Timeline, setting: str | None, look: Look) -> Plain:
    """Return a timeline as one page."""
    return page(
        "timeline.html",
        f"Timeline: {heading(line)}",
        [summary(line), *line.remarks],
        picture=picture(line, setting),
        caption=CAPTION,
        tables=[
            (title_of(name), [_row(one, line, index == 0) for index, one in enumerate(stretches)])
            for name, stretches in chosen(line, setting).items()
        ],
        marks=[(mark.on.isoformat(), mark.kind, mark.text) for mark in sorted(line.marks, key=lambda one: one.on)],
        problems=[f"{one.file}: {one.message}" for one in line.problems],
    )


def _row(stretch: Stretch, line: Timeline, first: bool) -> tuple[str, str, list[tuple[str, bool]]]:
    return span_text(stretch), value_text(stretch, line.plant), list(details(stretch, line, first))
