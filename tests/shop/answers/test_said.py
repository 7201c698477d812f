"""The record of what a file from the foundry says is plain data."""

from __future__ import annotations

from inspect_tui.shop.answers.said import SORTS, Said


def test_one_thing_says_only_what_it_was_given() -> None:
    said = Said(at="line 4", sort="size", core=3)
    assert said.sort in SORTS and (said.text, said.mould, said.picture, said.lower) == ("", "", b"", None)
