"""What a hub holds is proved from the first entry on: whatever is changed, lost, astray or cut off there is named."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import psycopg
import pytest

from inspect_tui.cli import main
from inspect_tui.hub import check as module
from inspect_tui.hub.check import check
from tests.hub.conftest import Hub
from tests.record.merge.conftest import Station

Make = Callable[[str], Station]


def problems(hub: Hub, spoilt_by: str = "", printed: tuple[str, ...] = ()) -> str:
    if spoilt_by:
        with psycopg.connect(hub.owner) as con:
            con.execute(spoilt_by)  # type: ignore[call-overload]
    return " ".join(check(hub.bench("reader"), printed).problems)


def test_a_whole_hub_has_its_heads_and_counts(two_shops: Hub, stations: Make, monkeypatch) -> None:
    told: list[tuple[int, int]] = []
    monkeypatch.setattr(module, "_TOLD_EVERY", 10)
    found = check(two_shops.bench("reader"), watch=lambda *how_far: told.append(how_far))
    assert found.ok and found.notes == () and len(found.heads) == 2 and found.counts["reading"] == 3
    total = sum(found.counts.values())
    assert told[:2] == [(0, total), (10, total)] and told[-1] == (total, total)
    again = check(two_shops.bench("reader"), found.heads)
    assert again == found
    own = check(two_shops.bench("bench_a"))  # a bench proves what is of its own shop
    assert own.ok and len(own.heads) == 1 and own.counts["reading"] == 2 and own.heads[0] in found.heads


@pytest.mark.parametrize(
    ("act", "said"),
    [
        ("UPDATE hub.reading SET value = 61 WHERE value = 60.1", "its reading (.*) or the entry is not what was"),
        ("UPDATE hub.entry SET at_us = at_us + 1 WHERE seq = 3", "entry 3: its .* or the entry is not what was"),
        ("DELETE FROM hub.reading WHERE value = 59.1", "its reading (.*) is missing"),
        ("DELETE FROM hub.entry WHERE seq BETWEEN 4 AND 5", "entries 4 to 5 are missing.*rows of .* stand in no chain"),
        ("UPDATE hub.entry SET fmt = 9 WHERE seq = 2", "entry 2: this program does not know its kind"),
        ("UPDATE hub.reading SET of_shop = 2 WHERE value = 59.1", "1 rows of reading stand under another shop"),
        ("UPDATE hub.entry SET of_shop = 3 - of_shop WHERE seq = 2", "stand under 2 shops"),
        ("UPDATE hub.picture SET content = 'x'", "The picture .* at the hub is not what was kept"),
    ],
)
def test_what_was_spoilt_is_named(two_shops: Hub, act: str, said: str) -> None:
    found = problems(two_shops, act)
    assert re.search(said, found), found


def test_a_tail_that_was_cut_off_shows_against_what_was_known_before(two_shops: Hub) -> None:
    before = check(two_shops.bench("reader")).heads
    cut = (
        "DELETE FROM hub.reading WHERE value = 60.1",
        "DELETE FROM hub.entry WHERE (device_id, seq) IN (SELECT device_id, max(seq) FROM hub.entry e WHERE e.of_shop = "
        "(SELECT id FROM hub.shop WHERE name = 'another shop') GROUP BY device_id)",
    )
    assert not problems(two_shops, cut[0] + "; " + cut[1])
    assert "was known before; the hub does not hold it" in problems(two_shops, printed=before)
    forged = tuple(head[:-16] + "0" * 16 for head in check(two_shops.bench("reader")).heads)
    assert "is not the one that was known before" in problems(two_shops, printed=forged)


def test_a_picture_that_no_bench_sent_is_a_note_and_an_empty_hub_says_so(two_shops: Hub, capsys) -> None:
    with psycopg.connect(two_shops.owner) as con:
        con.execute("DELETE FROM hub.picture")
    found = check(two_shops.bench("reader"))
    assert found.ok and found.notes == ("The picture seat.png is not at the hub: sync from the bench that has it.",)
    with psycopg.connect(two_shops.owner) as con:
        con.execute("DELETE FROM hub.entry")
    assert check(two_shops.bench("reader")).notes == ("This login sees no entry at all.",)
    assert main(["hub", "check", two_shops.bench("reader")]) == 0
    assert "Nothing was proved" in capsys.readouterr().out
    assert not check(two_shops.bench("reader"), found.heads).ok


def test_the_command_keeps_the_heads_for_the_next_night(two_shops: Hub, tmp_path: Path, capsys) -> None:
    address, kept = two_shops.bench("reader"), tmp_path / "heads"
    assert main(["hub", "check", address, "--heads", str(kept)]) == 0
    out = capsys.readouterr().out
    assert "The hub is whole: " in out and "of 2 benches, 3 readings among them." in out
    first = kept.read_text()
    assert first.count("\n") == 2 and all(f"head {line}" in out for line in first.splitlines())
    with psycopg.connect(two_shops.owner) as con:
        con.execute("DELETE FROM hub.reading; DELETE FROM hub.entry WHERE kind = (SELECT max(kind) FROM hub.entry)")
        con.execute("DELETE FROM hub.entry WHERE id IN (SELECT id FROM hub.entry EXCEPT SELECT id FROM hub.setup)")
    assert main(["hub", "check", address, "--heads", str(kept)]) == 1
    assert "The hub is NOT whole" in capsys.readouterr().out and kept.read_text() == first
    assert main(["hub", "check", address, "--json"]) == 1
    assert '"ok": false' in capsys.readouterr().out
