"""The fitted weights of the listening, read from weights.json (written by benchmarks/fit_listening.py)."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np

_STORED = json.loads(Path(__file__).with_name("weights.json").read_text(encoding="utf-8"))

COUNTING = np.array(_STORED["counting"])
BAR = np.array(_STORED["bar"])
EIGHT = np.array(_STORED["eight"])
PHRASE = np.array(_STORED["phrase"])
PAIR = np.array(_STORED["pair"])
AGAIN = tuple(np.array(_STORED[f"{level}_again"]) for level in ("bar", "eight", "phrase"))
INTRO = np.array(_STORED["intro"])
