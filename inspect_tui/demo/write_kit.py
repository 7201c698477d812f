"""The kit of the demo: pictures of its cores, drawn here, and when it was shipped; the rest stands in its tables.

Places, directions, weights and marks of `shop_files` are invented. Planted and to be found: core 1 goes into its own
seats turned end for end, because its two drag prints are alike; the written loop ST2 leaves out the play of core 2.
"""

from __future__ import annotations

from collections.abc import Mapping
from hashlib import sha256
from typing import Any

from inspect_tui.demo import pictures
from inspect_tui.demo import workshop as shop
from inspect_tui.model.kit import Attachment, AttachmentUse
from inspect_tui.model.words import Id
from inspect_tui.model.work import Core
from inspect_tui.record.attachments import look
from inspect_tui.record.kinds import CORE
from inspect_tui.record.store import Record

TO_WHOM = "a foundry two days away"
SHIPPED_ON = shop.project_day(-1, 3)


def show_pictures(record: Record, cores: Mapping[int, Core], by: Id) -> None:
    """A picture of each core; its bytes do not lie beside the record, which is one file."""
    rows: list[Any] = []
    for number, name, drawn in pictures.every():
        media, width, height = look(drawn)
        made = record.new_id()
        rows.append(
            Attachment(
                id=made,
                sha256=sha256(drawn).hexdigest(),
                bytes=len(drawn),
                media=media,
                width_px=width,
                height_px=height,
                shown_name=name,
            )
        )
        rows.append(
            AttachmentUse(
                attachment_id=made,
                about_kind=CORE.number,
                about_id=cores[number].of_id,
                caption=f"core {number}, drawn",
                ord=1,
            )
        )
    record.add_all(rows, by)
