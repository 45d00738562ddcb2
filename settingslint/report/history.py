"""What git adds to the pages: the commit, and the timeline of each plant."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING

from settingslint.model.values import title_of
from settingslint.output.plain import plain
from settingslint.report.pages import History
from settingslint.rules.plant import Plant

if TYPE_CHECKING:
    from settingslint.history.repository import Repository


@contextmanager
def history_of(root: Path, as_of: date) -> Iterator[History]:
    """Yield what git adds to the pages of a portfolio; nothing where it lies in no repository with a commit."""
    from settingslint.history.objects import NoHistory

    try:
        from settingslint.history.repository import Repository

        repository = Repository(root)
    except (NoHistory, ImportError):  # GitPython without git can't be imported
        yield History()
        return
    with repository:
        try:
            head = repository.commit(repository.resolve("HEAD"))
        except NoHistory:
            yield History()
            return
        yield History(head.short, timeline=lambda plant: _timeline(repository, root, plant, as_of))


def _timeline(repository: Repository, root: Path, plant: Plant, as_of: date) -> str:
    """Return a plant's timeline as a part of its page; empty where no commit has it."""
    from settingslint.history.objects import NoHistory
    from settingslint.history.timeline import timeline
    from settingslint.output.timeline import span_text, summary, value_text
    from settingslint.report.timeline import CAPTION, picture

    try:
        line = timeline(repository, root, Path(plant.profile.path), as_of)
    except NoHistory:
        return ""
    said = " ".join((summary(line), *line.remarks))
    parts = [f"<p>{escape(plain(said))}</p>"]
    if line.changed():
        parts.append(f"<figure>{picture(line, None)}<figcaption>{escape(CAPTION)}</figcaption></figure>")
    lacking = [
        f"{title_of(one.setting)}, {span_text(one)}: {value_text(one, line.plant)}; {one.who}"
        + (", found so" if one.found else f"; the commit says: {one.said}" if one.said else "")
        for one in line.unexplained()
    ]
    if lacking:
        items = "".join(f"<li>{escape(plain(text))}</li>" for text in lacking)
        parts.append(f"<h3>Changes without a recorded reason</h3><ul>{items}</ul>")
    return "\n".join(parts)
