"""Several processes give the answer of one, bad files and bad controls included."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from pathlib import Path

import pytest

from settingslint.checking import workers
from settingslint.checking.check import check
from settingslint.files.reader import Reader
from settingslint.output import Look, render
from tests.bench.portfolio import make

AS_OF = date(2026, 11, 25)


@pytest.mark.parametrize("count", [2, 3])
def test_several_processes_give_the_answer_of_one(count: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    files = make(tmp_path / "p", 23)
    files[4].write_text("format = 1\nunits = 3\n", encoding="utf-8")
    files[9].write_bytes(b"\xff\xfe")
    files[22].unlink()
    control = tmp_path / "p" / "controls" / "kit-c.toml"
    control.write_text(control.read_text(encoding="utf-8") + "what = 3\n", encoding="utf-8")
    monkeypatch.setattr(workers, "CHUNK", 4)
    told: list[tuple[int, int]] = []
    used: list[int] = []
    real = workers.outcomes_by_workers
    monkeypatch.setattr("settingslint.checking.check.FEWEST", 5)

    def noted(reader: Reader, todo: Sequence[tuple[Path, str]], processes: int) -> Iterator[workers.Outcome]:
        used.append(processes)
        return real(reader, todo, processes)

    monkeypatch.setattr("settingslint.checking.check.outcomes_by_workers", noted)
    many = check([tmp_path / "p"], AS_OF, workers=count, progress=lambda *now: told.append(now))
    assert used == [count]
    one = check([tmp_path / "p"], AS_OF)
    assert len(one.problems) > 3 and len(one.results) > 8
    for form in ("json", "text", "sarif"):
        assert render(form, many, Look()) == render(form, one, Look())
    assert told and told[-1][0] <= told[-1][1] == 22


def test_this_machine_has_at_least_one_processor() -> None:
    assert workers.how_many() >= 1
