"""The bytes and hashes of the chain are those of `chain.json`, for ever: old files are verified with them.

Source: hashes are SHA-256 (FIPS 180-4); floats are in C99 hexadecimal form; the bytes were written out by hand.
"""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

import pytest

from inspect_tui.record.chain import canon
from inspect_tui.record.kinds import BY_NUMBER

FIXED = json.loads(Path(__file__).with_name("chain.json").read_text("utf-8"))
DEVICE = bytes.fromhex(FIXED["device"])


def stored(value: object) -> object:
    return bytes.fromhex(value[1:]) if isinstance(value, str) and value.startswith("#") else value


def test_sha_256_is_the_published_one():
    # FIPS 180-4, example "abc", as printed in NIST's examples with intermediate values
    assert hashlib.sha256(b"abc").hexdigest() == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def test_hexadecimal_floats_are_those_of_c99():
    # by hand: 59 is 3B, 0.66 is .A8F5C28F5C28F..., so 59.66 is 3B.A8F5C28F5C28F... = 1.DD47AE147AE147... * 2^5
    assert canon.canonical(18, 1, DEVICE, 1, 0, 0, None, [59.66]).endswith(b',"0x1.dd47ae147ae14p+5"]')
    assert float.fromhex("0x1.dd47ae147ae14p+5") == 59.66


@pytest.mark.parametrize("entry", FIXED["entries"], ids=lambda e: f"{e['seq']} {e['table']}")
def test_the_bytes_of_a_row_are_the_fixed_ones(entry):
    values = [stored(v) for v in entry["values"]]
    assert len(values) == len(BY_NUMBER[entry["kind"]].names_of(entry["fmt"]))
    assert BY_NUMBER[entry["kind"]].table == entry["table"]
    by = bytes.fromhex(entry["by"]) if entry["by"] else None
    made = canon.canonical(
        entry["kind"], entry["fmt"], DEVICE, entry["seq"], entry["at_us"], entry["tz_min"], by, values
    )
    assert made.decode() == entry["text"]


def test_each_hash_stands_on_the_one_before():
    head = canon.genesis(DEVICE)
    assert head.hex() == FIXED["genesis"] == hashlib.sha256(b"itui-genesis" + DEVICE).hexdigest()
    for entry in FIXED["entries"]:
        assert hashlib.sha256(head + entry["text"].encode()).hexdigest() == entry["hash"]
        head = canon.link(head, entry["text"].encode())
        assert head.hex() == entry["hash"]
    last = FIXED["entries"][-1]
    assert canon.head_text(DEVICE, last["seq"], head) == f"{FIXED['device']}·7·{last['hash'][:16]}"
