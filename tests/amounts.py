"""How much of what is drawn at random a run takes: a little at every run, much on demand."""

from __future__ import annotations

from hypothesis import settings


def some(at_every_run: int, on_demand: int) -> int:
    """How many examples, worlds or seeds: the second figure is for `--hypothesis-profile=long`."""
    return on_demand if settings.get_current_profile_name() == "long" else at_every_run
