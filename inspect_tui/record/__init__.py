"""The shop's record: SQLite, append-only. The only SQL of the bench."""

from inspect_tui.record.read import Reader
from inspect_tui.record.store import Record

__all__ = ["Reader", "Record"]
