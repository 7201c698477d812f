"""FIELD=TEXT words: each field once, the nearest of a wrong one named."""

from __future__ import annotations

import pytest

from inspect_tui.commands import named_fields
from inspect_tui.errors import DataError
from inspect_tui.metrology.typed.fields import Wrong


def test_fields_are_read_by_name() -> None:
    assert named_fields.read(["Role=lead", "name=K. Toms = KT"], ("name", "role")) == {
        "role": "lead",
        "name": "K. Toms = KT",
    }
    assert named_fields.taken(3, "count") == 3


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (["lead"], "'lead' is no FIELD=TEXT: say name=lead, or one of name, role"),
        (["rol=lead"], "no field 'rol'; nearest: role"),
        (["zzz=lead"], "no field 'zzz'; there are: name, role"),
        (["role=lead", "role=maker"], "'role' is given twice"),
    ],
)
def test_what_is_no_field_is_refused(words: list[str], why: str) -> None:
    with pytest.raises(DataError, match=why):
        named_fields.read(words, ("name", "role"))
    with pytest.raises(DataError, match="weight: nothing typed"):
        named_fields.taken(Wrong("nothing typed"), "weight")
