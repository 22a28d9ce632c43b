"""Settings for all tests."""

from __future__ import annotations

from hypothesis import settings

# how long an example takes depends on what else the machine does; slowness is measured in benchmarks/
settings.register_profile("noonwall", deadline=None)
settings.load_profile("noonwall")
