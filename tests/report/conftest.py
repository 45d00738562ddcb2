"""A report of invented plants, hostile text among them, and a browser to look at it."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import tomlkit

from settingslint.checking.check import check
from settingslint.checking.questions import questions_of
from settingslint.checking.report import Report
from settingslint.output import Look
from settingslint.report.history import history_of
from settingslint.report.pages import write_report
from settingslint.report.questions import render
from settingslint.rules.plant import Plant
from settingslint.starter.example import write_example
from settingslint.starter.new import make_folder
from tests.rules.kit import AS_OF, control_data, profile_data, put

Audited = tuple[Report, dict[str, Plant]]
HOSTILE = "<script>document.title='taken'</script>\"'><img src=x onerror=alert(1)>"
PLANTS: dict[str, dict[str, Any]] = {
    "clean": {},
    "hot": {"plant.name": "Boiler 2", "plant.site": "Quay House", "settings.hygiene_cycle": True,
            "settings.hygiene_target": 151, "hot_water.mixing_valve": False},
    "cold": {"plant.name": "Boiler 3", "plant.site": "Quay House", "settings.freeze_protection": False,
             "settings.heating_setpoint": 140},
    "odd": {"plant.name": f"Boiler 4 {HOSTILE}", "plant.site": HOSTILE, "visit.by": HOSTILE, "visit.why": HOSTILE,
            "emitter.0.name": HOSTILE, "plant.serial": HOSTILE,
            "settings.tank_setpoint": {"value": 130, "why": HOSTILE, "watched_by": HOSTILE, "until": "2026-01-01"},
            "accepted": [{"rule": "tank-below-hygiene-temperature", "setting": "tank_setpoint", "because": HOSTILE,
                          "by": HOSTILE, "until": "2027-01-01"}]},
    "bare": {"plant.name": "Boiler 5", "plant.site": "Far Hut"},
}  # fmt: skip


def write_portfolio(folder: Path) -> Path:
    """Write the invented plants as files."""
    (folder / "controls").mkdir(parents=True)
    (folder / "controls" / "kit.toml").write_text(tomlkit.dumps(control_data()), encoding="utf-8")
    (folder / "portfolio.toml").write_text('format = 1\nname = "Harbour estate"\n', encoding="utf-8")
    for name, changes in PLANTS.items():
        data = profile_data()
        put(data, changes)
        if name == "bare":
            data = {key: data[key] for key in ("format", "units", "plant", "settings")}
        file = folder / "sites" / name / "plant.toml"
        file.parent.mkdir(parents=True)
        file.write_text(tomlkit.dumps(data), encoding="utf-8")
    return folder


@pytest.fixture(scope="session")
def audited(tmp_path_factory: pytest.TempPathFactory) -> tuple[Report, dict[str, Plant]]:
    """Return the report of the invented plants and the plants."""
    plants: dict[str, Plant] = {}
    report = check([write_portfolio(tmp_path_factory.mktemp("portfolio") / "p")], AS_OF, keep=plants)
    assert report.problems == ()
    return report, plants


@pytest.fixture(scope="session")
def pages(tmp_path_factory: pytest.TempPathFactory, audited: tuple[Report, dict[str, Plant]]) -> Path:
    """Return the folder of the written pages."""
    folder = tmp_path_factory.mktemp("pages")
    write_report(audited[0], audited[1], folder)
    return folder


@pytest.fixture(scope="session")
def questions_page(tmp_path_factory: pytest.TempPathFactory, audited: Audited) -> Path:
    """Return the page of `questions` about the invented plants, which stands alone."""
    file = tmp_path_factory.mktemp("questions") / "questions.html"
    file.write_text(render("html", questions_of(audited[0]), Look()), encoding="utf-8")
    return file


@dataclass(frozen=True)
class Estate:
    """A portfolio on the disk with its history, its report, its plants and its pages."""

    root: Path
    report: Report
    plants: dict[str, Plant]
    pages: Path


@pytest.fixture(scope="session")
def example(tmp_path_factory: pytest.TempPathFactory) -> Estate:
    """Return the example portfolio as `begin --example` makes it."""
    root, to = tmp_path_factory.mktemp("example") / "p", tmp_path_factory.mktemp("example-pages")
    make_folder(root)
    write_example(root)
    plants: dict[str, Plant] = {}
    report = check([root], AS_OF, keep=plants)
    with history_of(root, AS_OF) as history:
        write_report(report, plants, to, history)
    return Estate(root, report, plants, to)


@pytest.fixture(scope="session")
def example_pages(example: Estate) -> Path:
    """Return the folder of the pages of the example portfolio, with its history."""
    return example.pages


def chromium() -> str | None:
    """Return the path of a Chromium, or None."""
    return next((path for name in ("chromium", "chromium-browser") if (path := shutil.which(name))), None)


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """Return a running browser; skips where there is none."""
    path = chromium()
    if path is None:
        pytest.skip("no Chromium on this machine: install the package chromium to run the browser tests")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        running = play.chromium.launch(
            executable_path=path, args=["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
        )
        yield running
        running.close()
