"""Dance a dance: where both feet are, which carries the weight, which way the dancer faces."""

from noonwall.floor.run import RunDanced, WallDanced, dance_run, mirrored, shortened, walls_told
from noonwall.floor.track import (
    FootAt,
    Moment,
    Stance,
    Track,
    dance_part,
    dance_steps,
    opening_stance,
)

__all__ = [
    "FootAt",
    "Moment",
    "RunDanced",
    "Stance",
    "Track",
    "WallDanced",
    "dance_part",
    "dance_run",
    "dance_steps",
    "mirrored",
    "opening_stance",
    "shortened",
    "walls_told",
]
