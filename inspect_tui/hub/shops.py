"""Every shop of a hub as a record of its own, for those who analyse over all of them."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

from inspect_tui.hub.connect import HubError, opened
from inspect_tui.hub.exchange import Source, check_version
from inspect_tui.record.merge.portions import take_in_portions
from inspect_tui.record.store import Record


def each_shop(address: str) -> Iterator[tuple[str, Record]]:
    """(name of the shop, a record with all that the hub holds of it), one after the other; each is gone afterwards.

    To be asked as a login that reads all shops (hub_read). Every chain is proved on the way; HubError where one is
    not whole.
    """
    with opened(address) as con:
        check_version(con)
        shops = con.execute("SELECT id, name FROM hub.shop ORDER BY name").fetchall()
    for number, name in shops:
        with TemporaryDirectory(prefix="inspect-tui-hub-") as folder:
            path = Path(folder) / "shop.db"
            with Record.open(path, create=True, state_dir=Path(folder), bench="analysis") as record:
                with opened(address) as con:
                    source = Source(record, con, shop=number)
                    came = take_in_portions(record, [source], adopt=source.manifest.bench)
                if came.wrong or came.waiting:
                    raise HubError(f"What the hub holds of {name} is not whole: {' '.join(came.wrong + came.waiting)}")
                yield str(name), record
