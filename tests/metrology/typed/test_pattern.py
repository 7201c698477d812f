"""Patterns that are compiled late do what the standard library's do, and nothing before they are used."""

from __future__ import annotations

import re

import pytest

from inspect_tui.metrology.typed._pattern import Pattern


def test_nothing_is_compiled_before_the_first_use(monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[str] = []
    compiled = re.compile(r"[0-9]+")
    monkeypatch.setattr(re, "compile", lambda text, flags=0: made.append(text) or compiled)
    late = Pattern(r"[0-9]+")
    assert made == []
    assert late.search("a 59") and late.search("b 60")
    assert made == [r"[0-9]+"]  # and once only


@pytest.mark.parametrize("text", ["", "59.66", "a59 b60", "x", "9" * 64])
def test_each_call_answers_as_the_library_does(text: str) -> None:
    late, plain = Pattern(r"([a-z])?([0-9]+)", re.IGNORECASE), re.compile(r"([a-z])?([0-9]+)", re.IGNORECASE)
    for call in ("match", "fullmatch", "search"):
        got, wanted = getattr(late, call)(text), getattr(plain, call)(text)
        assert (got and got.span()) == (wanted and wanted.span())
    assert (late.match(text, 1) is None) == (plain.match(text, 1) is None)
    assert late.sub(r"<\2>", text) == plain.sub(r"<\2>", text)
    assert late.subn("", text) == plain.subn("", text)
    assert late.findall(text) == plain.findall(text)
    assert [m.span() for m in late.finditer(text)] == [m.span() for m in plain.finditer(text)]
    assert Pattern("A", re.IGNORECASE).match("a")  # flags arrive
