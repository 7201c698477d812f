"""The demo record as its generator writes it, for any seed and any set of plants; each made once a run."""

from __future__ import annotations

from collections.abc import Iterable
from hashlib import sha256
from pathlib import Path

import pytest

from inspect_tui.demo.truth import PLANTS, SEED
from inspect_tui.demo.write import write
from tests.worlds.kept import kept

OTHER_SEED = 13


def demo_record(
    factory: pytest.TempPathFactory, seed: int = SEED, plants: Iterable[str] = PLANTS, name: str = ""
) -> Path:
    """The file: to be read only, or copied by a test that writes. Who plants something else gives it a name."""
    without = "".join(sorted(PLANTS - frozenset(plants)))
    name = f"demo-{seed}{name}-{sha256(without.encode()).hexdigest()[:8]}.db"
    return kept(factory, name, lambda path: write(path, seed, plants))
