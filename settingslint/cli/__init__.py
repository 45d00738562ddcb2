"""The command line: one thin file for each command, no logic. Only the one that is typed is imported."""

from __future__ import annotations

import atexit
import gc
import os
import sys
from io import StringIO
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    import typer


def main() -> None:
    """Run the command line; the entry point of `settingslint`."""
    if sys.argv[1:] == ["--version"]:
        _print_version()
        return
    named = sys.argv[1] if len(sys.argv) > 1 else ""
    gc.set_threshold(50_000, 50, 100)  # a short life that makes little garbage and keeps much
    atexit.register(gc.freeze)  # nobody waits for a last search for circles
    try:
        if _is_plain_check(sys.argv[1:]):
            from pathlib import Path

            from settingslint.cli.check_paths import check_paths

            sys.exit(check_paths([Path(path) for path in sys.argv[2:]]))
        _run(app((named,) if named in COMMANDS else COMMANDS))
    except KeyboardInterrupt:
        from settingslint.cli.common import complain

        complain("settingslint: stopped")
        sys.exit(130)
    except OSError as error:  # of the disk, the network or the system
        from settingslint.cli.common import fail

        fail(f"{error.filename}: {error.strerror or error}" if error.filename else str(error.strerror or error))
    except Exception:  # a fault of this program: never mistaken for findings
        import traceback

        from settingslint.cli.common import complain, fail

        for line in traceback.format_exc().splitlines():
            complain(line)
        fail("this is a fault of the program, not of your files: please report it")


def _run(application: typer.Typer) -> None:
    """Run a command and end the program; what the parser of options has to say goes through the gate for text too."""
    import typer

    try:
        sys.exit(application(standalone_mode=False))
    except typer.Abort:
        lines, status = ["Aborted!"], 1
    except Exception as error:
        show, status = getattr(error, "show", None), getattr(error, "exit_code", 1)
        if show is None:
            raise
        said = StringIO()
        show(said)
        lines = said.getvalue().splitlines()
    from settingslint.cli.common import complain

    for line in lines:
        complain(line)
    sys.exit(status)


def _print_version() -> None:
    from settingslint import __version__

    print(f"settingslint {__version__}")


def _is_plain_check(words: Sequence[str]) -> bool:
    """Return whether this is a check of paths without any option: then nobody waits for the parser of options.

    On Windows the parser is always asked: it also reads `*` in names, which the shell leaves to it there.
    """
    plain = words[:1] == ["check"] and not any(word.startswith("-") for word in words)
    return plain and sys.platform != "win32" and "_SETTINGSLINT_COMPLETE" not in os.environ


def app(commands: Sequence[str] | None = None) -> typer.Typer:
    """Return the command line application, with some commands only where the others are not needed."""
    from importlib import import_module
    from keyword import iskeyword

    import typer

    application = typer.Typer(
        name="settingslint",
        help="Boiler control settings as text: what the control really does with them, what is wrong, what changed.",
        no_args_is_help=True,
        pretty_exceptions_enable=False,
        rich_markup_mode=None,
        context_settings={"help_option_names": ["--help", "-h"]},
    )

    @application.callback()
    def top(version: bool = typer.Option(False, "--version", help="Print the version.")) -> None:
        if version:
            _print_version()
            raise typer.Exit

    for name in commands or COMMANDS:
        import_module(f"settingslint.cli.{name}_" if iskeyword(name) else f"settingslint.cli.{name}").register(
            application
        )
    return application


COMMANDS = (
    "check",
    "questions",
    "effect",
    "notes",
    "timeline",
    "visit",
    "sheet",
    "explain",
    "calculate",
    "report",
    "begin",
    "import",
    "export",
)
"""The commands in the order of the help; the module of each has its name, with a _ behind a word of Python's."""
