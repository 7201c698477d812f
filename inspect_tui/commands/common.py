"""What the commands share: which record, how it is opened, JSON out."""

from __future__ import annotations

import os
import sys
from pathlib import Path

TYPE_CHECKING = False
if TYPE_CHECKING:
    from argparse import Namespace
    from typing import Any

    from inspect_tui.record.store import Record


def record_path(args: Namespace) -> Path:
    """--record, else INSPECT_TUI_RECORD, else the user's data folder."""
    named = args.record or os.environ.get("INSPECT_TUI_RECORD")
    if named:
        return Path(named)
    from platformdirs import user_data_path

    return user_data_path("inspect_tui") / "shop.db"


def open_record(args: Namespace, *, create: bool = False, read_only: bool = False) -> Record:
    """Open the record of this call; a missing one is made only by commands that write."""
    from inspect_tui.errors import RecordError
    from inspect_tui.record.store import Record

    path = record_path(args)
    if not path.exists():
        if not create:
            raise RecordError(f"There is no record at {path}. `inspect-tui job add FILE.toml` begins one.")
        path.parent.mkdir(parents=True, exist_ok=True)
    return Record.open(path, create=create, read_only=read_only)


def print_json(thing: Any) -> None:
    """One JSON document on stdout, every number at full precision; NaN never, and nothing at all rather than a part."""
    import json

    from inspect_tui.errors import DataError

    try:
        text = json.dumps(thing, ensure_ascii=False, indent=1, allow_nan=False)
    except ValueError:
        raise DataError("A figure of this result is not finite, so it cannot be given as JSON.") from None
    sys.stdout.write(text + "\n")


def talk(text: str) -> None:
    """A line for people, on stderr."""
    print(text, file=sys.stderr)
