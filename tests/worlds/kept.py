"""What is slow to make and only read: made once a run, by whichever worker asks first, and shared by all of them."""

from __future__ import annotations

import os
import pickle
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import pytest

from inspect_tui.record.file.lock import FileLock

Made = TypeVar("Made")
WAIT_S = 600.0  # another worker is at it


def kept(factory: pytest.TempPathFactory, name: str, make: Callable[[Path], object]) -> Path:
    """The file that `make(path)` writes. Nobody writes into it; who has to write copies it."""
    own = factory.getbasetemp()
    shared = (own.parent if "PYTEST_XDIST_WORKER" in os.environ else own) / "kept"
    shared.mkdir(exist_ok=True)
    folder = shared / name
    lock = FileLock(shared / f"{name}.lock", WAIT_S)
    try:
        with lock:
            if not folder.exists():
                new = Path(factory.mktemp("new"))
                make(new / name)
                new.rename(folder)  # whole, or not there
    finally:
        lock.close()
    return folder / name


def kept_value(factory: pytest.TempPathFactory, name: str, make: Callable[[], Made]) -> Made:
    """What `make()` computes; each caller has a copy of its own."""
    path = kept(factory, name, lambda new: new.write_bytes(pickle.dumps(make())))
    value: Made = pickle.loads(path.read_bytes())
    return value
