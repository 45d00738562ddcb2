"""The README's picture: drawn by the program from the example, with its own looks in it.

`python -m tests.picture` draws it anew; a test fails where it is not what the program draws.
"""

from __future__ import annotations

import re
from datetime import date
from importlib import resources
from pathlib import Path
from typing import Final

from settingslint.api import Estate
from settingslint.report.pictures import reset_picture

ROOT: Final = Path(__file__).parents[1]
FILE: Final = ROOT / "profiles" / "reset-line.svg"
PLANT: Final = ROOT / "profiles" / "sites" / "weir-cottages" / "no-3.toml"


def drawn() -> str:
    """Return the picture of the example's reset line as a file that shows by itself."""
    plant = Estate(PLANT, date(2026, 11, 25)).plant(PLANT)
    picture = reset_picture(plant, "").svg
    css = (resources.files("settingslint.report") / "templates" / "pages.css").read_text(encoding="utf-8")
    used = {f".{name}" for names in re.findall(r'class="([^"]+)"', picture) for name in names.split()} | {"polyline"}
    rules = re.findall(r"([^{}]+)\{([^{}]*)\}", css.partition("@media")[0])
    looks = "".join(
        f"{selector.strip()}{{{body.strip()}}}"
        for selector, body in rules
        if used & {one.strip() for one in selector.split(",")}
    )
    size = re.search(r'viewBox="0 0 (\d+) (\d+)"', picture)
    assert size is not None
    head = f'<svg xmlns="http://www.w3.org/2000/svg" width="{size[1]}" height="{size[2]}" font-family="sans-serif" '
    ground = f'<style>{looks}</style><rect width="100%" height="100%" fill="#fff"/>'
    body = picture.removeprefix("<svg ").replace(">", f">{ground}", 1)
    return f"{head}{body}\n"


if __name__ == "__main__":
    FILE.write_text(drawn(), encoding="utf-8", newline="\n")
