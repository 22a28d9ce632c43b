"""`noonwall studio` as a teacher starts it: an address, the shelf of Harbour Hall, an end by Ctrl-C."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
import urllib.request
from http.cookiejar import CookieJar
from pathlib import Path

import pytest

from noonwall.cli.main import main
from noonwall.shelf import open_shelf
from noonwall.studio.seeding import seed
from tests.browser.studio_served import free_port


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no SIGINT for another process")
def test_it_opens_to_something_useful(tmp_path: Path) -> None:
    port = free_port()
    command = [sys.executable, "-m", "noonwall", "studio", "--no-browser", "--as", "fr"]
    command += ["--port", str(port), "--shelf", str(tmp_path / "shelf.sqlite")]
    environment = {**os.environ, "NOONWALL_CACHE": str(tmp_path / "cache"), "PYTHONUTF8": "1"}
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, text=True, encoding="utf-8", env=environment
    ) as run:
        try:
            assert run.stdout is not None
            line = run.stdout.readline()
            address = re.search(r"http://127\.0\.0\.1:\d+/open\?key=\S+", line)
            assert address and "Le studio est ouvert" in line
            browser = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))
            for _ in range(100):
                try:
                    page = browser.open(address[0]).read().decode("utf-8")
                    break
                except OSError:
                    run.poll() is None or pytest.fail("the studio ended by itself")
                    time.sleep(0.1)
            assert "Lantern Walk" in page and "L&#39;étagère" in page
        finally:
            run.send_signal(signal.SIGINT)
            assert run.wait(20) in (0, 130)


def test_a_shelf_is_filled_once(tmp_path: Path) -> None:
    with open_shelf(tmp_path / "shelf.sqlite") as shelf:
        assert seed(shelf, "fr")
        found = shelf.find(per_page=50)
        assert found.total > 8 and shelf.classes()[0].name.startswith("Jeudi")
        for row in found.rows:
            shelf.remove("dance", row.id)
        assert not seed(shelf, "fr") and shelf.find().total == 0


def test_a_shelf_of_ones_own_is_left_as_it_is(tmp_path: Path) -> None:
    with open_shelf(tmp_path / "shelf.sqlite") as shelf:
        shelf.add_dance("MY OWN\n32 count", {"title": "My Own"})
        assert not seed(shelf, "en") and shelf.find().total == 1


def test_what_cannot_be_opened_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "shelf.sqlite"
    file.write_text("no shelf " * 200)
    assert main(["studio", "--no-browser", "--shelf", str(file)]) == 3
    assert "is not a shelf" in capsys.readouterr().err
