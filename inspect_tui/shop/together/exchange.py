"""The exchange with the other benches of the shop beside the work: how it stands, and one exchange from end to end.

Being offline is normal: what is not yet sent is counted, nothing is lost, and the next exchange goes on from there.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError, InspectError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.record import kinds
from inspect_tui.record.merge import remembered
from inspect_tui.record.merge.folder import sync_folder, unsent
from inspect_tui.record.merge.take_in import TakenIn
from inspect_tui.record.store import Record
from inspect_tui.shop.changes.changed import Names

if TYPE_CHECKING:
    from inspect_tui.record.merge.clashes import Clash


class Stopped(InspectError):
    """Somebody stopped an exchange; what had come stays."""


@frozen_by_name
class Standing:
    """How it stands: with whom, how many own entries were not there when it was last reached, when that was.

    `where` is '' where nobody said with whom; `last` in seconds since 1970, None: never.
    """

    where: str = ""
    unsent: int = 0
    last: float | None = None


@frozen_by_name
class Exchanged:
    """What an exchange did: entries and readings that came, entries of this bench that are not yet sent.

    `away`: why the others were not reached, which is normal; `wrong`: what waits or was refused, in sentences.
    """

    came: int = 0
    readings: int = 0
    unsent: int = 0
    away: str = ""
    wrong: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """All of it in one or two sentences."""
        if self.away:
            return f"Not reached: {self.away.rstrip('.')}. {not_sent(self.unsent)} Nothing is lost, and work goes on."
        if not self.came:
            return "Exchanged: nothing new came in, all of this bench is sent."
        of = f", {self.readings} reading{'s' * (self.readings != 1)} among them" if self.readings else ""
        return f"Exchanged: {self.came} {'entry' if self.came == 1 else 'entries'} came in{of}."


def not_sent(n: int) -> str:
    """`37 entries of this bench are not yet sent.`"""
    if not n:
        return "All of this bench is sent."
    return f"{n} {'entry' if n == 1 else 'entries'} of this bench {'is' if n == 1 else 'are'} not yet sent."


def is_hub(where: str) -> bool:
    """Whether a place to exchange with is a hub, and not a folder."""
    from inspect_tui.hub.connect import is_address

    return is_address(where)


def called(where: str) -> str:
    """What the place is called on a screen: a folder by its path, a hub without its address."""
    return "the hub" if is_hub(where) else where


def known_folder(where: str) -> None:
    """DataError where a folder to exchange through is none: a file, or nothing where a folder could be later."""
    folder = Path(where).expanduser()
    if folder.exists() and not folder.is_dir():
        raise DataError(f"{where} is a file: name a folder that the benches reach.")
    if not folder.is_absolute():
        raise DataError(f"{where} is no whole path: write it from its beginning, such as /mnt/share/shop.")


def standing(record: Record, where: str) -> Standing:
    """How it stands now; nothing is reached for it."""
    if not where:
        return Standing()
    where = _where(where)
    return Standing(where=where, unsent=unsent(record, where), last=remembered.known(record.path, where)[1])


def exchange(path: Path, where: str, watch: Callable[[int], None]) -> Exchanged:
    """Exchange once, on a connection of its own, in portions: from any thread, while readings are logged elsewhere.

    `watch` is told how many entries came or went so far; what it raises (`Stopped`) ends the exchange. What is wrong
    with this record or with the hub's rights is raised; that nobody is reached is an answer.
    """
    where = _where(where)
    with closing(Record.open(path)) as record:
        if is_hub(where):
            return _with_hub(record, where, watch)
        if not Path(where).is_dir():
            return Exchanged(away=f"there is no folder {where} now", unsent=unsent(record, where))
        done = sync_folder(record, Path(where), watch=watch)
        return _of(done.came, unsent(record, where), "")


def _with_hub(record: Record, where: str, watch: Callable[[int], None]) -> Exchanged:
    from inspect_tui.hub.exchange import sync_hub

    done = sync_hub(record, where, watch)
    return _of(done.came, done.unsent, done.wrong)


def _of(came: TakenIn, left: int, away: str) -> Exchanged:
    wrong = (*came.waiting, *came.wrong)
    return Exchanged(came=came.rows, readings=came.counts.get("reading", 0), unsent=left, away=away, wrong=wrong)


def _where(where: str) -> str:
    return where if is_hub(where) else str(Path(where).expanduser())


def to_decide(record: Record) -> list[Clash]:
    """What has to be decided after an exchange; nothing where one bench wrote all of it."""
    from inspect_tui.record.merge.clashes import clashes

    found = clashes(record.connection) if len(record.frontier()) > 1 else []
    if all(clash.name and clash.sort != "reading" for clash in found):
        return found
    names = Names(record)
    return [clash._replace(name=_name(record, clash, names)) for clash in found]


def _name(record: Record, clash: Clash, names: Names) -> str:
    """What it is called; of what has no name of its own, what it is of: `count of tool box 3`."""
    if clash.sort == "reading":
        target = record.as_entered(kinds.SUPERSEDE, clash.ids[0]).target_id
        _, balloon, tool_id, item, typed = record.readings_named([target])[target]
        return f"{typed} of {balloon} on {names.name.get(tool_id or item or b'', 'something')}"
    if clash.name or clash.sort == "name":
        return clash.name
    row = record.as_entered(clash.kind, clash.ids[-1])
    if clash.kind is kinds.TOOL_FEATURE:
        return f"{record.feature(row.feature_id).balloon} on {names.name.get(row.tool_id, 'a tool')}"
    return names.row(clash.kind, row)
