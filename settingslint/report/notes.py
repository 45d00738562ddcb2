"""`notes --form html`: a page to be printed and signed."""

from __future__ import annotations

from settingslint.history.notes import Notes
from settingslint.output import Look
from settingslint.output.note_view import HEAD, SIGNED, summary, views, weakened
from settingslint.plain import Plain
from settingslint.report.single import page


def render(notes: Notes, look: Look) -> Plain:
    """Return the notes as one page."""
    return page(
        "notes.html",
        "Change notes",
        [*weakened(notes), summary(notes), *notes.remarks],
        views=views(notes),
        head=HEAD,
        signed=SIGNED,
        problems=[f"{one.file}:{one.line}:{one.column}: {one.message}" for one in notes.problems],
    )
