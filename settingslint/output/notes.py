"""`notes`: one function for each form, by name; the text form stands here."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from importlib import import_module
from typing import Final, cast

from settingslint.history.notes import Notes
from settingslint.output import Look
from settingslint.output.note_view import HEAD, SIGNED, View, summary, views, weakened
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
    for view in views(notes):
        lines += [*_lines(view, look.width), ""]
    for problem in notes.problems:
        lines.append(f"{problem.file}:{problem.line}:{problem.column}: unreadable: {problem.message}")
    lines += [wrapped(remark, look.width, "", "") for remark in notes.remarks]
    lines += [wrapped(summary(notes), look.width, "", ""), wrapped(FRAME, look.width, "", "")]
    return in_lines(lines)


def _lines(view: View, width: int) -> Iterator[str]:
    yield wrapped(view.title, width, "", "")
    yield "=" * min(width, len(plain(view.title)))
    yield wrapped(view.headline, width, "", "")
    yield ""
    for label, text in view.about:
        yield wrapped(f"{label + ':':<9}{text}", width, "", " " * 9)
    if view.table:
        yield ""
        yield from _table(view)
    for section in view.sections:
        yield ""
        yield section.title.upper() if section.strong else section.title
        yield from (wrapped(item, width, "  ") for item in section.items)
    if view.signed:
        yield ""
        yield from (f"{label}: {'_' * max(8, min(30, width - len(label) - 2))}" for label in SIGNED)


_TITLE: Final = 24
_CELLS: Final = (9, 9, 10, 10, 10, 6)


def _table(view: View) -> Iterator[str]:
    """Yield the table; a title or a cell that is too long takes lines of its own."""
    yield f"{HEAD[0]:<{_TITLE}}" + "".join(f"{one:>{width}}" for one, width in zip(HEAD[1:], _CELLS, strict=True))
    yield "-" * (_TITLE + sum(_CELLS))
    for line in view.table:
        title, cells = str(plain(line.title)), [str(plain(cell)) for cell in line.cells]
        if len(cells[-1]) >= _CELLS[-1]:
            title, cells[-1] = f"{title}, {cells[-1]}", ""
        if all(len(cell) < width for cell, width in zip(cells, _CELLS, strict=True)):
            if len(title) >= _TITLE:
                yield title
                title = ""
            row = "".join(f"{one:>{width}}" for one, width in zip(cells, _CELLS, strict=True))
            yield f"{title:<{_TITLE}}{row}".rstrip()
        else:
            yield title
            yield from (
                f"  {label + ': ' + cell}" for label, cell in zip(HEAD[1:], cells, strict=True) if cell not in ("-", "")
            )
        if line.place:
            yield f"  on the control: {line.place}"
