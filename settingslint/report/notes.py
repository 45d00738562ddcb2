"""`notes --form html`: a page to be printed and signed."""

from __future__ import annotations

from typing import Final

from settingslint.history.notes import Notes
from settingslint.output import Look
from settingslint.output.note_view import SIGNED, shortened, summary, views, weakened
from settingslint.output.notes import height
from settingslint.plain import Plain
from settingslint.report.single import page

WIDTH: Final = 112
"""Characters of a printed line."""
LINES: Final = 60
"""Lines that leave room on one page for the head and the signature."""


def render(notes: Notes, look: Look) -> Plain:
    """Return the notes as one page."""
    return page(
        "notes.html",
        "Change notes",
        [*weakened(notes), summary(notes), *notes.remarks],
        views=[view if height(view, WIDTH) <= LINES else shortened(view) for view in views(notes)],
        signed=SIGNED,
        problems=[f"{one.file}:{one.line}:{one.column}: {one.message}" for one in notes.problems],
    )
