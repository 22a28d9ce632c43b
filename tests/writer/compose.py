"""Compose random dances that are valid by construction: weight alternates, the wall loops, tags fit."""

from __future__ import annotations

from random import Random

from . import names
from .figures_place import PLACE
from .figures_plain import PLAIN
from .figures_quick import QUICK
from .figures_waltz import WALTZ
from .floor import State, WeightError, dance_part, dance_steps, steps_until, walls_of
from .model import OTHER, SIDE_BY_SIDE, Dance, Ending, Form, Part, Restart, Section, TagPlace, Use

ATTEMPTS = 400


def compose(rng: Random, *, french: bool = False) -> Dance:
    """Make one random dance; the same generator state always makes the same dance."""
    waltz = rng.random() < 0.14
    rhythm = "waltz" if waltz else ("samba" if rng.random() < 0.05 else "")
    level = rng.choices((1, 2, 3, 4), (30, 35, 25, 10))[0]
    title = _title(rng, french, waltz)
    meter = "3/4" if waltz else "4/4"
    phrased = not waltz and level >= 3 and rng.random() < 0.25
    start = ("L" if rng.random() < 0.8 else "R") if waltz else ("R" if rng.random() < 0.93 else "L")
    intro = rng.choice((12, 24, 24, 36, 48) if waltz else (8, 16, 16, 16, 32, 32, 32, 64))
    bpm = rng.randrange(80, 135) if waltz else rng.randrange(88, 172)
    base = Dance(
        title,
        meter,
        rhythm,
        level,
        (),
        start,
        intro_counts=intro if rng.random() < 0.8 else None,
        bpm=bpm if rng.random() < 0.35 else None,
    )
    return _phrased(base, rng) if phrased else _plain(base, rng)


def _title(rng: Random, french: bool, waltz: bool) -> str:
    if french and rng.random() < 0.6:
        return rng.choice(names.TITLES_FR)
    second = "Waltz" if waltz and rng.random() < 0.5 else rng.choice(names.SECOND_EN)
    return f"{rng.choice(names.FIRST_EN)} {second}"


def pool_for(dance: Dance) -> list[Form]:
    """Figure forms that a dance of this metre, rhythm and level may use."""
    if dance.meter == "3/4":
        return [form for form in WALTZ if form.level <= dance.level + 1]
    forms = [
        form
        for form in (*PLAIN, *PLACE, *QUICK)
        if form.level <= dance.level and form.rhythm in ("", dance.rhythm)
    ]
    if dance.rhythm:
        keep = {
            "rock_forward",
            "rock_back",
            "rock_side",
            "jazz_box_quarter",
            "pivot_half",
            "mambo_forward",
            "shuffle_half",
            "coaster",
            "side_touch",
            "cross_rock",
            "pivot_quarter",
            "walk2",
            "cross_point",
            "cross_shuffle",
        }
        forms = [form for form in forms if form.rhythm or form.key in keep]
    return forms


def fill(rng: Random, counts: int, free: str, pool: list[Form], previous: Use | None) -> list[Use] | None:
    """Fill `counts` counts with figures that begin on the free foot, or give up."""
    uses: list[Use] = []
    start = 0
    last = previous
    while start < counts:
        fitting = [form for form in pool if form.counts <= counts - start and _fits(form, last, start)]
        if not fitting:
            return None
        chosen = rng.choices(fitting, [form.rarity * form.counts for form in fitting])[0]
        use = Use(chosen, free, start)
        try:
            free = dance_steps(State(free), use.steps).free
        except WeightError:
            return None
        uses.append(use)
        last = use
        start += chosen.counts
    return uses


def _fits(form: Form, last: Use | None, start: int) -> bool:
    """Whether a body can go from the last figure to this one, and an author would write it."""
    if last is None:
        return not form.pickup
    ending = last.form.steps[-1]
    if form.together and ending.act not in SIDE_BY_SIDE:
        return False
    if form.pickup and (start == 0 or ending.at.denominator > 1):
        return False
    # Authors repeat short figures, hardly ever long ones outside a repeated half.
    if last.form.key == form.key and form.counts != 2:
        return False
    return not (ending.act == "lockb" and form.steps[0].act == "behind")


def make_section(
    rng: Random, counts: int, free: str, pool: list[Form], previous: Use | None
) -> Section | None:
    """One section: often a half and its mirror or its repeat, as authors do."""
    half = counts // 2
    if rng.random() < 0.4 and half >= 3:
        uses = fill(rng, half, free, pool, previous)
        if uses is None:
            return None
        after = dance_steps(State(free), [step for use in uses for step in use.steps]).free
        flip = after != free
        copy = [Use(use.form, OTHER[use.lead] if flip else use.lead, use.start + half) for use in uses]
        if abs(sum(use.form.turn for use in uses)) > 4 or not _fits(copy[0].form, uses[-1], half):
            return None
        return Section(counts, (*uses, *copy))
    made = fill(rng, counts, free, pool, previous)
    return Section(counts, tuple(made)) if made else None


