"""Questions about what was said of things later on: what is withdrawn, and which two are one thing."""

from __future__ import annotations

from inspect_tui.model.changes import SameThing, Withdrawal
from inspect_tui.record import kinds
from inspect_tui.record.ask.jobs import Queries


class ChangeQueries(Queries):
    """Withdrawals and things that are the same."""

    def withdrawals(self, about_kind: int | None = None) -> dict[bytes, Withdrawal]:
        """What was last said of each thing that ever was withdrawn (state withdrawn or back), by its of_id."""
        where, values = ("1", ()) if about_kind is None else ("t.about_kind = ?", (about_kind,))
        rows = self._rows_of(
            f"SELECT {kinds.WITHDRAWAL.select('t')} FROM withdrawal t JOIN entry e ON e.id = t.id WHERE {where} "
            "ORDER BY e.at_us, t.id",
            values,
        )
        return {said.about_id: said for said in map(kinds.WITHDRAWAL.thing, rows)}

    def withdrawn(self, about_kind: int | None = None) -> set[bytes]:
        """The of_ids of the things that are withdrawn now."""
        return {of_id for of_id, said in self.withdrawals(about_kind).items() if said.state == "withdrawn"}

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
