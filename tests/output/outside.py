"""Schemas of other people's, which lie in packages of public registries and not in this repository.

`.ci/run` fetches them and names them in these variables; with a variable set, nothing is skipped. By hand:

    npm pack @microsoft/jest-sarif                              # lib/schemas/sarif-2.1.0-rtm.5.json: OASIS SARIF 2.1.0
    pip download --no-binary :all: --no-deps pytest             # testing/example_scripts/junit-10.xsd
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest


def outside(variable: str) -> Path:
    """Return the path that an environment variable names; without one, the test says why it is skipped."""
    named = os.environ.get(variable)
    if named is None:
        pytest.skip(f"{variable} names no file: see tests/output/outside.py")
    assert Path(named).is_file(), f"{variable} names {named}, which is no file"
    return Path(named)


SARIF = "SETTINGSLINT_SARIF_SCHEMA"
JUNIT = "SETTINGSLINT_JUNIT_XSD"
