"""Each threat of the contributor's guide has an answer, and each answer its test."""

from __future__ import annotations

import ast
import os
import re
from pathlib import Path

import pytest

from tests.commands.conftest import Run, cli, on_shop  # noqa: F401  fixtures
from tests.conftest import SmallShop

ROOT = Path(__file__).parents[1]
ESCAPES = ("\x1b[31m", "\x1b]0;x\x07", "\x9b2J", "\u202e", "\x00", "\r")


def named() -> list[str]:
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    table = text.split("## Threats and answers", 1)[1].split("\n## ", 1)[0]
    return re.findall(r"`(tests/[^`]+::[^`]+)`", table)


def test_every_answer_has_the_test_that_it_names() -> None:
    tests = named()
    assert len(tests) > 15 and len(set(tests)) == len(tests)
    for test in tests:
        file, name = test.split("::")
        tree = ast.parse((ROOT / file).read_text("utf-8"))
        assert name in {node.name for node in tree.body if isinstance(node, ast.FunctionDef)}, test


def test_nothing_typed_steers_the_terminal(on_shop: Run, shop: SmallShop, tmp_path: Path) -> None:
    for escape in ESCAPES:
        word = f"st{escape}ick"
        tries = [
            on_shop("log", "--on", "stick 1", "--by", "AB", "--with", "caliper 1", stdin=f"F1 5{escape}x\n{word} 1\n"),
            on_shop("show", "--on", word),
            on_shop("show", word),
            on_shop("withdraw", "tool", word, "--why", "x", "--by", "AB"),
            on_shop("verify", "--head", word),
        ]
        for ran in tries:
            said = ran.out + ran.err
            assert said and not re.search("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]", said), (
                escape,
                said,
            )


@pytest.mark.parametrize("byte", ["\x00", "\x07", "\x1b", "\x7f", "\ufffd"])
def test_a_control_byte_never_joins_digits(on_shop: Run, shop: SmallShop, byte: str) -> None:
    at = ("log", "--on", "stick 1", "--by", "AB", "--with", "caliper 1")
    ran = on_shop(*at, stdin=f"F1 5{byte}9.60\n")
    assert "59.6" not in ran.out and ran.status == 2


@pytest.mark.parametrize("name", ["/dev/zero", "/dev/null", "pipe", "folder"])
def test_a_device_or_pipe_is_no_record(cli: Run, tmp_path: Path, name: str) -> None:
    path = Path(name) if name.startswith("/") else tmp_path / name
    if name == "pipe":
        os.mkfifo(path)
    elif name == "folder":
        path.mkdir()
    for command in (["show"], ["verify"], ["backup"], ["salvage", "--to", str(tmp_path / "new.db")]):
        ran = cli("--record", str(path), *command)
        assert ran.status == 2 and ran.err.count("\n") <= 2 and "Traceback" not in ran.err
    assert not (tmp_path / "new.db").exists()
