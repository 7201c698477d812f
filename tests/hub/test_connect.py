"""What stands in the way of the hub is a sentence, and holds no password."""

from __future__ import annotations

import pytest

from inspect_tui.hub.connect import HubError, is_address, opened
from tests.hub.conftest import Server


@pytest.mark.parametrize(
    ("text", "is_one"),
    [("postgresql://a@b/c", True), ("postgres://a/b", True), ("service=shop", True), ("/mnt/share", False)],
)
def test_what_is_an_address(text: str, is_one: bool) -> None:
    assert is_address(text) is is_one


def test_a_refused_login_does_not_say_the_password(server: Server) -> None:
    with (
        pytest.raises(HubError) as wrong,
        opened(f"postgresql://nobody_here:s3cret@/postgres?host={server.folder}"),
    ):
        pass
    assert "cannot be reached" in str(wrong.value) and "s3cret" not in str(wrong.value)
