"""What all tests share: with SETTINGSLINT_ALL_TESTS set, as in CI, a skipped test fails the run.

With SETTINGSLINT_INSTALLED set the tests are of the package that is installed, and of no other that lies about.
"""

from __future__ import annotations

import os
import sysconfig
from pathlib import Path
from typing import Final

import pytest

import settingslint

MAY_BE_SKIPPED: Final = ("this interpreter comes without its own tests",)
_SKIPPED: list[str] = []


def pytest_sessionstart() -> None:
    """End at once where the package that is tested is not the one that was to be tested."""
    place = Path(settingslint.__file__).resolve()
    installed = Path(sysconfig.get_path("purelib")).resolve()
    if os.environ.get("SETTINGSLINT_INSTALLED") and not place.is_relative_to(installed):
        pytest.exit(f"settingslint comes from {place}, not from {installed}", returncode=2)


def pytest_report_header() -> str:
    """Say where the package that is tested lies."""
    return f"settingslint {settingslint.__version__} from {Path(settingslint.__file__).parent}"


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    """Note a skipped test with its reason."""
    if report.skipped and isinstance(report.longrepr, tuple) and not hasattr(report, "wasxfail"):
        reason = str(report.longrepr[2]).removeprefix("Skipped: ")
        if not reason.startswith(MAY_BE_SKIPPED):
            _SKIPPED.append(f"{report.nodeid}: {reason}")


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Fail the run for what was skipped, where all tests have to run."""
    if os.environ.get("SETTINGSLINT_ALL_TESTS") and _SKIPPED and session.exitstatus == 0:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Name what was skipped."""
    for line in _SKIPPED:
        terminalreporter.write_line(f"skipped: {line}")
