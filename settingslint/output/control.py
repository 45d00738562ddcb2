"""What `check` prints of a control file: what it lacks, contradicts or can't prove, a line each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from settingslint.output import Look
from settingslint.output.plain import plural
from settingslint.output.text import painted
from settingslint.plain import Plain, in_lines, together
from settingslint.starter.completeness import CONTRADICTS, LACKS, UNPROVED, Doubt


def control_text(name: str, doubts: Sequence[Doubt], look: Look) -> Plain:
    """Return the doubts about one control file as text; `name` is how messages call the file."""
    lines: list[str] = [
        together(f"{name}:{one.line}:{one.column}: ", painted(one.severity, look), f": {one.message} [{one.rule}]")
        for one in doubts
    ]
    counts = Counter(one.rule for one in doubts)
    lines.append(
        f"{name}: {plural(counts[CONTRADICTS], 'contradiction')}, {plural(counts[LACKS], 'gap')},"
        f" {plural(counts[UNPROVED], 'setting')} without good evidence. What is not said is not checked in any profile."
    )
    return in_lines(lines)
