"""`notes --form markdown`: to be read in a review and to be pasted into a work order."""

from __future__ import annotations

from collections.abc import Iterator

from settingslint.history.notes import Notes
from settingslint.output import Look
from settingslint.output.markdown import escaped
from settingslint.output.note_view import SIGNED, View, summary, views, weakened
from settingslint.plain import Plain, in_lines
from settingslint.vocabulary.cautions import FRAME


def render(notes: Notes, look: Look) -> Plain:
    """Return the notes as Markdown."""
    lines = ["# Change notes", ""]
    lines += [*(f"- **{escaped(line)}**" for line in weakened(notes)), ""] if notes.weakened else []
    lines += [escaped(summary(notes)), ""]
    for remark in notes.remarks:
        lines += [f"**{escaped(remark)}**", ""]
    for view in views(notes):
        lines += [*_lines(view), ""]
    if notes.problems:
        lines += ["## Unreadable", ""]
        lines += [f"- {escaped(f'{one.file}:{one.line}:{one.column}: {one.message}')}" for one in notes.problems]
        lines.append("")
    return in_lines([*lines, f"*{escaped(FRAME)}*"])


def _lines(view: View) -> Iterator[str]:
    yield from (f"## {escaped(view.title)}", "", f"**{escaped(view.headline)}**", "")
    yield from (f"- {label}: {escaped(text)}" for label, text in view.about)
    if view.table:
        yield from ("", "| " + " | ".join(view.head) + " |", "| --- " * len(view.head) + "|")
        for line in view.table:
            yield "| " + " | ".join(escaped(cell) for cell in (line.title, *line.cells)) + " |"
    for section in view.sections:
        yield from ("", f"### {section.title}", "")
        yield from (f"- {escaped(item)}" for item in section.items)
    if view.signed:
        yield from ("", "### By hand", "")
        yield from (f"- {label}: ............" for label in SIGNED)
