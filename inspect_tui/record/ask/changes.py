"""Questions about what was said of things later on: which two are one thing."""

from __future__ import annotations

from inspect_tui.model.changes import SameThing
from inspect_tui.record import kinds
from inspect_tui.record.ask.jobs import Queries


class ChangeQueries(Queries):
    """Things that are the same; what is withdrawn stands with the questions about jobs."""

    def same_things(self, about_kind: int | None = None) -> list[SameThing]:
        """What was last said of each pair of things, same or apart, oldest pair first."""
        where, values = ("1", ()) if about_kind is None else ("t.about_kind = ?", (about_kind,))
        rows = self._rows_of(
            f"SELECT {kinds.SAME_THING.select('t')} FROM same_thing t JOIN entry e ON e.id = t.id WHERE {where} "
            "ORDER BY e.at_us, t.id",
            values,
        )
        said: dict[frozenset[bytes], SameThing] = {}
        for thing in map(kinds.SAME_THING.thing, rows):
            said[frozenset((thing.this_id, thing.that_id))] = thing
        return list(said.values())
