"""What in the package writes, moves or makes files, or prints: every call of it, by module and function."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import Final, NamedTuple

import settingslint

PACKAGE: Final = Path(settingslint.__file__).parent
OF_PATHS: Final = {
    "write_text", "write_bytes", "mkdir", "rename", "touch", "symlink_to", "hardlink_to", "link_to", "unlink", "rmdir",
    "chmod", "lchmod",
}  # fmt: skip
"""Methods that no other kind of object has."""
OF_MODULES: Final = {
    "os": {
        "open", "fdopen", "mkdir", "makedirs", "rename", "renames", "replace", "remove", "unlink", "rmdir",
        "removedirs", "link", "symlink", "chmod", "fchmod", "truncate", "ftruncate", "mknod", "mkfifo", "write",
        "writev", "pwrite", "sendfile", "copy_file_range", "dup2", "popen", "system",
    },
    "shutil": {
        "copy", "copy2", "copyfile", "copyfileobj", "copymode", "copystat", "copytree", "move", "rmtree",
        "make_archive", "unpack_archive", "chown",
    },
    "traceback": {"print_exc", "print_exception", "print_stack", "print_tb"},
}  # fmt: skip
WRITING_MODULES: Final = {
    "tempfile", "shelve", "dbm", "sqlite3", "zipfile", "tarfile", "gzip", "bz2", "lzma", "mmap", "logging", "pprint",
}  # fmt: skip
PRINTING: Final = {"print", "breakpoint"}
OF_TYPER: Final = {"echo", "secho", "prompt", "confirm", "echo_via_pager", "progressbar", "launch", "edit", "style"}
STREAMS: Final = {"stdout", "stderr", "__stdout__", "__stderr__"}
ASKED_OF_STREAMS: Final = {"isatty", "flush", "encoding"}


class Way(NamedTuple):
    """One call: in which module and function, at which line, and what."""

    module: str
    function: str
    line: int
    what: str


def ways(text: str, module: str) -> tuple[list[Way], list[Way]]:
    """Return what in a module's text writes, and what prints."""
    writes: list[Way] = []
    prints: list[Way] = []
    for function, node in _inside(ast.parse(text), ""):
        found = _written(node), _printed(node)
        for what, ways_ in zip(found, (writes, prints), strict=True):
            if what:
                ways_.append(Way(module, function, getattr(node, "lineno", 0), what))
    return writes, prints


def all_ways() -> tuple[list[Way], list[Way]]:
    """Return what in the package writes, and what prints."""
    writes: list[Way] = []
    prints: list[Way] = []
    for file in sorted(PACKAGE.rglob("*.py")):
        found = ways(file.read_text(encoding="utf-8"), file.relative_to(PACKAGE).as_posix())
        writes += found[0]
        prints += found[1]
    return writes, prints


def _inside(node: ast.AST, function: str) -> Iterator[tuple[str, ast.AST]]:
    for child in ast.iter_child_nodes(node):
        name = function
        if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            name = f"{function}.{child.name}".strip(".")
        yield name, child
        yield from _inside(child, name)


def _written(node: ast.AST) -> str:
    if isinstance(node, ast.Import | ast.ImportFrom):
        return _imported(node)
    if not isinstance(node, ast.Call):
        return ""
    called = node.func
    if isinstance(called, ast.Name):
        return "open" if called.id == "open" and _may_write(node, 1) else ""
    if not isinstance(called, ast.Attribute):
        return ""
    of = called.value.id if isinstance(called.value, ast.Name) else ""
    if called.attr in OF_MODULES.get(of, ()):
        return f"{of}.{called.attr}"
    if called.attr in OF_PATHS and of not in OF_MODULES:
        return called.attr
    if called.attr == "replace" and len(node.args) == 1 and not node.keywords:  # of a path; that of a text takes two
        return "replace"
    if called.attr == "open" and of != "os":
        return "open" if _may_write(node, 1 if of in ("io", "codecs", "builtins") else 0) else ""
    return ""


def _imported(node: ast.Import | ast.ImportFrom) -> str:
    if isinstance(node, ast.Import):
        names = [one.name.partition(".")[0] for one in node.names]
        return next((f"import {name}" for name in names if name in WRITING_MODULES), "")
    module = (node.module or "").partition(".")[0]
    if module in WRITING_MODULES:
        return f"import {module}"
    taken = [one.name for one in node.names if one.name in OF_MODULES.get(module, ())]
    return f"from {module} import {taken[0]}" if taken else ""


def _may_write(node: ast.Call, at: int) -> bool:
    """Return whether a call of open may open for writing: unless the mode is plain to see and only reads."""
    mode: ast.expr | None = node.args[at] if len(node.args) > at else None
    mode = next((one.value for one in node.keywords if one.arg == "mode"), mode)
    if mode is None:
        return any(one.arg is None for one in node.keywords)
    return not isinstance(mode, ast.Constant) or bool(set(str(mode.value)) & set("wax+"))


def _printed(node: ast.AST) -> str:
    if isinstance(node, ast.ImportFrom):
        taken = [one.name for one in node.names if node.module in ("typer", "click") and one.name in OF_TYPER]
        taken += [one.name for one in node.names if node.module == "sys" and one.name in STREAMS]
        return f"from {node.module} import {taken[0]}" if taken else ""
    if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Attribute):
        inner = node.value
        if inner.attr in STREAMS and isinstance(inner.value, ast.Name) and inner.value.id == "sys":
            return "" if node.attr in ASKED_OF_STREAMS else f"sys.{inner.attr}.{node.attr}"
    if not isinstance(node, ast.Call):
        return ""
    if any(_is_stream(one) for one in [*node.args, *(more.value for more in node.keywords)]):
        return "a stream of sys handed on"
    called = node.func
    if isinstance(called, ast.Name):
        return called.id if called.id in PRINTING or called.id == "Plain" else ""
    if isinstance(called, ast.Attribute) and isinstance(called.value, ast.Name):
        of, name = called.value.id, called.attr
        if (of in ("typer", "click") and name in OF_TYPER) or (of == "warnings" and name.startswith("warn")):
            return f"{of}.{name}"
        if name == "Plain":
            return "Plain"
    return ""


def _is_stream(node: ast.expr) -> bool:
    named = isinstance(node, ast.Attribute) and node.attr in STREAMS
    return named and isinstance(node.value, ast.Name) and node.value.id == "sys"  # type: ignore[attr-defined]
