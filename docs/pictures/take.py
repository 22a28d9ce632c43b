"""Take the README's pictures: the terminal and the page, both of one sheet with a planted mistake.

    python docs/pictures/take.py [SHEET] [--out FOLDER]

Needs Chromium on the path (or its place in CHROMIUM). Run by `make pictures`.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright
from rich.console import Console
from rich.text import Text

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
SHEET = ROOT / "tests" / "data" / "hand" / "english" / "dev" / "04.txt"  # invented, with one planted mistake
COLUMNS = 100
SCREENS = {"page": (1280, 860), "page-phone": (390, 844)}
PAPER = (
    "<body style='margin:0;background:#fff'><div id='shot' style='display:inline-block;padding:20px'>{}</div>"
)


def run_check(sheet: Path, *options: str) -> str:
    """Return what `noonwall check` prints for a sheet, with its colours.

    Raises:
        SystemExit: the sheet could not be read; the sentence says why.
    """
    program = "import sys; from noonwall.cli.main import main; sys.exit(main(sys.argv[1:]))"
    colours = {**os.environ, "FORCE_COLOR": "1", "COLUMNS": str(COLUMNS), "PYTHONUTF8": "1"}
    asked = [sys.executable, "-c", program, "check", str(sheet), *options]
    done = subprocess.run(asked, env=colours, capture_output=True, encoding="utf-8", check=False)
    if done.returncode not in (0, 1, 2):
        raise SystemExit(done.stderr)
    return done.stdout


def terminal_picture(browser: Browser, sheet: Path, file: Path) -> None:
    """Photograph the terminal's view of a sheet: its colours kept, one line a line."""
    with open(os.devnull, "w", encoding="utf-8") as nowhere:
        console = Console(record=True, width=COLUMNS, file=nowhere, force_terminal=True)
        console.print(Text("$ noonwall check sheet.txt", style="bold"))
        console.print(Text.from_ansi(run_check(sheet)))
        markup = console.export_html(
            inline_styles=True, code_format="<pre style='font-size:15px'>{code}</pre>"
        )
    page = browser.new_page(device_scale_factor=2)
    page.set_content(PAPER.format(markup))
    page.locator("#shot").screenshot(path=file)
    page.close()


def page_pictures(browser: Browser, sheet: Path, folder: Path) -> None:
    """Photograph the page of a sheet on a desk and on a phone, as it opens."""
    with tempfile.TemporaryDirectory() as kept:
        written = Path(kept) / "page.html"
        run_check(sheet, "--page", str(written))
        for name, (width, height) in SCREENS.items():
            page = browser.new_page(viewport={"width": width, "height": height}, reduced_motion="reduce")
            page.goto(written.as_uri())
            page.screenshot(path=folder / f"{name}.png")
            page.close()


def main() -> None:
    """Take all pictures."""
    asked = argparse.ArgumentParser(description="Take the README's pictures.")
    asked.add_argument("sheet", nargs="?", type=Path, default=SHEET)
    asked.add_argument("--out", type=Path, default=HERE)
    given = asked.parse_args()
    chromium = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("google-chrome")
    if chromium is None:
        raise SystemExit("There is no Chromium on the path: install it, or put its place in CHROMIUM.")
    given.out.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        terminal_picture(browser, given.sheet, given.out / "terminal.png")
        page_pictures(browser, given.sheet, given.out)
        browser.close()


if __name__ == "__main__":
    main()
