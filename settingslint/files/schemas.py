"""Writes the JSON Schemas into a folder: `python -m settingslint.files.schemas`."""

from __future__ import annotations

import sys
from pathlib import Path

from settingslint.files.whole import put
from settingslint.model.schema import SCHEMAS, as_text


def main(folder: str = "schemas") -> None:
    """Write the schemas into a folder."""
    for name, build in SCHEMAS.items():
        put(Path(folder, f"{name}.schema.json"), as_text(build()))


if __name__ == "__main__":
    main(*sys.argv[1:])
