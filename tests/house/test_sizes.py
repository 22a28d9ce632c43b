"""Sizes: files that fit in a head, functions that fit on a screen, and a README in every folder.

The limits are the project's own (docs/architecture.md); the habit of measuring them is older than we are.
"""

from __future__ import annotations

import ast
import math
import re
from pathlib import Path

import pytest

from tests.house.tree import PACKAGE, ROOT, folders_of, python_files, tracked

FILE_LINES = 600
FUNCTION_LINES = 100
FUNCTION_LINES_95TH = 50
README_LINES = 25
TRACKED_BYTES = 1_000_000
LONG_FILES: dict[str, str] = {}  # path: the reason why this one may be longer

FOLDERS = sorted(name for name in folders_of(PACKAGE) if (PACKAGE / name).is_dir())


def function_lines(source: str) -> dict[str, int]:
    """Return the lines of every function by ``name:line``, without its docstring and inner functions."""
    sizes = {}
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            lines = _span(node) - (_span(node.body[0]) if ast.get_docstring(node) is not None else 0)
            inner = (n for n in ast.walk(node) if n is not node and isinstance(n, ast.FunctionDef))
            sizes[f"{node.name}:{node.lineno}"] = lines - sum(_span(one) for one in inner)
    return sizes


def percentile_95(sizes: list[int]) -> int:
    """Nearest rank: the smallest size that at least 95 of 100 do not exceed."""
    return sorted(sizes)[math.ceil(0.95 * len(sizes)) - 1]


def _span(node: ast.stmt) -> int:
    assert node.end_lineno is not None
    return node.end_lineno - node.lineno + 1


def test_no_python_file_is_too_long() -> None:
    lengths = {
        path.relative_to(ROOT).as_posix(): len(path.read_text("utf-8").splitlines())
        for path in python_files("src", "tests", "benchmarks", "docs")
    }
    assert lengths, "no Python file is tracked"
    long = {name: count for name, count in lengths.items() if count > FILE_LINES and name not in LONG_FILES}
    assert long == {}
    assert not [name for name in LONG_FILES if lengths.get(name, 0) <= FILE_LINES], (
        "an exemption is not needed"
    )


def test_no_function_is_too_long() -> None:
    sizes = {
        f"{path.relative_to(ROOT).as_posix()}:{name}": count
        for path in python_files("src", "tests", "benchmarks", "docs")
        for name, count in function_lines(path.read_text("utf-8")).items()
    }
    assert {name: count for name, count in sizes.items() if count > FUNCTION_LINES} == {}
    ours = [count for name, count in sizes.items() if name.startswith("src/")]
    assert percentile_95(ours) <= FUNCTION_LINES_95TH


def test_functions_are_measured_without_docstrings_and_inner_functions() -> None:
    body = "\n".join("    x = 1" for _ in range(99))
    docstring = '    """One.\n\n    Two.\n    """\n'
    assert function_lines(f"def plain():\n{body}\n") == {"plain:1": 100}
    assert function_lines(f"def told():\n{docstring}{body}\n") == {"told:1": 100}
    assert function_lines(f"def outer():\n    def inner():\n        y = 2\n{body}\n")["outer:1"] == 100
    assert max(function_lines(f"async def long():\n{body}\n    x = 2\n").values()) == 101


def test_the_95th_percentile_is_the_nearest_rank() -> None:
    assert percentile_95(list(range(1, 101))) == 95
    assert percentile_95([3]) == 3


def test_nothing_large_is_tracked() -> None:
    large = {path.relative_to(ROOT).as_posix(): path.stat().st_size for path in tracked()}
    assert {name: size for name, size in large.items() if size > TRACKED_BYTES} == {}


@pytest.mark.parametrize("folder", FOLDERS)
def test_every_folder_has_a_short_readme(folder: str) -> None:
    readme = PACKAGE / folder / "README.md"
    assert readme.is_file(), f"{folder} has no README.md"
    text = readme.read_text("utf-8")
    assert len(text.splitlines()) < README_LINES
    assert text.startswith(f"# {folder}: ")
    missing = [
        told
        for told in (r"(?i)\bin[,:]", r"(?i)\bout\b", r"May import: ", r"\bOpen\b.* first|\bStart at")
        if not re.search(told, text)
    ]
    assert missing == [], "a README says what comes in, what goes out, what it may import, what to open first"


@pytest.mark.parametrize("folder", FOLDERS)
def test_every_file_that_a_readme_names_is_there(folder: str) -> None:
    readme = PACKAGE / folder / "README.md"
    assert lost_files(readme.read_text("utf-8"), PACKAGE / folder) == []


def test_a_readme_that_names_a_lost_file_is_seen(tmp_path: Path) -> None:
    (tmp_path / "here.py").touch()
    assert lost_files("`here.py`, `gone.py` and `<language>/x.toml`", tmp_path) == ["gone.py"]


def lost_files(text: str, folder: Path) -> list[str]:
    """Return the names in backticks that are no file of the folder, the package or the repository."""
    named = re.findall(r"`([\w./-]+\.(?:py|toml|json|md|js|css|html))`", text)
    tops = [folder, PACKAGE, ROOT, *(path for path in folder.iterdir() if path.is_dir())]
    return [name for name in named if not any((top / name).is_file() for top in tops)]
