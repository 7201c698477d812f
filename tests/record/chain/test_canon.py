"""The bytes under the hashes, written out by hand from the head of the module; SHA-256 as the standard library has it."""

from __future__ import annotations

from hashlib import sha256

import pytest

from inspect_tui.record.chain.canon import canonical, genesis, head_text, link


def test_a_row_is_an_array_without_blanks_its_reals_in_hexadecimal() -> None:
    made = canonical(5, 1, b"\x0a\xff", 7, 1_700_000_000_000_000, -60, None, [b"\x01", 0.5, "Guß", 3, None])
    wanted = '["itui-1",5,1,"0aff",7,1700000000000000,-60,null,"01","0x1.0000000000000p-1","Guß",3,null]'
    assert made == wanted.encode()


def test_minus_nought_is_nought_as_the_table_gives_it_back() -> None:
    assert canonical(1, 1, b"", 1, 0, 0, None, [-0.0]) == canonical(1, 1, b"", 1, 0, 0, None, [0.0])


def test_the_chain_begins_at_the_device_and_each_link_holds_the_one_before() -> None:
    first = genesis(b"device")
    assert first == sha256(b"itui-genesisdevice").digest()
    assert link(first, b"row") == sha256(first + b"row").digest()
    assert link(b"x" * 32, b"row") != link(first, b"row")


def test_the_head_is_told_by_device_number_and_sixteen_digits() -> None:
    assert head_text(b"\xab", 12, bytes(range(32))) == "ab·12·0001020304050607"


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_figures_that_are_none_still_make_text(value: float) -> None:
    assert canonical(1, 1, b"", 1, 0, 0, None, [value]).endswith(f'"{value.hex()}"]'.encode())
