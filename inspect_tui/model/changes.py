"""What was said of things later on: withdrawn or back, called otherwise, and that two of them are one."""

from __future__ import annotations

from inspect_tui.frozen import frozen_by_name
from inspect_tui.model.words import NO_ID, Id

WITHDRAWAL_STATES = ("withdrawn", "back")
SAME_STATES = ("same", "apart")


@frozen_by_name
class Withdrawal:
    """A thing taken out, or back in; kind number and id of its first version. The newest row holds."""

    id: Id = NO_ID
    about_kind: int
    about_id: Id
    state: str = "withdrawn"
    why: str


@frozen_by_name
class SameThing:
    """Two things of a kind (first versions) that are one, or after all are not; the newest row about a pair holds."""

    id: Id = NO_ID
    about_kind: int
    this_id: Id
    that_id: Id
    state: str = "same"
    why: str | None = None


@frozen_by_name
class Renamed:
    """What a thing without versions is called from now on; of a sampling its melt, day and number too.

    Kind number and id of a sampling, a casting or sand core, a gauge study. The newest row about it holds, whole.
    """

    id: Id = NO_ID
    about_kind: int
    about_id: Id
    name: str
    heat: str | None = None
    poured_on: str | None = None
    quantity: int | None = None
    why: str


@frozen_by_name
class PutAside:
    """Of versions that two benches made of one thing apart, one that gave way: somebody saved the version `for_id`."""

    id: Id = NO_ID
    about_kind: int
    about_id: Id
    for_id: Id


@frozen_by_name
class ShopAdopted:
    """Another shop whose rows are taken in as one's own, and what it is called here."""

    id: Id = NO_ID
    shop_id: Id
    name: str
