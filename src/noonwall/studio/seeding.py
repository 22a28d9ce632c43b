"""The first time a shelf is opened it is filled with the invented dances and classes of Harbour Hall."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

from noonwall import __version__
from noonwall.pipeline.studio_child import in_own_process
from noonwall.pipeline.studio_dance import facts_for_shelf
from noonwall.pipeline.studio_demo import CLASSES, demo_sheets, demo_songs
from noonwall.pipeline.studio_song import fitted, hear_song, run_kept, song_heard
from noonwall.shelf import Shelf
from noonwall.shelf.songs import content_of

SEEDED = "studio.seeded"
DAYS_BETWEEN = 7


def seed(shelf: Shelf, language: str) -> bool:
    """Fill a shelf that was never used; returns whether it was. Emptying it later does not fill it again."""
    if shelf.setting(SEEDED) or shelf.find(per_page=1).total:
        return False
    numbers = {name: shelf.add_dance(text, facts_for_shelf(text)) for name, text in demo_sheets().items()}
    for name, members, taught in CLASSES[language]:
        class_id = shelf.add_class(name, members)
        day = date.today() - timedelta(days=DAYS_BETWEEN * len(taught))
        for sheet in taught:
            if sheet in numbers:
                shelf.teach(class_id, numbers[sheet], day.isoformat())
            day += timedelta(days=DAYS_BETWEEN)
    shelf.set_setting(SEEDED, True)
    return True


def songs_folder(shelf: Shelf, usual: Path) -> Path:
    """Return the folder beside a shelf for the songs that were brought to the studio; it is made."""
    beside = shelf.place.file.parent if shelf.place.file else usual
    folder = beside / "songs"
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def seed_songs(shelf: Shelf, folder: Path) -> None:
    """Let the band play the songs of the demo dances into a folder, hear them and lay the dances on them.

    It takes some seconds, in processes of its own; a shelf on which a dance is missing is left as it is.
    """
    for sheet, piece in demo_songs():
        played = in_own_process("play", folder, piece)
        file = Path(played["file"])
        digest, _ = content_of(file)
        heard = hear_song(file, folder / f"{digest}.json")
        song_id = shelf.add_song(file, title=played["title"], heard=heard, edition=__version__)
        text = demo_sheets()[sheet]
        title = facts_for_shelf(text)["title"]
        row = next((row for row in shelf.find(title).rows if row.title == title), None)
        if row is not None:
            run = fitted(text, song_heard(heard, ()), 0)
            shelf.add_run(row.id, row.version, song_id, run_kept(run, 0))
