"""`sand-core`: opened, listed, measured by `log`, and taken out again."""

from __future__ import annotations

import json

from inspect_tui.model.foundry import SettingAnswer
from inspect_tui.shop.answers import sand_cores
from tests.commands.conftest import Ran, Run
from tests.conftest import SmallShop


def test_sand_cores_are_opened_measured_and_listed(on_shop: Run) -> None:
    assert "has no sand cores yet" in on_shop("sand-core", "list").err
    opened = on_shop("sand-core", "add", "core 1", "A-7", "A-8", "--by", "AB")
    assert (opened.status, opened.out) == (0, "core 1: A-7, A-8 opened\n"), opened.err
    logged = on_shop("log", "--on", "core A-7", "--by", "AB", "--with", "caliper 1", stdin="F2 40.41\n")
    assert logged.out.startswith("ACK "), logged.err
    rows = json.loads(on_shop("sand-core", "list", "1", "--json").out)
    assert [(row["sand_core"], row["core"], row["sizes_read"], row["answers"]) for row in rows] == [
        ("A-7", 1, 1, []),
        ("A-8", 1, 0, []),
    ]
    twice = on_shop("sand-core", "add", "1", "a-7", "--by", "AB")
    assert twice.status == 2 and "Sand core a-7 is there already in job SV-12." in twice.err
    nowhere = on_shop("sand-core", "add", "core 99", "A-9", "--by", "AB")
    assert nowhere.status == 2 and "core 1" in nowhere.err
    assert on_shop("withdraw", "sand", "A-8", "--why", "broken", "--by", "AB", "--yes").status == 0
    assert "A-8" not in on_shop("sand-core", "list").out


def test_an_answer_is_put_right_and_taken_out(cli: Run, shop: SmallShop) -> None:
    def on_shop(*words: str) -> Ran:
        return cli(*words, "--record", str(shop.path))

    job = shop.record.job("SV-12")
    (core,) = shop.record.cores(job.of_id)
    (sand,) = sand_cores.open_new(shop.record, job, core, ["A-7"], by=shop.ab.id)
    said = SettingAnswer(
        job_of_id=job.of_id,
        core_of_id=core.of_id,
        item_id=sand.id,
        sort="check",
        what="throat",
        value=1.42,
        typed="1.42",
        on_date="2026-03-01",
    )
    shop.record.add(said, shop.ab.id)
    by = ("--why", "misread", "--by", "AB")
    right = on_shop("sand-core", "correct", "A-7 check throat", "size=1.24", "who=HW", *by)
    assert (right.status, right.out) == (0, "A-7 check throat: check throat: 1.24 mm, HW\n"), right.err
    assert "1.24 mm" in on_shop("sand-core", "list", "A-7").out
    wrong = on_shop("sand-core", "correct", "A-7 check throat", "sise=1.3", *by)
    assert wrong.status == 2 and "nearest: size" in wrong.err
    nobody = on_shop("sand-core", "correct", "A-7 check jacket", "size=1.3", *by)
    assert nobody.status == 2 and "A-7 check throat" in nobody.err
    assert on_shop("withdraw", "answer", "A-7 check throat", "--yes", *by).status == 0
    assert shop.record.setting_answers(job.of_id) == []
