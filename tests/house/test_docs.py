"""The documents cannot drift: commands, findings, packages, links and chores are held against the code."""

from __future__ import annotations

import ast
import os
import re
import subprocess
import sys
import tomllib
from functools import cache
from pathlib import Path

import pytest

from noonwall.cli.main import COMMANDS
from noonwall.fit import faults as fit_faults
from noonwall.text.source_faults import FAULTS
from tests.house.rules import OUTSIDE
from tests.house.tree import PACKAGE, ROOT, imports_of, python_files, third_party, tracked

DOCS = ROOT / "docs"
CODE = re.compile(r"[a-z]+(?:-[a-z]+)*\.[a-z][a-z0-9]*(?:-[a-z0-9]+)*")
# Said by the reader to checks/counts.py, which makes other findings of them: never seen by a user.
BETWEEN_STAGES = {
    "counts.dropped",
    "counts.label",
    "counts.line",
    "counts.nothing",
    "counts.squeezed",
    "counts.unused",
}
# the name on the shelf -> the name in an import, where they differ
IMPORTED_AS = {
    "dask": "distributed",
    "pillow": "PIL",
    "python-docx": "docx",
    "font-source-sans-pro": "font_source_sans_pro",
    "webvtt-py": "webvtt",
}


# --- commands ----------------------------------------------------------------------------------------------


