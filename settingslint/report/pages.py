"""The portfolio report: an index, a page and a visit sheet for each plant, written only where something changed."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from importlib import resources
from pathlib import Path
from typing import Any, Final

from settingslint import __version__
from settingslint.checking.audit import Result
from settingslint.checking.faults import fault
from settingslint.checking.questions import FIRST_VIEW, questions
from settingslint.checking.report import Report, covered
from settingslint.checking.workers import FEWEST
from settingslint.files.whole import put, refused
from settingslint.history.stamp import with_lost
from settingslint.model.values import Problem, title_of
from settingslint.plain import Plain, as_laid_out
from settingslint.report.events import events_picture, unexplained
from settingslint.report.fate import fate_rows
from settingslint.report.findings import cause_row, causes, caution_rows
from settingslint.report.history import NONE, History, Told, drift, firing_changed
from settingslint.report.index import Share, index_page
from settingslint.report.names import URGENT, page_name
from settingslint.report.pictures import drawn
from settingslint.report.questions import rows as question_rows
from settingslint.report.sheet import Paper, html
from settingslint.report.single import environment
from settingslint.report.visit_sheet import visit_sheet
from settingslint.rules.plant import Plant
from settingslint.vocabulary.cautions import FRAME

CHUNK: Final = 20
"""Plants that a process is given at a time."""
STYLE: Final = "pages.css"
MARK: Final = "/* The pages of a report by settingslint."
"""How the style begins; by it an earlier report is known."""


def plant_page(result: Result, plant: Plant, common: Mapping[str, Any], told: Told) -> Plain:
    """Return the page of one plant."""
    corner = ", ".join(filter(None, (str(common["as_of"]), told.stamp)))
    pictures, lacking = drawn(plant, corner)
    rows = [(one.finding, cause_row(one, plant, told.since)) for one in causes(result)]
    happened = events_picture(plant, told.line, corner)
    if happened is None:
        lacking.append(("Timeline of changes", "no picture: no visit, reading or temporary value is recorded"))
    asked = questions([result])
    return as_laid_out(
        environment()
        .get_template("plant.html")
        .render(
            common,
            commit=told.stamp,
            up="../",
            here=result.plant,
            title=f"{result.plant}, {result.site}",
            sheet=f"../sheets/{page_name(result)}",
            findings=[row for finding, row in rows if finding.accepted is None],
            accepted=[row for finding, row in rows if finding.accepted is not None],
            cautions=caution_rows(result),
            pictures=[one for one in pictures if not one.wide],
            settings=[one for one in pictures if one.wide],
            happened=list(filter(None, (happened,))),
            lacking=lacking,
            fate=fate_rows(plant),
            coverage=covered([result]).words,
            questions=question_rows(asked[:FIRST_VIEW]),
            more_questions=max(0, len(asked) - FIRST_VIEW),
            assumed=result.assumed,
            not_checked=_lacking(result),
            lacks=len(result.not_checked),
            history=told.line is not None,
            unexplained=unexplained(told.line) if told.line is not None else [],
        )
    )


def _lacking(result: Result) -> list[tuple[str, str]]:
    """Return what is lacking, and why where that says more, with the rules that were not checked for it."""
    found: dict[str, list[str]] = {}
    for lack in result.not_checked:
        need = ", ".join(lack.needs) + (f" ({lack.why})" if lack.why else "")
        found.setdefault(need, []).append(lack.rule)
    return sorted(((need, ", ".join(rules)) for need, rules in found.items()), key=lambda one: -len(one[1]))


def _share(plant: Plant, told: Told, changed: int) -> Share:
    """Return what the page of the portfolio says of a plant's past."""
    line = told.line
    if line is None:
        return Share(changed, {}, (), NONE)
    rows = []
    for name, before, found, after in drift(line):
        asked, seen = (plant.show(name, one.typed) if one.typed is not None else one.left for one in (before, found))
        asked = f"{asked} (found, not set)" if before.found else asked
        then = "as found" if after is None else plant.show(name, after.typed) if after.typed is not None else after.left
        cells = (title_of(name), asked, before.begin, seen, found.begin, then)
        rows.append(tuple(str(cell) for cell in cells))
    day = firing_changed(line)
    return Share(changed, told.since, tuple(rows), "none in the history" if day is None else day.isoformat())


