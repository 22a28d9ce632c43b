"""The scripts and styles that the studio's pages share with the pages that need no network."""

from __future__ import annotations

from noonwall.outputs.page_parts import joined

DANCE_SCRIPTS = ("timeline.js", "floor.js", "player.js")
SONG_SCRIPTS = (
    "timeline.js",
    "floor.js",
    "song_grid.js",
    "song_view.js",
    "song_correct.js",
    "song_player.js",
    "song_controls.js",
)
PICTURE_SCRIPTS = ("timeline.js", "floor.js")
FLOOR_SCRIPTS = ("timeline.js", "floor.js", "song_player.js")


def shared_script(name: str) -> str:
    """Return what stands before a page's own script ("dance", "song" ...), "" for others."""
    scripts = {"shelf": PICTURE_SCRIPTS, "dance": DANCE_SCRIPTS, "song": SONG_SCRIPTS, "floor": FLOOR_SCRIPTS}
    return joined(scripts[name]) if name in scripts else ""


def shared_style(name: str) -> str:
    """Return the styles of a page: those of a proved dance for all, and the song's own for "song"."""
    return joined(("style.css", "song.css") if name == "song" else ("style.css",))
