"""What the keys of a foot switch do, as it is typed and kept."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.shop.speech import foot


def test_keys_and_what_they_do_are_read_in_any_writing() -> None:
    said = {"f13": "log", "shift+f1": "retry", "pageup": "back", "f8": "take-back", "ctrl+shift+f24": "ask"}
    assert foot.read("F13=Log, Shift+F1=retry pageup=back f8=TAKE-BACK ctrl+shift+f24=ask") == said
    assert foot.read(foot.plain(said)) == said and foot.read("  ") == {}


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("log", "says no key"),
        ("a=log", "a is no key for a foot switch"),
        ("7=log", "7 is no key"),
        ("f1=log", "f1 is no key"),
        ("f10=log", "f10 is no key"),
        ("f25=log", "f25 is no key"),
        ("enter=log", "enter is no key"),
        ("=log", "nothing is no key"),
        ("f13=lgo", "nearest: log"),
        ("f13=", "nothing typed"),
        ("f13=log F13=skip", "f13 does two things"),
    ],
)
def test_what_is_wrong_is_said(text: str, why: str) -> None:
    wrong = foot.read(text)
    assert isinstance(wrong, Wrong) and why in str(wrong)
