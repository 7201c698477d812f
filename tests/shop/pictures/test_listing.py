"""Pictures are listed by what they are of, readings among it; what was withdrawn, or lies elsewhere, is not shown."""

from __future__ import annotations

from pathlib import Path

from inspect_tui.demo.pictures import drawn
from inspect_tui.record.attachments import stored_at
from inspect_tui.shop.changes import things, withdraw
from inspect_tui.shop.pictures import attach, listing, owners
from tests.conftest import SmallShop


def test_pictures_of_a_job_with_what_they_are_of(shop: SmallShop, tmp_path: Path) -> None:
    bench = shop.bench("box 1")
    bench.goto("F3")
    bench.take("212.0")
    bench.keep_pending()
    record, job = shop.record, shop.record.job("SV-12")
    for n, (words, caption) in enumerate((("reading F3 of box 1", "burr"), ("box 1", None), ("job", None)), start=1):
        owner = owners.named(record, job, words)
        (tmp_path / f"{n}.png").write_bytes(drawn(n))
        attach.attach(record, tmp_path / f"{n}.png", owner.kind.number, owner.of_id, caption, shop.ab.id)
    seen = listing.of_job(record, job)
    assert [one.name for one in seen] == ["3.png", "2.png", "1.png"]
    assert [one.of for one in seen[:2]] == ["job", "box 1"] and seen[2].of.startswith("reading F3 of box 1 2")
    assert (seen[2].caption, seen[2].by, seen[2].width_px, seen[2].height_px) == ("burr", "AB", 240, 160)
    assert seen[2].title == f"{seen[2].of}: burr (1.png, 240 by 160, {seen[2].day}, AB)"
    assert seen[0].title == f"job: 3.png (240 by 160, {seen[0].day}, AB)"
    assert seen[2].path is not None and seen[2].path.read_bytes() == drawn(1)

    box = owners.named(record, job, "box 1")
    assert [one.name for one in listing.of_job(record, job, [box.of_id])] == ["2.png"]
    stored_at(record.path, record.pictures([box.of_id])[box.of_id][0].attachment.sha256).unlink()
    assert listing.of_job(record, job, [box.of_id])[0].path is None

    thing = things.named(record, things.sort_of("picture"), f"1.png of {seen[2].of}", job)
    withdraw.withdraw(record, thing, "the wrong box", shop.ab)
    assert [one.name for one in listing.of_job(record, job)] == ["3.png", "2.png"]
    assert [gone.thing.name for gone in withdraw.gone(record, job)] == [f"1.png of {seen[2].of}"]