def make_part(
    rng: Random, label: str, dance: Dance, total: int, size: int, free: str, begun: tuple[Section, ...] = ()
) -> Part | None:
    """A part of `total` counts in sections of `size` that goes on from `begun`; None when the feet fail."""
    pool = pool_for(dance)
    sections = list(begun)
    state = dance_steps(State(free), [step for section in begun for step in section.steps])
    previous = begun[-1].uses[-1] if begun else None
    while sum(section.counts for section in sections) < total:
        if len(sections) >= 2 and rng.random() < 0.06 and dance_steps(State(state.free), ()).free == free:
            section: Section | None = sections[0]
        else:
            section = make_section(rng, size, state.free, pool, previous)
        if section is None:
            return None
        try:
            after = dance_steps(state, section.steps)
        except WeightError:
            return None
        turned = sum(abs(step.turn) for step in section.steps)
        if turned > (2, 4, 10, 16)[dance.level - 1]:
            return None
        sections.append(section)
        state = after
        previous = section.uses[-1]
    if dance.level == 1 and sum(abs(step.turn) for section in sections for step in section.steps) > 6:
        return None
    return Part(label, tuple(sections))


def _plain(base: Dance, rng: Random) -> Dance:
    waltz = base.meter == "3/4"
    total = (
        rng.choice((24, 24, 48)) if waltz else rng.choices((16, 24, 32, 40, 48, 64), (8, 8, 52, 6, 12, 14))[0]
    )
    size = rng.choice((6, 6, 12)) if waltz else 8
    walls = rng.choices((1, 2, 4, 8), (10, 33, 55, 4 if base.level >= 2 and not waltz else 0))[0]
    # Rarely the wall ends on the other foot and the dance is then danced in mirror image, wall by wall.
    mirror = rng.random() < 0.02
    begun: tuple[Section, ...] = ()
    for attempt in range(ATTEMPTS):
        part = make_part(rng, "", base, total, size, base.start_foot, begun)
        if part is None:
            continue
        # Keep a good beginning for a while and look for an end that suits it.
        begun = () if attempt % 40 == 0 else begun or part.sections[:-2]
        state = dance_part(part, base.start_foot)[-1]
        if (state.free != base.start_foot) != mirror:
            continue
        if (mirror and state.facing % 8) or (not mirror and walls_of(state.facing) != walls):
            continue
        dance = _with(base, parts=(part,))
        return dance if mirror else _with_run(dance, rng)
    # Some wishes (eight walls, sixty-four easy counts) hardly ever come true: wish again.
    return _plain(base, rng)


def _with(dance: Dance, **changes: object) -> Dance:
    values = {name: getattr(dance, name) for name in Dance.__dataclass_fields__}
    return Dance(**(values | changes))


def restart_places(dance: Dance) -> list[int]:
    """Counts after which the starting foot is free and a figure has just ended."""
    part = dance.parts[0]
    places = []
    passed = 0
    for section in part.sections:
        for use in section.uses:
            end = passed + use.start + use.form.counts
            if end % 4 == 0 or dance.meter == "3/4":
                state = dance_steps(State(dance.start_foot), steps_until(part.sections, end))
                if state.free == dance.start_foot and 8 <= end < part.counts and _clean_cut(dance, end):
                    places.append(end)
        passed += section.counts
    return places


def step_change_places(dance: Dance) -> list[int]:
    """Section ends where a last touch, danced as a step, frees the starting foot."""
    places = []
    passed = 0
    for section in dance.parts[0].sections[:-1]:
        passed += section.counts
        last = section.steps[-1]
        if last.act == "touch" and last.foot == OTHER[dance.start_foot] and _clean_cut(dance, passed):
            places.append(passed)
    return places


def _clean_cut(dance: Dance, end: int) -> bool:
    """No pick-up step of the next figure lies before the cut."""
    part = dance.parts[0]
    passed = 0
    for section in part.sections:
        for use in section.uses:
            if passed + use.start == end and use.form.pickup:
                return False
        passed += section.counts
    return True


def _with_run(dance: Dance, rng: Random) -> Dance:
    """Add a tag, restarts and an ending to some dances, never to the easiest ones."""
    restarts: list[Restart] = []
    places = restart_places(dance)
    if places and dance.level >= 2 and rng.random() < 0.25:
        chosen = rng.choice([place for place in places if place % 8 == 0] or places)
        if rng.random() < 0.12:
            chosen = rng.choice(places)
        walls = sorted(rng.sample(range(2, 8), rng.choice((1, 1, 1, 2))))
        restarts = [Restart(wall, chosen) for wall in walls]
    elif dance.level >= 2 and (changed := step_change_places(dance)) and rng.random() < 0.08:
        restarts = [Restart(rng.choice(range(2, 8)), rng.choice(changed), OTHER[dance.start_foot])]
    dance = _with(dance, restarts=tuple(restarts))
    if rng.random() < (0.3 if dance.level >= 2 else 0.1):
        dance = _with_tag(dance, rng)
    if rng.random() < 0.14:
        dance = _with_ending(dance, rng)
    return dance


