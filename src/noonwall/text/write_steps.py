"""Word one act: its verb, foot, place, turn and weight, in every way the language offers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from noonwall.dance.model import Foot, Step
from noonwall.figures import vocabulary_moves
from noonwall.text.write_proof import Proof, proof_of
from noonwall.text.write_words import Wording, spoken, wording_of

MOST_WORDINGS = 24
"""How many wordings of one act are tried before the first is taken unproven."""


@dataclass(frozen=True, slots=True)
class Scene:
    """Where an act happens: the foot free before it, the next foot to step, how many counts it fills."""

    free: Foot
    following: Foot | None = None
    held: int = 1


@lru_cache(maxsize=16384)
def wordings(step: Step, scene: Scene, language: str) -> tuple[str, ...]:
    """Return the wordings of ``step`` that the reader reads back as it, the preferred first.

    If none does, the preferred wording alone is returned: the sheet then says what it can.
    """
    wording = wording_of(language)
    label = "1" if scene.held == 1 else f"1-{scene.held}"
    alone = replace(step, at=Fraction(0))
    tried: dict[str, None] = {}
    for phrase in _phrases(step, scene, wording):
        tried.setdefault(" ".join(phrase.split()))
        if len(tried) >= MOST_WORDINGS:
            break
    proofs = {
        phrase: proof_of(phrase, label, wording.language, (alone,), scene.free, scene.following)
        for phrase in tried
    }
    sure = [phrase for phrase, proof in proofs.items() if proof is Proof.CERTAIN]
    near = [phrase for phrase, proof in proofs.items() if proof is Proof.IN_CONTEXT]
    return tuple(sure + near) or tuple(tried)[:1]


def _phrases(step: Step, scene: Scene, wording: Wording) -> Iterator[str]:
    """Yield wordings from the plainest to the most explicit."""
    for phrase in _turned(step, scene, wording):
        for weighted in _weighted(phrase, step, scene, wording):
            if scene.held == 1:
                yield weighted
            else:
                for pattern in wording.all("lines", "over"):
                    yield pattern.format(phrase=weighted, counts=scene.held)


def _turned(step: Step, scene: Scene, wording: Wording) -> Iterator[str]:
    """Yield the act with its turn."""
    patterns = _patterns(step, wording)
    plain = [_bare(pattern, step, wording, False) for pattern in patterns]
    if not step.turn:
        yield from plain
        return
    running = [_bare(pattern, step, wording, True) for pattern in patterns]
    side = wording.one("sides", "R" if step.turn > 0 else "L")
    eighths = str(abs(step.turn))
    if eighths not in wording.tables["amounts"]:
        raise ValueError(f"A turn of {eighths} eighths on one count has no wording.")
    amount = wording.one("amounts", eighths).format(turn=side)
    own = wording.all("turned", step.move)
    for do, doing in [("", "")] if own else zip(plain, running, strict=True):
        for pattern in own or wording.all("turned", "any" if do != doing else "noun"):
            yield pattern.format(
                amount=amount,
                fraction=wording.one("fractions", eighths),
                turn=side,
                foot=wording.foot(step.foot),
                support=wording.foot(scene.free.other),
                do=do,
                doing=doing,
            )


def _patterns(step: Step, wording: Wording) -> list[str]:
    own = wording.all("moves_at", f"{step.move}.{step.to}") if not _travels_over(step) else []
    return own + [pattern for pattern in wording.all("moves", step.move) if pattern not in own]


def _travels_over(step: Step) -> bool:
    """True if the foot travels to the other foot's side against its own."""
    return bool(step.side) and step.foot is not None and step.side != step.foot.value


def _bare(pattern: str, step: Step, wording: Wording, running: bool) -> str:
    foot = step.foot
    side = wording.one("sides", step.side or (foot.value if foot in (Foot.LEFT, Foot.RIGHT) else "R"))
    other = wording.foot(foot.other) if foot in (Foot.LEFT, Foot.RIGHT) else wording.foot(Foot.BOTH)
    place = _place(step, wording).format(side=side, other=other)
    return spoken(pattern, running).format(foot=wording.foot(foot), other=other, side=side, place=place)


def _place(step: Step, wording: Wording) -> str:
    if not step.to:
        return ""
    if step.foot in (None, Foot.BOTH) and step.to in wording.tables["places_both"]:
        return wording.one("places_both", step.to)
    if _travels_over(step) and step.to in wording.tables["places_over"]:
        return wording.one("places_over", step.to)
    return wording.one("places", step.to)


def _weighted(phrase: str, step: Step, scene: Scene, wording: Wording) -> Iterator[str]:
    """Yield the phrase with a weight note where the move alone does not tell the weight."""
    if step.foot is None or step.move == "pivot":
        yield phrase
        return
    if step.foot is Foot.BOTH and not step.takes_weight:
        # heels that swivel may end on either foot: a note says so only if the line needs it
        yield phrase
        yield wording.one("weight", "on").format(phrase=phrase, foot=wording.foot(scene.free.other))
        return
    usual = vocabulary_moves()[step.move].weight
    if usual == ("yes" if step.takes_weight else "no"):
        yield phrase
        return
    for pattern in wording.all("weight", "take" if step.takes_weight else "none"):
        yield pattern.format(phrase=phrase)
    if step.takes_weight:
        yield wording.one("weight", "on").format(phrase=phrase, foot=wording.foot(step.foot))
