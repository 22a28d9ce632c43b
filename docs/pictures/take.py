"""Take the README's pictures: terminal and page of a sheet with a planted mistake, a clip, the studio.

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
import time
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright
from playwright.sync_api import Error as PlaywrightError
from rich.console import Console
from rich.text import Text

from noonwall.outputs.clip_data import ClipOrder
from noonwall.outputs.clip_frame import FramePainter
from noonwall.pipeline.filming import clip_data
from noonwall.pipeline.practising import demo_song
from noonwall.pipeline.songs import fit_song

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
SHEET = ROOT / "tests" / "data" / "hand" / "english" / "dev" / "04.txt"  # invented, with one planted mistake
DANCED = ROOT / "examples" / "lantern-walk.txt", "harbour-lights"
CLIP_SECONDS = 20.0
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


def clip_picture(file: Path) -> None:
    """Draw one moment of the clip of an example on a piece of the demo band."""
    sheet, piece = DANCED
    fitted = fit_song(sheet, demo_song(piece, "en"))
    order = ClipOrder(languages=("en", "fr"))
    clip = FramePainter(clip_data(fitted.proved, fitted.run, fitted.song, order.languages), order)
    clip.picture(round(CLIP_SECONDS * order.fps)).save(file, optimize=True)


def studio_pictures(browser: Browser, folder: Path) -> None:
    """Photograph the studio's shelf and a dance on a desk, and the floor mode on a phone."""
    with tempfile.TemporaryDirectory() as kept:
        program = "import sys; from noonwall.cli.main import main; sys.exit(main(sys.argv[1:]))"
        asked = [sys.executable, "-u", "-c", program, "studio", "--no-browser", "--as", "en"]
        homes = {"XDG_DATA_HOME": kept, "NOONWALL_CACHE": str(Path(kept) / "cache"), "LOCALAPPDATA": kept}
        running = subprocess.Popen(
            [*asked, "--shelf", str(Path(kept) / "shelf.sqlite")],
            env={**os.environ, **homes},
            stdout=subprocess.PIPE,
            encoding="utf-8",
        )
        try:
            assert running.stdout is not None
            door = next(word for word in running.stdout.readline().split() if word.startswith("http")).rstrip(
                ".,"
            )
            for name, (width, height) in {"studio": (1280, 860), "studio-phone": (390, 844)}.items():
                page = browser.new_page(viewport={"width": width, "height": height}, reduced_motion="reduce")
                _open(page, door)
                page.get_by_role("link", name="Lantern Walk").first.click()
                page.wait_for_load_state("networkidle")
                if name == "studio-phone":
                    page.goto(page.url.split("?")[0] + "/floor")
                    page.wait_for_load_state("networkidle")
                page.screenshot(path=folder / f"{name}.png")
                page.close()
        finally:
            running.terminate()
            running.wait()


def _open(page: Page, door: str) -> None:
    """Go through the studio's door as soon as it is open."""
    for _ in range(100):
        try:
            page.goto(door)
            return
        except PlaywrightError:
            time.sleep(0.2)
    raise SystemExit("The studio does not open its door.")


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
        studio_pictures(browser, given.out)
        browser.close()
    clip_picture(given.out / "clip.png")


if __name__ == "__main__":
    main()