@cache
def help_of(*words: str) -> str:
    """Return what the program itself prints as help."""
    code = "from noonwall.cli.main import main; raise SystemExit(main())"
    done = subprocess.run(
        [sys.executable, "-c", code, *words, "--help"],
        capture_output=True,
        text=True,
        encoding="utf-8",
        env={**_environment(), "COLUMNS": "1000", "NO_COLOR": "1", "PYTHONUTF8": "1"},
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def _environment() -> dict[str, str]:
    # only what Python needs to start: a person's language or colours must not change the help
    return {name: os.environ[name] for name in ("PATH", "SYSTEMROOT", "PYTHONPATH") if name in os.environ}


def chapters(text: str) -> dict[str, str]:
    """Return the text below every level-2 heading, by heading."""
    parts = re.split(r"^## +(.+)$", text, flags=re.MULTILINE)
    return dict(zip(parts[1::2], parts[2::2], strict=True))


def test_every_command_and_option_is_documented() -> None:
    documented = chapters((DOCS / "commands.md").read_text("utf-8"))
    for command in COMMANDS:
        chapter = documented.get(f"`noonwall {command}`") or documented.get(f"noonwall {command}")
        assert chapter, f"docs/commands.md has no heading '## `noonwall {command}`'"
        options = set(re.findall(r"(?<![\w-])--[a-z][a-z-]*", help_of(command))) - {"--help"}
        missing = sorted(option for option in options if option not in chapter)
        assert missing == [], f"docs/commands.md leaves out options of {command}"


def test_no_command_is_documented_that_is_gone() -> None:
    documented = re.findall(
        r"^## `?noonwall ([a-z-]+)`?$", (DOCS / "commands.md").read_text("utf-8"), re.MULTILINE
    )
    assert sorted(documented) == sorted(COMMANDS)


@pytest.mark.parametrize("page", ["README.md", "docs/guide.md"])
def test_every_command_line_that_is_shown_can_be_typed(page: str) -> None:
    lines = re.findall(r"^    noonwall ([a-z]+)(.*)$", (ROOT / page).read_text("utf-8"), re.MULTILINE)
    assert lines
    for command, rest in lines:
        assert command in COMMANDS, f"{page} shows noonwall {command}"
        unknown = set(re.findall(r"--[a-z-]+", rest)) - set(re.findall(r"--[a-z-]+", help_of(command)))
        assert not unknown, f"{page} shows noonwall {command} with {unknown}"


def test_every_command_is_a_file_of_its_name_and_is_offered() -> None:
    files = {path.stem for path in (PACKAGE / "cli").glob("*.py")}
    assert [one for one in COMMANDS if one.replace("-", "_") not in files] == []
    assert [one for one in COMMANDS if not re.search(rf"^ +{one}\b", help_of(), re.MULTILINE)] == []


# --- findings ----------------------------------------------------------------------------------------------


def worded(language: str) -> set[str]:
    """Return the code of every finding that has its sentences in a language."""
    file = PACKAGE / "words" / language / "messages.toml"
    return set(tomllib.loads(file.read_text("utf-8"))["findings"])


def codes_in(source: str, families: set[str]) -> tuple[set[str], list[int]]:
    """Return the finding codes written in a source, and the lines that put a code together from pieces.

    A code is any string of the form "family.remark" with a known family, or the first value of a Finding.
    """
    codes: set[str] = set()
    pieced: list[int] = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and CODE.fullmatch(node.value):
            codes |= {node.value} if node.value.split(".")[0] in families else set()
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Finding":
            code = next((word.value for word in node.keywords if word.arg == "code"), None) or node.args[0]
            if isinstance(code, ast.Constant):
                codes.add(str(code.value))
            elif not isinstance(code, ast.Name | ast.Attribute | ast.IfExp | ast.Subscript):
                pieced.append(node.lineno)
    return codes, pieced


def used_codes() -> set[str]:
    """Return every finding code that the package makes; what is wrong with a *file* is no finding."""
    families = {code.split(".")[0] for code in worded("en")}
    used: set[str] = set()
    for path in sorted(PACKAGE.rglob("*.py")):
        codes, pieced = codes_in(path.read_text("utf-8"), families)
        assert pieced == [], f"{path.name}: write finding codes whole, so that they can be found"
        used |= codes
    files = {f"{family}.{end}" for family in families for end in ("toml", "json", "py")}
    return used - files - set(FAULTS) - set(fit_faults.FAULTS)


def test_every_finding_is_worded_and_every_wording_is_used() -> None:
    assert sorted(used_codes() - worded("en") - BETWEEN_STAGES) == [], (
        "words/en/messages.toml has no [findings] for these"
    )
    assert sorted(worded("en") - used_codes()) == [], "no check makes these findings"


def test_every_exception_between_stages_is_needed() -> None:
    assert used_codes() >= BETWEEN_STAGES
    assert not BETWEEN_STAGES & worded("en")


def test_both_languages_word_the_same_findings() -> None:
    assert worded("en") == worded("fr")


def test_every_finding_has_its_entry_and_every_entry_its_finding() -> None:
    text = (DOCS / "checks.md").read_text("utf-8")
    parts = re.split(r"^#{2,4} .*?`([a-z.-]+)`.*$", text, flags=re.MULTILINE)
    entries = dict(zip(parts[1::2], parts[2::2], strict=True))
    assert set(entries) == worded("en")
    assert [code for code, entry in entries.items() if len(entry.split()) < 10] == [], (
        "an entry says too little"
    )


def test_codes_are_seen_in_every_form() -> None:
    whole = 'Finding("weight.same-foot", WRONG)\nx = "loop.other-foot"\nopen("moves.toml")\n'
    source = whole + 'Finding(code=f"weight.{x}")'
    assert codes_in(source, {"loop"}) == ({"weight.same-foot", "loop.other-foot"}, [4])


# --- packages ----------------------------------------------------------------------------------------------


def declared() -> set[str]:
    """Return the name of every package that pyproject.toml asks for, extras and build included."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    extras = project["project"]["optional-dependencies"].values()
    wanted = [*project["project"]["dependencies"], *(one for extra in extras for one in extra)]
    return {re.split(r"[<>=!~\[; ]", one)[0] for one in [*wanted, *project["build-system"]["requires"]]}


def test_every_package_has_its_row_and_every_row_its_package() -> None:
    rows = re.findall(r"^\| `([\w-]+)` +\|", (DOCS / "dependencies.md").read_text("utf-8"), re.MULTILINE)
    assert sorted(rows) == sorted(declared())


def imported_as(wanted: list[str]) -> set[str]:
    """Return the names by which the packages of a list in pyproject.toml are imported."""
    names = {re.split(r"[<>=!~\[; ]", one)[0] for one in wanted}
    return {IMPORTED_AS.get(name, name.replace("-", "_")) for name in names}


def test_what_is_asked_for_is_what_is_imported() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    extras = project["optional-dependencies"]
    # the web framework asks for this one by itself when a form brings a file; the two below are its own
    needed = imported_as(project["dependencies"]) - {"python_multipart"}
    used = {one.target.split(".")[0] for one in imports_of(PACKAGE) if third_party(one)} - {
        "pydantic",
        "starlette",
    }
    if_there = imported_as(extras["docx"] + extras["cluster"] + extras["school"]) | {"soundfile"}
    assert needed == used - if_there
    assert used == set(OUTSIDE) - {"pydantic", "starlette"}
    assert if_there <= imported_as([one for extra in extras.values() for one in extra])


def test_what_the_tests_import_is_asked_for() -> None:
    shelf = {IMPORTED_AS.get(name, name.replace("-", "_")) for name in declared()}
    lost = {
        (path.name, name)
        for path in python_files("tests", "docs")
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        for name in tops_of(node)
        if name not in shelf | sys.stdlib_module_names | {"noonwall", "tests"}
    }
    assert lost == set()


def tops_of(node: ast.AST) -> list[str]:
    """Return the packages that a statement imports."""
    if isinstance(node, ast.Import):
        return [alias.name.split(".")[0] for alias in node.names]
    return [(node.module or "").split(".")[0]] if isinstance(node, ast.ImportFrom) and not node.level else []


# --- pages and chores --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "page", [path for path in tracked() if path.suffix == ".md"], ids=lambda path: path.name
)
def test_links_between_pages_lead_somewhere(page: Path) -> None:
    links = re.findall(
        r"\]\(([^)#\s]+)[^)]*\)", re.sub(r"```.*?```", "", page.read_text("utf-8"), flags=re.DOTALL)
    )
    lost = [link for link in links if "://" not in link and not (page.parent / link).exists()]
    assert lost == []


def test_every_chore_is_explained_and_every_chore_explained_exists() -> None:
    makefile = (ROOT / "Makefile").read_text("utf-8")
    chores = set(re.findall(r"^\.PHONY: (.+)$", makefile, re.MULTILINE)[0].split())
    explained = re.findall(r"`make ([a-z]+)`", (ROOT / "CONTRIBUTING.md").read_text("utf-8"))
    assert set(explained) == chores
    assert all(re.search(rf"^{chore}:", makefile, re.MULTILINE) for chore in chores)


def test_the_change_log_names_the_version() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    log = (ROOT / "CHANGELOG.md").read_text("utf-8")
    assert re.search(rf"^## {re.escape(project['version'])}\b", log, re.MULTILINE)
    assert f'__version__ = "{project["version"]}"' in (PACKAGE / "__init__.py").read_text("utf-8")


def test_the_readme_asks_for_the_python_that_the_package_asks_for() -> None:
    wanted = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["requires-python"]
    assert f"Python {wanted.removeprefix('>=')}" in (ROOT / "README.md").read_text("utf-8")


def test_the_architecture_page_names_every_folder() -> None:
    page = (DOCS / "architecture.md").read_text("utf-8")
    folders = {path.parent.name for path in PACKAGE.glob("*/*.py")}
    assert [name for name in sorted(folders) if f"`{name}/`" not in page] == []
