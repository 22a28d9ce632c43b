"""A real music map goes straight into fit, as an object and as the JSON that is kept."""

from __future__ import annotations

import json

from noonwall.fit import Song, count_grid, fit
from noonwall.music.layout import lay
from noonwall.music.map import MusicMap, laid_out
from tests.fit.builders import dance, walk


def heard() -> MusicMap:
    """Return a map of 3 pickup beats, 16 counts of intro and phrases of 32, 32, 36 and 32 at 120 a minute."""
    beats = tuple(0.5 * index for index in range(3 + 16 + 132))
    bare = MusicMap(
        120.0, 4, beats, (), (), (), 0, (), 0.5 * len(beats), {"beats": 0.9, "bar_starts": 0.9, "bpm": 0.9}
    )
    return laid_out(bare, lay(beats, 4, (3, 19, 51, 83, 119), 19, bare.audio_end))


def test_a_map_is_counted_as_it_was_heard() -> None:
    grid = count_grid(heard())
    assert (grid.first_one, grid.invited, grid.phrases) == (3, 19, (19, 51, 83, 119))
    assert (grid.odd_phrases, grid.usual_phrase) == (((83, 36),), 32)


def test_the_kept_json_gives_the_same_run() -> None:
    song = heard()
    kept = json.loads(song.to_json())  # type: ignore[attr-defined]
    danced = dance(walk(32, {32: 2}))
    run = fit(danced, song)
    assert fit(danced, Song.from_json(kept)) == run
    assert run.walls[0].start_seconds == 9.5
