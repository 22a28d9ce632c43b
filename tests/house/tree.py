"""Read the repository as data: its tracked files, and who imports whom, without importing anything."""

from __future__ import annotations

import ast
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "noonwall"
NAME = "noonwall"
LOADERS = {"import_module", "find_spec", "files"}  # these reach a module by a name in a string
NOT_OURS = {".venv", "build", "dist", "made", "node_modules"}


@dataclass(frozen=True, slots=True)
class Import:
    """One import: ``file`` relative to the package, ``target`` a dotted name, held by a function or not."""

    file: str
    line: int
    target: str
    inside_function: bool

    @property
    def folder(self) -> str:
        """The importing folder, or the stem of a file that lies in the package itself."""
        return Path(self.file).parts[0].removesuffix(".py")

    @property
    def ours(self) -> bool:
        return self.target.split(".")[0] == NAME

    @property
    def reached(self) -> str:
        """The folder or file of our package that is reached; "" for the package's own root."""
        return [*self.target.split("."), ""][1]


def folders_of(package: Path) -> set[str]:
    """Every folder with Python in it and every single file, by the name an import would use."""
    folders = {path.name for path in package.iterdir() if path.is_dir() and any(path.rglob("*.py"))}
    return folders | {path.stem for path in package.glob("*.py")} - {"__init__"}


def imports_of(package: Path) -> list[Import]:
    """Return every import of a package, those by ``importlib`` and ``importlib.resources`` among them."""
    known = folders_of(package)
    found: list[Import] = []
    for path in sorted(package.rglob("*.py")):
        file = path.relative_to(package)
        for node, inside in _walk(ast.parse(path.read_text("utf-8"), str(path)), False):
            for target in _targets(node, file):
                parts = target.split(".")
                # "from noonwall import __version__" reaches the root, "from noonwall import errors" a file
                if parts[0] == NAME and len(parts) > 1 and parts[1] not in known and not _is_module(node):
                    target = NAME
                found.append(Import(file.as_posix(), node.lineno, target, inside and _is_statement(node)))
    return found


def _walk(node: ast.AST, inside: bool) -> Iterator[tuple[ast.stmt | ast.expr, bool]]:
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.stmt | ast.expr):
            yield child, inside
        held = inside or isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda)
        yield from _walk(child, held)


def _is_statement(node: ast.AST) -> bool:
    return isinstance(node, ast.Import | ast.ImportFrom)


def _is_module(node: ast.AST) -> bool:
    """Whether the dotted name can only be a module: "import a.b", or "from a.b import c"."""
    return not (isinstance(node, ast.ImportFrom) and node.module in (NAME, None))


def _targets(node: ast.AST, file: Path) -> list[str]:
    if isinstance(node, ast.Import):
        return [alias.name for alias in node.names]
    if isinstance(node, ast.ImportFrom):
        base = node.module or ""
        if node.level:
            # a relative import is read from the folder the file lies in
            here = (NAME, *file.parent.parts)
            base = ".".join((*here[: len(here) - node.level + 1], *([base] if base else [])))
        return [f"{base}.{alias.name}" for alias in node.names] if base in (NAME, "") else [base]
    if isinstance(node, ast.Call):
        return _by_string(node)
    return []


def _by_string(call: ast.Call) -> list[str]:
    """Names reached by a loader's string; ``files("noonwall").joinpath("words", ...)`` reaches words."""
    name = call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
    first = call.args[0] if call.args else None
    if not (isinstance(first, ast.Constant) and isinstance(first.value, str)):
        return []
    if name in LOADERS:
        return [first.value]
    if name == "joinpath" and isinstance(call.func, ast.Attribute) and isinstance(call.func.value, ast.Call):
        return [f"{base}.{first.value}" for base in _by_string(call.func.value) if base == NAME]
    return []


def third_party(found: Import) -> bool:
    """Whether the import is neither ours nor Python's own."""
    return not found.ours and found.target.split(".")[0] not in sys.stdlib_module_names


@lru_cache(maxsize=1)
def tracked() -> tuple[Path, ...]:
    """Return the files of the repository: those git tracks, or, in an unpacked archive, all that are ours."""
    asked = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=False)
    if asked.returncode == 0 and asked.stdout:
        names = asked.stdout.decode("utf-8").split("\0")
        return tuple(ROOT / name for name in names if name and (ROOT / name).is_file())
    every = (path for path in ROOT.rglob("*") if path.is_file())
    return tuple(
        path
        for path in every
        if not any(part in NOT_OURS or part.endswith("_cache") for part in path.relative_to(ROOT).parts)
        and "__pycache__" not in path.parts
    )


def python_files(*tops: str) -> list[Path]:
    """Tracked Python files under the named top folders."""
    return [path for path in tracked() if path.suffix == ".py" and path.relative_to(ROOT).parts[0] in tops]
