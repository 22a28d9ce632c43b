"""A run as a dance that the floor can dance: its restarts, tags and changed weights written out."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from noonwall.dance.model import Dance, Figure, Foot, Part, Restart, Section, Step, Tag
from noonwall.fit.outline import outline_of
from noonwall.fit.run import Run
from noonwall.fit.wall import RunWall


def as_danced(dance: Dance, run: Run) -> Dance:
    """Return ``dance`` with its restarts and tags replaced by those of ``run``, for the floor to dance.

    Invented tags become parts such as "sway-4-R" or "hold-3-L"; a changed last weight becomes the step change
    of its restart. ``dance_run(as_danced(dance, run), len(run.walls))`` dances the run, the last wall in
    full, since the floor knows no song. A phrased dance comes back unchanged: the floor dances its sequence.
    """
    if dance.is_phrased and dance.sequence:
        return dance
    mirrors = outline_of(dance).parts[0].mirrors
    restarts: list[Restart] = []
    tags: list[Tag] = []
    parts = {part.label: part for part in dance.parts}
    for wall in run.walls:
        if wall.change in ("stated", "moved"):
            source = _source_wall(dance, wall)
            restarts += [replace(r, wall=wall.wall) for r in dance.restarts if r.wall == source]
            tags += [replace(t, after_wall=wall.wall) for t in dance.tags if t.after_wall == source]
        elif wall.change == "cut" and wall.cut_after is not None:
            change = _weight_change(dance, parts[wall.part], wall.cut_after) if wall.last_weight else None
            restarts.append(Restart(wall.wall, Fraction(wall.cut_after), change))
        elif wall.change == "tag":
            # a wall that ends on its other foot leaves that one free for the sways
            other = mirrors != wall.mirrored
            first = dance.start_free_foot.other if other else dance.start_free_foot
            extra = invented_tag(wall.tags[0], wall.tag_counts, first)
            parts[extra.label] = extra
            tags.append(Tag(wall.wall, parts[wall.part].counts, extra.label))
    return replace(dance, parts=tuple(parts.values()), restarts=tuple(restarts), tags=tuple(tags))


def invented_tag(kind: str, counts: int, first: Foot) -> Part:
    """Return a tag of ``counts`` sways that begins on ``first``, or of holds.

    An even number of sways leaves the same foot free as before; holds always do.
    """
    label = f"{kind}-{counts}-{first.value}"
    if kind == "sway" and first in (Foot.LEFT, Foot.RIGHT):
        feet = [first if count % 2 == 0 else first.other for count in range(counts)]
        steps = [Step(Fraction(i), "sway", foot, True, "side") for i, foot in enumerate(feet)]
    else:
        steps = [Step(Fraction(i), "hold", None, False) for i in range(counts)]
    return _part(label, steps, Fraction(counts))


def _source_wall(dance: Dance, wall: RunWall) -> int:
    """Return the wall of the sheet whose changes ``wall`` dances."""
    if wall.change == "stated":
        return wall.wall
    for number in sorted({r.wall for r in dance.restarts} | {t.after_wall for t in dance.tags}):
        cuts = {int(r.after_count) for r in dance.restarts if r.wall == number}
        here = sorted((t for t in dance.tags if t.after_wall == number), key=lambda t: t.after_count)
        cuts |= {int(t.after_count) for t in here if t.then_restart}
        labels = tuple(t.part for t in here for _ in range(t.times))
        if labels == wall.tags and (wall.cut_after is None or wall.cut_after in cuts):
            return number
    return 0


def _weight_change(dance: Dance, part: Part, cut: int) -> Part:
    """Return the last count before the cut, ending with the dance's first foot free.

    A step of that foot becomes a touch, a touch of the other foot a step; after anything else the other
    foot steps in place.
    """
    begin = Fraction(cut - 1)
    steps = [replace(step, at=step.at - begin) for step in part.steps if begin <= step.at < cut]
    first = dance.start_free_foot
    last = steps[-1] if steps else None
    if last and last.foot is first and last.takes_weight:
        steps[-1] = replace(last, move="touch", takes_weight=False)
    elif last and last.foot is first.other and not last.takes_weight:
        steps[-1] = replace(last, move="step", takes_weight=True)
    else:
        at = Fraction(1, 2) if steps else Fraction(0)
        steps.append(Step(at, "step", first.other, True, "together"))
    return _part("weight-change", steps, Fraction(1))


def _part(label: str, steps: list[Step], counts: Fraction) -> Part:
    figure = Figure("steps", Fraction(0), counts, tuple(steps))
    return Part(label, "tag", counts, (Section("", Fraction(0), counts, (figure,)),))
