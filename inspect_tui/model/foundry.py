"""What the foundry sends back about cores as they were set: checks in the mould, rubs, remarks."""

from __future__ import annotations

from inspect_tui.frozen import frozen_by_name
from inspect_tui.model.words import NO_ID, Id

ANSWER_SORTS = ("check", "rub", "remark")
CHECK_RESULTS = ("go", "no_go")


@frozen_by_name
class SettingAnswer:
    """One thing that was said of a core in its mould; sizes mm in the mould, which is no size of a casting.

    The core is named by its first version; none: said of the mould as a whole. `item_id` is the sand core that was set.
    """

    id: Id = NO_ID
    job_of_id: Id
    core_of_id: Id | None = None
    item_id: Id | None = None
    step: int | None = None  # of the setting, as the foundry's sheet had it
    sort: str  # check, rub, remark
    what: str
    result: str | None = None  # of a template: go, no_go
    value: float | None = None
    typed: str | None = None
    lower: float | None = None  # the limits that the sheet gave
    upper: float | None = None
    words: str | None = None
    mould: str | None = None  # as the foundry marked it: of the casting, or of the mould
    who: str | None = None
    on_date: str
