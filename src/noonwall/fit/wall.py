"""One wall of a run."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class RunWall:
    """One wall of a run.

    Attributes:
        wall: number from 1; a cut wall counts as one.
        part: label of the part danced.
        start_seconds, end_seconds: from the start of the audio; the next wall starts at the end of this one.
        start_count: in counts of the song.
        facing_start, facing_end: eighths 0 .. 7 from 12:00.
        counts: counts danced of the part, without tags.
        cut_after: the count of a restart, or None; the last wall is ended by the song, not cut.
        tag_counts: counts of tags in or after it.
        tags: labels of the sheet's tags, or "sway" or "hold" for one that fit invented.
        change: "", "stated", "moved", "cut" or "tag": where the change comes from.
        last_weight: the last weight before the cut must be changed (a touch for a step, or the reverse).
        mirrored: danced on the other foot.
    """

    wall: int
    part: str
    start_seconds: float
    end_seconds: float
    start_count: int
    facing_start: int
    facing_end: int
    counts: int
    cut_after: int | None = None
    tag_counts: int = 0
    tags: tuple[str, ...] = ()
    change: str = ""
    last_weight: bool = False
    mirrored: bool = False

    @property
    def length(self) -> int:
        """Counts of the song that the wall takes."""
        return self.counts + self.tag_counts
