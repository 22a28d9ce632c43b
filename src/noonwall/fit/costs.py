"""What a change costs the floor: the one table that fitting minimises."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Costs:
    """Prices in whole points; only their proportions matter. All are our own judgement, no source.

    The yardstick: a change nobody has on their sheet costs as much as three walls that begin off the
    eight. So a class dances through a small slip near the end of a song rather than learn a change for it.

    Attributes:
        invented_change: a restart or tag that no sheet shows. The whole class must be told and must
            remember it, so the fewest changes win.
        moved_change: the sheet's own restart or tag on another wall. The class knows what to do, only
            the moment is new.
        stated_change: the sheet's own, on its own wall: taught with the dance, nearly free.
        dropped_change: leaving out a change of the sheet. Dancers who learned it elsewhere will do it.
        inside_eight: a change that does not fall at the end of an eight. Dancers count in eights and
            feel a change best there.
        inside_figure: a cut in the middle of a named figure, where the body is already on its way.
        last_weight: the wrong foot is free, so the last step must become a touch (or the touch a step).
        early_cut: a restart before the first eight is over; most dancers miss it.
        not_at_front: a change that does not face 12:00, where the teacher and the front row are seen.
        odd_tag: an invented tag that is not one bar long: two counts are too short to call, eight need steps.
        off_bar: a wall that begins inside a bar: the ones of dancers and music part, everyone feels it.
        off_eight: a wall that begins on a bar but inside an eight of the music.
        off_phrase: a wall that begins on an eight but inside a phrase that its length would have met.
        own_period: a wall that begins inside a phrase because the dance is that long (48 counts against
            32): natural, but the start of a phrase is still the better place to begin the song.
        start_inside: beginning inside a phrase where neither sheet nor music asks for it. Everyone hears
            where a phrase starts, and the first wall is the one that must not feel wrong.
        no_wait: beginning with less than an eight of music: nobody has found the beat.
        unusual_wait: a wait that is no usual intro (16 or 32; see ``usual_waits``).
        rare_wait: a wait of a whole number of eights other than these.
        other_intro: beginning elsewhere than the sheet says (the waits above are then judged as well).
        uninvited: beginning elsewhere than where the music opens or the sheet says.
        late_eight: each eight waited longer than the sheet, the music, or 32 counts ask: half a minute
            of standing still is about as bad as a change.
        finish_not_front: the last beat does not face 12:00. Cheap, since the last step can be turned.
        repeated_sequence: the song outlasts the order of parts of a phrased dance, which begins again.
        idle_eight: each eight of music left after a phrased dance is over.
        usual_waits: intros that teachers count in without a thought.
    """

    invented_change: int = 27
    moved_change: int = 14
    stated_change: int = 3
    dropped_change: int = 6
    inside_eight: int = 4
    inside_figure: int = 3
    last_weight: int = 8
    early_cut: int = 6
    not_at_front: int = 2
    odd_tag: int = 2
    off_bar: int = 20
    off_eight: int = 9
    off_phrase: int = 5
    own_period: int = 1
    start_inside: int = 15
    no_wait: int = 6
    unusual_wait: int = 4
    rare_wait: int = 2
    other_intro: int = 4
    uninvited: int = 3
    late_eight: int = 3
    finish_not_front: int = 2
    repeated_sequence: int = 10
    idle_eight: int = 2
    usual_waits: tuple[int, ...] = (16, 32)


@dataclass(frozen=True, slots=True)
class CostItem:
    """One reason why a plan costs something.

    ``code`` is one of ``COST_CODES``; ``wall`` the wall it belongs to, 0 for the run as a whole.
    """

    code: str
    cost: int
    wall: int = 0
    facts: Mapping[str, object] = field(default_factory=dict)

    @property
    def key(self) -> tuple[str, int, int]:
        """What two plans have in common if both have it."""
        return (self.code, self.wall, self.cost)


COST_CODES = (
    "invented-restart",
    "invented-tag",
    "moved-change",
    "stated-change",
    "dropped-change",
    "inside-eight",
    "inside-figure",
    "last-weight",
    "early-cut",
    "not-at-front",
    "odd-tag",
    "off-bar",
    "off-eight",
    "off-phrase",
    "own-period",
    "start-inside",
    "no-wait",
    "unusual-wait",
    "rare-wait",
    "other-intro",
    "uninvited",
    "late-start",
    "finish-not-front",
    "repeated-sequence",
    "idle-music",
)
"""Every code a cost item may carry; the words for each are data of the languages."""
