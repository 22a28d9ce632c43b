"""Compute NN.json and NN.events.json from NN.toml with the second set's tool; same options and notation."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
SPEC = importlib.util.spec_from_file_location("second_build", HERE.parent / "second" / "build.py")
assert SPEC is not None and SPEC.loader is not None
second = importlib.util.module_from_spec(SPEC)
sys.modules["second_build"] = second
SPEC.loader.exec_module(second)
# The other tool looks for sheets beside itself; ours lie here.
second.HERE = HERE

if __name__ == "__main__":
    raise SystemExit(second.main())
