"""`sync` exchanges through a folder and says what came, what waits and what is to be decided."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from inspect_tui.commands.sync import progress
from tests.commands.conftest import Run
from tests.conftest import SmallShop
from tests.hub.conftest import Hub, hub, hub_made, server  # noqa: F401  fixtures

LOG = ("log", "--on", "stick 1", "--by", "AB", "--with", "caliper 1")


def test_two_benches_through_a_folder(on_shop: Run, cli: Run, shop: SmallShop, tmp_path: Path) -> None:
    share, other = tmp_path / "share", str(tmp_path / "other" / "shop.db")
    ran = on_shop("sync", str(share))
    assert ran.status == 2 and "There is no folder" in ran.err
    share.mkdir()
    on_shop(*LOG, stdin="F1 59.60\n")
    ran = on_shop("sync", str(share))
    assert ran.status == 0 and "0 entries came in" in ran.out and "1 bundle of this bench written" in ran.err
    told = json.loads(cli("--record", other, "sync", str(share), "--json").out)
    assert told["came"]["reading"] == 1 and told["refused"] == [] and len(told["written"]) == 1
    assert "59.60" in cli("--record", other, "show", "--on", "stick 1", "--readings").out
    cli("--record", other, *LOG, stdin="F1 59.62\n")
    cli("--record", other, "sync", str(share))
    assert json.loads(on_shop("sync", str(share), "--json").out)["came"]["reading"] == 1
    assert on_shop("verify").status == 0


def test_a_clash_is_said_and_the_status_is_1(on_shop: Run, cli: Run, shop: SmallShop, tmp_path: Path) -> None:
    share, other = tmp_path / "share", str(tmp_path / "other" / "shop.db")
    share.mkdir()
    on_shop("sync", str(share))
    cli("--record", other, "sync", str(share))
    on_shop("person", "add", "KB", "name=K. at a")
    cli("--record", other, "person", "add", "KB", "name=K. at b")
    cli("--record", other, "sync", str(share))
    ran = on_shop("sync", str(share))
    assert ran.status == 1 and "There are 2 people called KB" in ran.out
    told = json.loads(on_shop("sync", str(share), "--json").out)
    assert told["clashes"][0]["kind"] == "person"


def test_through_a_hub_and_offline(on_shop: Run, cli: Run, hub: Hub, tmp_path: Path) -> None:
    on_shop(*LOG, stdin="F1 59.60\n")
    told = json.loads(on_shop("sync", hub.bench("bench_a"), "--json").out)
    assert told["sent"] > 0 and told["unsent"] == 0 and told["wrong"] == ""
    other = str(tmp_path / "other" / "shop.db")
    ran = cli("--record", other, "sync", hub.bench("bench_b"))
    assert ran.status == 0 and "1 reading among them" in ran.out and "sent to the hub" in ran.err
    nowhere = f"postgresql://bench_a@/nowhere?host={hub.server.folder}"
    on_shop(*LOG, stdin="F1 59.61\n")
    ran = on_shop("sync", nowhere)
    assert ran.status == 1 and "cannot be reached" in ran.err and "not yet sent. Nothing is lost" in ran.err
    ran = cli("hub", "init", nowhere)
    assert ran.status == 2 and "cannot be reached" in ran.err
    ran = cli("hub", "init", hub.owner, "--shop", "our shop", "--bench", "bench_d")
    assert ran.status == 0 and "bench_d may add and read" in ran.out


def test_how_far_it_is_stands_on_a_line_that_goes_again(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    with progress("and what came stays") as watch:
        assert watch is not None
        watch(2000)
    assert capsys.readouterr().err == "\r\x1b[K2,000 entries (Ctrl+C stops, and what came stays)\r\x1b[K"
    monkeypatch.setattr("sys.stderr.isatty", lambda: False)
    with progress("and what came stays") as watch:
        assert watch is None
