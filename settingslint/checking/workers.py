"""Plants audited by several processes at once. Each reads the portfolio for itself; results come back as bytes."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Sequence
from copy import copy
from datetime import date
from pathlib import Path
from typing import Final

from settingslint.checking.audit import Result, audit
from settingslint.checking.compact import compact, held_together
from settingslint.checking.faults import fault
from settingslint.checking.memory import pack, unpack
from settingslint.files.reader import History, Reader, profile_of
from settingslint.files.reading import digest
from settingslint.model.values import Problem, Unreadable
from settingslint.rules import all_rules
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule

CHUNK: Final = 40
"""Plants that a process is given at a time."""
FEWEST: Final = 120
"""With fewer plants, one process alone is done sooner."""

Outcome = tuple[bytes, bytes, Result] | Unreadable
"""Digests of profile and control with the result, or why there is none."""


def how_many() -> int:
    """Return how many processes this machine can run at once."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def outcome(
    reader: Reader, rules: Sequence[Rule], file: Path, name: str, keep: dict[str, Plant] | None = None
) -> Outcome:
    """Return what the rules about single plants say of a file, and what it follows from; the plant goes to `keep`."""
    try:
        content = reader.files.read(file, name)
        plant = reader.plant_of(profile_of(content, name))
        result = audit(plant, rules, reader.portfolio.severities)
    except Unreadable as unread:
        return unread
    except Exception as error:
        return Unreadable([fault(name, "reading and checking it", error)])
    if keep is not None:
        keep[name] = plant
    control = reader.control_digest(plant.profile.control)
    assert control is not None
    return digest(content), control, compact(result)


_READERS: Final[list[Reader]] = []
"""The one reader of a worker process."""


def _begin(root: Path, as_of: date, history: History | None) -> None:
    import gc

    gc.freeze()
    gc.set_threshold(100_000, 20, 20)
    _READERS[:] = [Reader(root, as_of, history=copy(history))]  # each process opens git for itself


def _chunk(files: Sequence[tuple[Path, str]]) -> tuple[bytes, list[list[Problem] | None], list[Problem]]:
    reader = _READERS[0]
    outcomes = [outcome(reader, all_rules(), file, name) for file, name in files]
    good = pack([one for one in outcomes if not isinstance(one, Unreadable)])
    return good, [one.problems if isinstance(one, Unreadable) else None for one in outcomes], reader.problems


def outcomes_by_workers(reader: Reader, files: Sequence[tuple[Path, str]], count: int) -> Iterator[Outcome]:
    """Yield the outcomes of files in their order, all rules asked, worked out by so many processes.

    Problems of controls come to the reader's problems.
    """
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    context = get_context("fork" if sys.platform == "linux" else "spawn")
    chunks = [files[start : start + CHUNK] for start in range(0, len(files), CHUNK)]
    all_rules()  # read before the processes part
    arguments = (reader.root, reader.portfolio.context.as_of, reader.history)
    with ProcessPoolExecutor(count, context, _begin, arguments) as pool:
        for good, bad, problems in pool.map(_chunk, chunks):
            reader.problems += problems
            rows = unpack(good)
            held = held_together([result for _, _, result in rows])
            results = iter([(content, control, one) for (content, control, _), one in zip(rows, held, strict=True)])
            for unread in bad:
                yield Unreadable(unread) if unread is not None else next(results)
