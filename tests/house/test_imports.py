"""Imports point one way: the rules hold, and every rule can fail."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.house.rules import ALLOWED, HEAVY, MAY_BE_IMPORTED_BY_NOBODY, OUTSIDE, QUICK_FOLDERS, breaches
from tests.house.tree import PACKAGE, ROOT, imports_of

SINGLE_FILES = {path.stem for path in PACKAGE.glob("*.py")}
PLANTS = sorted(
    (folder, other) for folder in ALLOWED for other in ALLOWED if other not in ALLOWED[folder] | {folder}
)


def test_no_import_breaks_a_rule() -> None:
    assert breaches(PACKAGE, ALLOWED, OUTSIDE) == []


def test_nobody_imports_the_command_line() -> None:
    assert not any(MAY_BE_IMPORTED_BY_NOBODY & others for others in ALLOWED.values())


def test_only_text_teach_outputs_and_the_pipeline_read_the_words() -> None:
    readers = {one.folder for one in imports_of(PACKAGE) if one.target.startswith("noonwall.words")}
    assert readers <= {"text", "teach", "outputs", "pipeline", "words"}
    assert "text" in readers, "the test sees nobody reading the words, so it sees nothing"


@pytest.mark.parametrize("folder", QUICK_FOLDERS)
def test_reading_and_checking_loads_nothing_heavy(folder: str) -> None:
    exempt = set().union(*OUTSIDE.values())
    files = [path.relative_to(PACKAGE.parent) for path in sorted((PACKAGE / folder).glob("*.py"))]
    names = [".".join(file.with_suffix("").parts) for file in files if "/".join(file.parts[1:]) not in exempt]
    assert names, f"{folder} has no modules: the test would see nothing"
    assert _loaded_after("import " + ", ".join(names)) == []


def test_the_check_command_loads_nothing_heavy() -> None:
    sheet = ROOT / "tests" / "data" / "hand" / "english" / "dev" / "01.txt"
    # clean, doubtful or wrong: any other status would mean that nothing was checked
    run = f"from noonwall.cli.main import main\nassert main(['check', {str(sheet)!r}]) in (0, 1, 2)"
    assert _loaded_after(run) == []


def test_the_loading_test_can_fail() -> None:
    assert _loaded_after("import numpy") == ["numpy"]


def _loaded_after(code: str) -> list[str]:
    """Run code in a fresh interpreter and return which heavy packages it had loaded at its end."""
    tell = f"\nimport sys; print('\\nHEAVY', *[name for name in {HEAVY!r} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code + tell], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout.splitlines()[-1].split()[1:]


# --- every rule can fail: one planted fault at a time ------------------------------------------------


def build(root: Path, allowed: dict[str, set[str]], outside: dict[str, set[str]]) -> Path:
    """Make an empty package with every folder and file that the tables name."""
    package = root / "noonwall"
    package.mkdir()
    (package / "__init__.py").touch()
    for name in allowed:
        if name in SINGLE_FILES:
            (package / f"{name}.py").touch()
        else:
            (package / name).mkdir()
            (package / name / "__init__.py").touch()
    for place in set().union(*outside.values()):
        if place.endswith(".py"):
            (package / place).touch()
    return package


def plant(package: Path, folder: str, code: str) -> str:
    """Write code into a folder (or its single file) and return the file's name as a breach would say it."""
    file = package / (f"{folder}.py" if folder in SINGLE_FILES else f"{folder}/planted.py")
    file.write_text(code, "utf-8")
    return file.relative_to(package).as_posix()


@pytest.fixture
def package(tmp_path: Path) -> Path:
    return build(tmp_path, ALLOWED, OUTSIDE)


def test_the_empty_house_is_clean(package: Path) -> None:
    assert breaches(package, ALLOWED, OUTSIDE) == []


@pytest.mark.parametrize(("folder", "other"), PLANTS)
def test_a_forbidden_import_is_seen(package: Path, folder: str, other: str) -> None:
    file = plant(package, folder, f"from noonwall.{other} import anything\n")
    assert breaches(package, ALLOWED, OUTSIDE) == [
        f"{file}:1 imports noonwall.{other}, which {folder} may not"
    ]


@pytest.mark.parametrize("folder", sorted(ALLOWED))
def test_an_allowed_import_is_not_seen(package: Path, folder: str) -> None:
    plant(package, folder, "".join(f"import noonwall.{other}\n" for other in sorted(ALLOWED[folder])))
    assert breaches(package, ALLOWED, OUTSIDE) == []


@pytest.mark.parametrize(
    "code",
    [
        "import noonwall.cli",
        "from noonwall import cli",
        "from .. import cli",
        "from ..cli import main",
        "from importlib import import_module\nimport_module('noonwall.cli.main')",
        "from importlib import resources\nresources.files('noonwall.cli')",
        "from importlib import resources\nresources.files('noonwall').joinpath('cli', 'x.toml')",
        "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from noonwall.cli import main",
        "try:\n    import noonwall.cli\nexcept ImportError:\n    pass",
    ],
)
def test_every_way_of_importing_is_seen(package: Path, code: str) -> None:
    file = plant(package, "floor", code + "\n")
    (breach,) = breaches(package, ALLOWED, OUTSIDE)
    assert breach.startswith(f"{file}:") and breach.endswith("which floor may not")


@pytest.mark.parametrize("holder", ["def late():", "async def late():", "class Late:\n  def method(self):"])
def test_an_import_inside_a_function_is_seen(package: Path, holder: str) -> None:
    plant(package, "floor", f"{holder}\n     from noonwall.dance import model\n")
    (breach,) = breaches(package, ALLOWED, OUTSIDE)
    assert "inside a function" in breach


@pytest.mark.parametrize("library", sorted(OUTSIDE))
@pytest.mark.parametrize("inside", [False, True])
def test_an_outside_package_in_the_wrong_folder_is_seen(package: Path, library: str, inside: bool) -> None:
    code = f"import {library}.part\n"
    file = plant(package, "dance", f"def late():\n    {code}" if inside else code)
    only = ", ".join(sorted(OUTSIDE[library]))
    line = 2 if inside else 1
    assert breaches(package, ALLOWED, OUTSIDE) == [f"{file}:{line} imports {library}, which only {only} may"]


def test_an_outside_package_without_a_rule_is_seen(package: Path) -> None:
    plant(package, "music", "import some_new_package\n")
    (breach,) = breaches(package, ALLOWED, OUTSIDE)
    assert "some_new_package, which no rule knows" in breach


def test_a_rule_without_its_folder_is_seen(package: Path) -> None:
    (package / "demo" / "__init__.py").unlink()
    assert "the rules name demo, which is gone: take it out" in breaches(package, ALLOWED, OUTSIDE)


def test_a_permission_without_its_folder_is_seen(package: Path) -> None:
    (breach,) = breaches(package, ALLOWED, OUTSIDE | {"rich": {"cli", "nowhere"}})
    assert breach == "the rules let nowhere import rich, but nowhere is gone: take it out"


def test_a_folder_without_a_rule_is_seen(package: Path) -> None:
    (package / "attic").mkdir()
    (package / "attic" / "__init__.py").touch()
    assert breaches(package, ALLOWED, OUTSIDE) == ["attic has no row in the rules: add one"]


def test_a_root_that_imports_is_seen(package: Path) -> None:
    (package / "__init__.py").write_text("from noonwall.dance import Dance\n", "utf-8")
    (breach,) = breaches(package, ALLOWED, OUTSIDE)
    assert "the root stays empty" in breach