def _with_tag(dance: Dance, rng: Random) -> Dance:
    sizes = (3, 6, 6, 12) if dance.meter == "3/4" else (2, 4, 4, 4, 8, 8)
    size = rng.choice(sizes)
    tag = _make_tag(dance, rng, size)
    if tag is None:
        return dance
    free = [wall for wall in range(1, 8) if wall not in [restart.wall for restart in dance.restarts]]
    count = 2 if rng.random() < 0.3 else 1
    places = tuple(TagPlace(wall, dance.counts) for wall in sorted(rng.sample(free, count)))
    return _with(dance, tag=tag, tag_places=places)


def _make_tag(dance: Dance, rng: Random, size: int) -> Part | None:
    plain = [form for form in pool_for(dance) if form.level <= 2 and not form.pickup and not form.together]
    for _ in range(300):
        uses = fill(rng, size, dance.start_foot, plain, None)
        if uses is None:
            continue
        part = Part("Tag", (Section(size, tuple(uses)),))
        try:
            state = dance_part(part, dance.start_foot)[-1]
        except WeightError:
            continue
        wanted = rng.random() < 0.12
        if state.free == dance.start_foot and (state.facing % 8 == 0 or (wanted and state.facing % 2 == 0)):
            return part
    return None


def wall_facings(dance: Dance, walls: int) -> list[int]:
    """Facing in eighths at the start of walls 1 to `walls`, tags and restarts included."""
    part = dance.parts[0]
    net = dance_part(part, dance.start_foot)[-1].facing
    tag_turn = dance_part(dance.tag, dance.start_foot)[-1].facing if dance.tag else 0
    cuts = {restart.wall: restart.after_count for restart in dance.restarts}
    facings = [0]
    for wall in range(1, walls):
        turn = net
        if wall in cuts:
            turn = dance_steps(State(dance.start_foot), steps_until(part.sections, cuts[wall])).facing
        if any(place.wall == wall for place in dance.tag_places):
            turn += tag_turn
        facings.append(facings[-1] + turn)
    return facings


def _with_ending(dance: Dance, rng: Random) -> Dance:
    """Finish facing the front: at a section end that faces it, or with one more half or quarter turn."""
    busy = [restart.wall for restart in dance.restarts] + [place.wall for place in dance.tag_places]
    wall = max([*busy, rng.choice((5, 6, 7, 8))]) + 1
    start = wall_facings(dance, wall)[-1]
    part = dance.parts[0]
    size = part.sections[0].counts
    options = []
    for after in range(size, part.counts, size):
        state = dance_steps(State(dance.start_foot), steps_until(part.sections, after))
        facing = (start + state.facing) % 8
        if facing == 0:
            options.append(Ending(wall, after, 0))
        elif facing in (2, 4, 6):
            options.append(Ending(wall, after, {2: -2, 4: 4, 6: 2}[facing]))
    natural = [option for option in options if option.turn == 0]
    chosen = natural or options
    return _with(dance, ending=rng.choice(chosen)) if chosen else dance


def _phrased(base: Dance, rng: Random) -> Dance:
    """A dance in lettered parts, every part beginning and ending on the same free foot."""
    labels = "AB" if rng.random() < 0.75 else "ABC"
    parts: list[Part] = []
    for label in labels:
        total = rng.choice((32, 32, 16, 48) if label == "A" else (16, 32, 32))
        for _ in range(ATTEMPTS):
            part = make_part(rng, label, base, total, 8, base.start_foot)
            if part is None:
                continue
            state = dance_part(part, base.start_foot)[-1]
            if state.free == base.start_foot and state.facing % 4 == 0:
                parts.append(part)
                break
        else:
            return _phrased(base, rng)
    dance = _with(base, parts=tuple(parts))
    tag = _make_tag(dance, rng, rng.choice((4, 8))) if rng.random() < 0.5 else None
    order = ["A", "B"] if labels == "AB" else ["A", "B", "C"]
    sequence = [*order, "A", *order[:2], "A", *rng.choice((["B"], ["A"], ["B", "B"], ["A", "B"]))]
    if rng.random() < 0.4:
        sequence.insert(0, "A")
    if tag:
        sequence.insert(rng.randrange(2, len(sequence)), "Tag")
    return _with(dance, sequence=tuple(sequence), tag=tag)
