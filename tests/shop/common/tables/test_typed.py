"""What a reader of typed text found, taken, or said with the name of its field."""

import pytest

from inspect_tui.errors import DataError
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.shop.common.tables.typed import taken


def test_what_was_read_comes_back_and_what_is_wrong_is_said_with_its_field() -> None:
    assert taken(3, "pieces") == 3
    assert taken(None, "pieces") is None
    with pytest.raises(DataError, match=r"^pieces: 'x' is no count: type how many\.$"):
        taken(Wrong("'x' is no count", "type how many"), "pieces")
    with pytest.raises(DataError, match=r"^'x' is no count\.$"):
        taken(Wrong("'x' is no count"))
