"""The import rules of docs/architecture.md as two tables, and the function that holds a package to them."""

from __future__ import annotations

from pathlib import Path

from tests.house.tree import folders_of, imports_of, third_party

# Who may import whom inside the package. Every folder that exists has a row; a row or an entry that names a
# folder that is gone is itself a breach, so that no rule can outlive what it rules.
REMARKS = {"findings", "errors"}
BELOW_FIT = {"dance", "figures", "floor", "music"} | REMARKS
STAGES = {"text", "floor", "checks", "music", "fit", "teach", "season", "outputs"}

ALLOWED: dict[str, set[str]] = {
    "errors": set(),
    "findings": set(),
    "dance": REMARKS,
    "figures": REMARKS,
    "words": REMARKS,
    # floor: where notes of one restart disagree, the facings they state decide, and only the floor knows them
    "text": {"words", "figures", "dance", "floor"} | REMARKS,
    "floor": {"figures", "dance"} | REMARKS,
    # figures: the level check adds up their difficulty, the safety check reads their cautions
    "checks": {"dance", "figures", "floor"} | REMARKS,
    "music": REMARKS,
    "fit": {"dance", "floor", "music"} | REMARKS,
    "teach": {"fit", "words"} | BELOW_FIT,
    "season": {"teach", "figures"} | REMARKS,
    "outputs": {"teach", "fit", "words"} | BELOW_FIT,
    # keeps values and facts that others computed
    "shelf": REMARKS,
    # errors: it says so if the example sheets are not installed
    "demo": {"errors"},
    # the top: it alone knows the whole order; words, because a report holds the sentences of its findings
    "pipeline": STAGES | {"dance", "figures", "words", "demo"} | REMARKS,
    "studio": {"pipeline", "shelf"} | REMARKS,
    "cli": {"pipeline", "shelf", "studio"} | REMARKS,
}
MAY_BE_IMPORTED_BY_NOBODY = {"cli"}

# Which outside package may be imported where: a folder, or one file. One that is not here is not depended on.
LISTENING_AND_MAKING = {"music", "outputs", "demo"}
OUTSIDE: dict[str, set[str]] = {
    "numpy": LISTENING_AND_MAKING,
    "scipy": {"music"},
    "av": {"music", "outputs"},
    "soxr": {"music", "outputs"},
    "mido": {"music", "outputs/run_click.py"},
    "soundfile": {"demo"},
    "pypdf": {"text/source_pdf.py"},
    "distributed": {"fit/cluster.py"},
    "rich": {"cli"},
    "typst": {"outputs/typeset.py"},
    "font_source_sans_pro": {"outputs/typeset.py", "outputs/clip_type.py"},
    "PIL": {"outputs"},
    "espeakng_loader": {"outputs"},
    "python_stretch": {"outputs"},
    "pyloudnorm": {"outputs"},
    "fastapi": {"studio"},
    "starlette": {"studio"},
    "pydantic": {"studio"},
    "uvicorn": {"studio"},
    "jinja2": {"studio"},
    "segno": {"studio"},
    "sqlalchemy": {"shelf"},
    "psycopg": {"shelf"},
    "docx": {"outputs/printed_docx.py", "pipeline/printing.py"},  # the second only asks whether it is there
}
# Reading and checking a text starts in a blink: none of these may be loaded by it, not even through others.
HEAVY = (
    *("numpy", "scipy", "av", "soxr", "mido", "soundfile", "PIL"),
    *("typst", "docx", "pypdf", "distributed", "dask"),
    *(
        "espeakng_loader",
        "python_stretch",
        "pyloudnorm",
        "fastapi",
        "uvicorn",
        "jinja2",
        "sqlalchemy",
        "psycopg",
    ),
)
QUICK_FOLDERS = ("dance", "figures", "words", "text", "floor", "checks")


def breaches(package: Path, allowed: dict[str, set[str]], outside: dict[str, set[str]]) -> list[str]:
    """Return one sentence for every import that breaks a rule and for every rule that has lost its folder."""
    folders = folders_of(package)
    found = [
        f"the rules name {name}, which is gone: take it out" for name in sorted(_named(allowed) - folders)
    ]
    found += [
        f"{name} has no row in the rules: add one" for name in sorted(folders - set(allowed) - {"__main__"})
    ]
    for library, places in sorted(outside.items()):
        gone = sorted(place for place in places if not (place in folders or (package / place).is_file()))
        found += [
            f"the rules let {place} import {library}, but {place} is gone: take it out" for place in gone
        ]
    for one in imports_of(package):
        where = f"{one.file}:{one.line}"
        if one.ours and one.inside_function:
            found.append(f"{where} imports {one.target} inside a function: import it at the top")
        if one.ours and one.reached not in ("", one.folder, *allowed.get(one.folder, set())):
            if one.folder not in ("__init__", "__main__"):
                found.append(f"{where} imports {one.target}, which {one.folder} may not")
            elif one.folder == "__init__":
                found.append(
                    f"{where} imports {one.target}: the root stays empty so that every start is quick"
                )
        if third_party(one):
            library = one.target.split(".")[0]
            if library not in outside:
                found.append(f"{where} imports {library}, which no rule knows: see docs/dependencies.md")
            elif not {one.folder, one.file} & outside[library]:
                found.append(
                    f"{where} imports {library}, which only {', '.join(sorted(outside[library]))} may"
                )
    return found


def _named(allowed: dict[str, set[str]]) -> set[str]:
    return set(allowed).union(*allowed.values())
