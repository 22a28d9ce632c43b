"""Whole fits of small dances against a second reading of the cost table that tries everything."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from math import gcd

from hypothesis import given, settings
from hypothesis import strategies as st

from noonwall.dance import Dance, Foot, Restart, Tag
from noonwall.fit import Costs, Run, Song, fit
from noonwall.fit.danced import as_danced
from noonwall.floor import dance_part, dance_run, opening_stance
from tests.fit.builders import dance, dances, part, songs, walk

COSTS = Costs()


class Trial:
    """Prices every plan of a plain dance without the sheet's own changes, straight from the table's words."""

    def __init__(self, danced: Dance, song: Song) -> None:
        self.length = int(danced.main.counts)
        beat = 60 / song.bpm
        self.counts = len(song.beats)
        self.bars, self.eights, self.phrases = (
            {round(at / beat) for at in starts}
            for starts in (song.bar_starts, song.eight_starts, song.phrase_starts)
        )
        self.odd = {round(at / beat) for at, _ in song.odd_phrases}
        ordered = sorted(self.phrases)
        lengths = [b - a for a, b in pairwise(ordered) if a not in self.odd]
        most = max((lengths.count(n) for n in lengths), default=0)
        self.usual = max((n for n in lengths if lengths.count(n) == most), default=32)
        self.unit = gcd(self.length, self.usual)
        self.invited = song.intro_counts
        track = dance_part(danced.main, opening_stance(Foot.RIGHT))
        self.turn_after = [track.at(n).facing for n in range(self.length + 1)]
        self.free_after = [track.at(n).free_foot for n in range(self.length + 1)]
        # a step on count n sounds on the beat, so the last beat of n counts sees everything up to count n
        self.turn_on = [0] + [
            track.at(Fraction(n) - Fraction(1, 8)).facing for n in range(1, self.length + 1)
        ]
        self.mirrors = self.free_after[self.length] is Foot.LEFT

    def place(self, at: int) -> int:
        """Price of a wall that begins on a count of the song."""
        before = [start for start in self.phrases if start <= at]
        into = at - max(before) if before else (at - min(self.phrases)) % self.usual
        regular = into % self.unit == 0 and (into < self.usual or not before or max(before) not in self.odd)
        if into == 0 or (regular and self.unit == self.usual):
            return 0
        if regular:
            return COSTS.own_period
        # an eight of the music that is cut short by a phrase is no eight to dance on
        if at in self.eights and not self.eights & set(range(at + 1, at + 8)):
            return COSTS.off_phrase
        whole_bar = at in self.bars and not self.bars & set(range(at + 1, at + 4))
        return COSTS.off_eight if whole_bar else COSTS.off_bar

    def begin(self, at: int) -> int:
        """Price of where the dance begins; every song here says where it invites."""
        late = max(0, at - self.invited) // 8 * COSTS.late_eight
        price = late + (COSTS.uninvited if at != self.invited else 0)
        if at != self.invited and self.place(at):
            price += COSTS.start_inside
        if at < 8:
            return price + COSTS.no_wait
        if at in (16, 32):
            return price
        return price + (COSTS.rare_wait if at % 8 == 0 else COSTS.unusual_wait)

    def ways(self) -> list[tuple[int, int, int, bool, int, bool]]:
        """Length, turn, price, other foot next, turn at the change, is it a change."""
        ways = [(self.length, self.turn_after[-1], 0, self.mirrors, 0, False)]
        for cut in range(4, self.length):
            price = COSTS.invented_change
            price += 0 if cut % 8 == 0 else COSTS.inside_eight
            price += COSTS.early_cut if cut < 8 else 0
            foot = self.free_after[cut]
            if foot is Foot.LEFT and not self.mirrors:
                price += COSTS.last_weight
            other = foot is Foot.LEFT and self.mirrors
            ways.append((cut, self.turn_after[cut], price, other, self.turn_after[cut], True))
        for tag in (2, 4, 8):
            price = COSTS.invented_change + (0 if tag == 4 else COSTS.odd_tag)
            turn = self.turn_after[-1]
            ways.append((self.length + tag, turn, price, self.mirrors, turn, True))
        return ways

    def cheapest(self) -> int:
        """Try everything (with memory only of what lies ahead, which is the same for all pasts)."""
        ways, known = self.ways(), {}

        def ahead(at: int, facing: int, side: int) -> int:
            key = (at, facing % 8, side)
            if key not in known:
                left = self.counts - at
                best = []
                if left <= self.length:
                    end = facing + side * self.turn_on[left]
                    best.append(COSTS.finish_not_front if end % 8 else 0)
                for length, turn, price, other, change, is_change in ways:
                    if length < left:
                        aside = is_change and (facing + side * change) % 8 != 0
                        then = ahead(at + length, facing + side * turn, -side if other else side)
                        best.append(price + then + (COSTS.not_at_front if aside else 0))
                known[key] = self.place(at) + min(best)
            return known[key]

        until = min(96, self.counts * 3 // 4)
        begins = {at for at in self.eights | self.phrases if at <= max(until, 0)} | {self.invited}
        return min(self.begin(at) + ahead(at, 0, 1) for at in begins if at < self.counts)


@settings(max_examples=600, deadline=None)
@given(dances(), songs())
def test_a_fit_costs_what_the_table_says_the_best_plan_costs(danced: Dance, song: Song) -> None:
    run = fit(danced, song, runners_up=3)
    assert run.cost == Trial(danced, song).cheapest()


@settings(max_examples=300, deadline=None)
@given(dances(), songs(most_phrases=6))
def test_every_plan_is_the_sum_of_its_reasons_and_says_why_it_loses(danced: Dance, song: Song) -> None:
    run = fit(danced, song, runners_up=4)
    assert sum(item.cost for item in run.items) == run.cost
    for other in run.alternatives:
        assert sum(item.cost for item in other.items) == other.cost >= run.cost
        lost = sum(item.cost for item in other.more) - sum(item.cost for item in other.spared)
        assert lost == other.cost - run.cost


def walls_meet(run: Run, song: Song) -> None:
    at = run.start_count
    facing = 0
    for wall in run.walls:
        assert (wall.start_count, wall.facing_start) == (at, facing)
        assert wall.start_seconds == song.beats[at]
        at, facing = at + wall.length, wall.facing_end
    assert at == len(song.beats), "the walls fill the song to its last count"


@settings(max_examples=300, deadline=None)
@given(dances(), songs(most_phrases=6))
def test_the_floor_dances_the_run_as_the_fit_says(danced: Dance, song: Song) -> None:
    run = fit(danced, song, runners_up=0)
    walls_meet(run, song)
    floor = dance_run(as_danced(danced, run), len(run.walls))
    for wall, seen in zip(run.walls, floor.walls, strict=True):
        assert seen.stance_start.facing % 8 == wall.facing_start
        assert seen.start == wall.start_count - run.start_count
        is_mirrored = seen.stance_start.free_foot is Foot.LEFT
        assert is_mirrored == wall.mirrored
    for wall, seen in zip(run.walls[:-1], floor.walls, strict=False):
        assert (seen.counts, seen.cut_after, seen.tag_counts) == (
            wall.counts,
            wall.cut_after,
            wall.tag_counts,
        )


@st.composite
def changed_dances(draw: st.DrawFn) -> Dance:
    """Draw a 16-count dance with restarts and tags on its first walls."""
    turn = draw(st.sampled_from((-2, 0, 2, 4)))
    tag = part(
        "Tag",
        draw(st.sampled_from(("RL", "RLRL", "rr", "----"))),
        {1: draw(st.sampled_from((0, 2, 4)))},
        "tag",
    )
    restarts, tags = [], []
    for wall in draw(st.lists(st.integers(1, 4), unique=True, max_size=3)):
        if draw(st.booleans()):
            restarts.append(Restart(wall, Fraction(draw(st.sampled_from((4, 8, 12))))))
        else:
            tags.append(Tag(wall, Fraction(draw(st.sampled_from((8, 16)))), "Tag", draw(st.integers(1, 2))))
    main = walk(16, {16: turn})
    return dance(main, tag, restarts=tuple(restarts), tags=tuple(tags))


@settings(max_examples=400, deadline=None)
@given(changed_dances(), songs(most_phrases=6))
def test_the_floor_agrees_about_the_changes_of_the_sheet(danced: Dance, song: Song) -> None:
    run = fit(danced, song, runners_up=2)
    walls_meet(run, song)
    assert sum(item.cost for item in run.items) == run.cost
    floor = dance_run(as_danced(danced, run), len(run.walls))
    for wall, seen in zip(run.walls, floor.walls, strict=True):
        assert seen.stance_start.facing % 8 == wall.facing_start
        assert seen.start == wall.start_count - run.start_count


@settings(max_examples=200, deadline=None)
@given(changed_dances(), songs(most_phrases=6))
def test_the_plan_as_stated_is_what_the_floor_dances_of_the_sheet(danced: Dance, song: Song) -> None:
    run = fit(danced, song, runners_up=1)
    for other in run.alternatives:
        if other.kind != "stated":
            continue
        floor = dance_run(danced, len(other.walls))
        for wall, seen in zip(other.walls, floor.walls, strict=True):
            assert seen.stance_start.facing % 8 == wall.facing_start
            assert seen.start == wall.start_count - other.start_count
