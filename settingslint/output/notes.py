"""`notes`: one function for each form, by name; the text form stands here."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from importlib import import_module
from typing import Final, cast

from settingslint.history.notes import Notes
from settingslint.output import Look
from settingslint.output.note_view import SIGNED, View, shortened, summary, views, weakened
from settingslint.output.plain import wrapped
from settingslint.plain import Plain, in_lines, plain
from settingslint.vocabulary.cautions import FRAME

FORMS: Final = ("text", "markdown", "html", "json")
_MODULES: Final = {
    "text": "settingslint.output.notes",
    "markdown": "settingslint.output.notes_markdown",
    "html": "settingslint.report.notes",
    "json": "settingslint.output.notes_data",
}


def render_notes(form: str, notes: Notes, look: Look) -> Plain:
    """Return change notes in one of `FORMS`.

    Raises:
        KeyError: for another form.
    """
    return cast(Callable[[Notes, Look], Plain], import_module(_MODULES[form]).render)(notes, look)


def render(notes: Notes, look: Look) -> Plain:
    """Return the notes as text."""
    lines: list[str] = [wrapped(line, look.width, "", "  ") for line in weakened(notes)]
    lines += [""] if lines else []
    for number, view in enumerate(views(notes)):
        lines += [*([""] if number else []), *_lines(view, look.width)]
    for problem in notes.problems:
        lines.append(f"{problem.file}:{problem.line}:{problem.column}: unreadable: {problem.message}")
    lines += [wrapped(remark, look.width, "", "") for remark in notes.remarks]
    lines += [wrapped(summary(notes), look.width, "", ""), wrapped(FRAME, look.width, "", "")]
    return in_lines(lines)


ROOM: Final = 55
"""Lines of a note, without what ends all of them. One that needs more says in short what it can."""
FEW: Final = 3
"""A change of so many settings fits the room, with cautions in short where it must be; paper has them in full."""
ON_PAPER: Final = "To print and sign: --form html, with all cautions in full."


def _lines(view: View, width: int) -> list[str]:
    """Return the lines of a note."""
    full = list(_all(view, width))
    return full if _count(full) <= ROOM else list(_all(_fitted(shortened(view), width), width, True))


def _count(lines: Iterable[str]) -> int:
    return sum(line.count("\n") + 1 for line in lines)


def height(view: View, width: int) -> int:
    """Return how many lines of a width a note takes in full."""
    return _count(_all(view, width))


def _fitted(view: View, width: int) -> View:
    """Return a note of few settings with as many cautions in full as there is room for, at least the first."""
    section = next((one for one in view.sections if one.small), None)
    if section is None or len(view.table) > FEW or _count(_all(view, width, True)) <= ROOM:
        return view

    def told(count: int) -> View:
        items = (*section.items[:count], *section.brief[count:])
        shown = (replace(one, items=items) if one is section else one for one in view.sections)
        return replace(view, sections=tuple(shown))

    counts = range(len(section.items) - 1, 0, -1)
    return next((told(one) for one in counts if _count(_all(told(one), width, True)) <= ROOM), told(1))


def _all(view: View, width: int, brief: bool = False) -> Iterator[str]:
    yield wrapped(view.title, width, "", "")
    yield wrapped(view.headline, width, "", "")
    for label, text in view.about:
        yield wrapped(f"{label + ':':<8}{text}", width, "", " " * 8)
    if view.table:
        yield ""
        yield from _table(view, width)
        yield from [""] if not brief else []
    for section in view.sections:
        title = section.title.upper() if section.strong else section.title
        if len(section.items) == 1:
            yield wrapped(f"{title}: {section.items[0]}", width, "")
        else:
            yield title
            yield from (wrapped(item, width, "  ") for item in section.items)
    if view.signed and brief:
        yield wrapped(ON_PAPER, width, "")
    elif view.signed:
        yield from (f"{label}: {'_' * max(8, min(30, width - len(label) - 2))}" for label in SIGNED)


_TITLE: Final = 28
_LEAST: Final = 12
"""Characters of a title that must have room beside the cells; else a row is a list."""


def _table(view: View, width: int) -> Iterator[str]:
    """Yield the table, as wide as its cells; a title too long goes on below, a row too wide is a list."""
    rows = [[str(plain(cell)) for cell in line.cells] for line in view.table]
    room = max(width, 40) - _LEAST
    fits = [row for row in rows if sum(max(len(one), 6) + 2 for one in row) <= room and max(map(len, row)) <= 14]
    cells = [max(len(one) for one in column) + 2 for column in zip(view.head[1:], *fits, strict=True)]
    title = max(min(_TITLE, width - sum(cells)), _LEAST)
    yield f"{view.head[0]:<{title}}" + "".join(f"{one:>{wide}}" for one, wide in zip(view.head[1:], cells, strict=True))
    for line, row in zip(view.table, rows, strict=True):
        if row in fits:
            first, *more = str(wrapped(line.title, title, "", "  ")).split("\n")
            shown = "".join(f"{one:>{wide}}" for one, wide in zip(row, cells, strict=True))
            yield f"{first:<{title}}{shown}".rstrip()
            yield from more
        else:
            pairs = zip(view.head[1:], row, strict=True)
            shown = ", ".join(f"{label} {cell}" for label, cell in pairs if cell not in ("-", ""))
            yield wrapped(f"{line.title}: {shown}", width, "")