# writing --------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Job:
    report: Report
    plants: Mapping[str, Plant]
    to: Path
    history: History
    common: Mapping[str, Any]

    def write(self, result: Result) -> Share:
        """Write the page and the visit sheet of one plant; a fault of this program there is told, and the others go on.

        Raises:
            OSError: where a file can't be written.
        """
        try:
            return self._write(result)
        except OSError:
            raise
        except Exception as error:
            return Share(0, {}, (), NONE, fault(result.path, "making its page", error))

    def _write(self, result: Result) -> Share:
        plant = self.plants[result.path]
        open_ = [one for one in result.findings if one.accepted is None and one.severity in URGENT]
        told = self.history.past(plant, open_)
        told = replace(told, stamp=with_lost(told.stamp or NONE, result.history)) if result.history else told
        name = page_name(result)
        sheet = visit_sheet(plant, told.stamp or "not under version control", questions([result]))
        page = plant_page(result, plant, self.common, told)
        changed: int = put(self.to / "plants" / name, page, root=self.to)
        paper: Paper = "a4" if plant.system == "metric" else "letter"
        changed += put(self.to / "sheets" / name, html([sheet], paper), root=self.to)
        return _share(plant, told, changed)


_JOBS: Final[list[_Job]] = []
"""The one job of a worker process."""


def _chunk(start: int) -> list[Share]:
    job = _JOBS[0]
    return [job.write(result) for result in job.report.results[start : start + CHUNK]]


def _shares(job: _Job, workers: int) -> Iterator[Share]:
    """Yield what each plant gives to the index, in order; its files are written by then."""
    count = len(job.report.results)
    if workers < 2 or count < FEWEST or sys.platform != "linux":
        yield from (job.write(result) for result in job.report.results)
        return
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    _JOBS[:] = [job]
    environment().get_template("plant.html")  # read before the processes part
    try:
        with ProcessPoolExecutor(workers, get_context("fork")) as pool:
            for shares in pool.map(_chunk, range(0, count, CHUNK)):
                yield from shares
    finally:
        _JOBS.clear()


def write_report(
    report: Report, plants: Mapping[str, Plant], to: Path, history: History | None = None, workers: int = 1
) -> tuple[int, list[Problem]]:
    """Write the pages into a folder; files that are the same are left alone.

    Returns how many files changed, and at which plants this program itself failed.

    Args:
        report: what the rules say.
        plants: by their paths.
        to: the folder; it is made where it is not there.
        history: what git adds.
        workers: processes that work at once, where there are many plants.

    Raises:
        OSError: where the folder or a file can't be written.
    """
    history = history or History()
    common: dict[str, Any] = {
        "portfolio": report.portfolio.name,
        "as_of": report.portfolio.context.as_of.isoformat(),
        "version": __version__,
        "frame": FRAME,
    }
    _own_folder(to)
    templates = resources.files("settingslint.report") / "templates"
    changed = 0
    for name in (STYLE, "pages.js"):
        changed += put(to / name, as_laid_out((templates / name).read_text(encoding="utf-8")), root=to)
    shares = list(_shares(_Job(report, plants, to, history, common), workers))
    changed += sum(share.changed for share in shares)
    by_path = {result.path: share for result, share in zip(report.results, shares, strict=True)}
    commit = f"commit {history.commit}" if history.commit else ""
    index = index_page(report, plants, {**common, "commit": commit}, by_path)
    changed += put(to / "index.html", index, root=to)
    return changed, [share.fault for share in shares if share.fault is not None]


def _own_folder(to: Path) -> None:
    """Raise NotMeant where a folder holds something, and no earlier report."""
    style = to / STYLE
    begin = style.read_text(encoding="utf-8", errors="replace")[: len(MARK)] if style.is_file() else ""
    if begin != MARK and to.is_dir() and any(to.iterdir()):
        raise refused(to, "something else than an earlier report is there; name another folder, or an empty one")
