"""A report that was given out is the same to the byte later, whatever was recorded since."""

from __future__ import annotations

import json
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path

import pytest

from inspect_tui.errors import DataError, NotFound, ReadOnly, RecordError
from inspect_tui.frozen import replace
from inspect_tui.model.measuring import Reading
from inspect_tui.record.chain.ids import uuid_text
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article import snapshot as report_snapshot
from inspect_tui.shop.first_article.article import first_article
from inspect_tui.shop.first_article.castings.put_right import open_round
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.snapshot import again, canonical_text, find_snapshot, fix, tables_sha256
from inspect_tui.shop.jobs import jobs
from tests.conftest import SmallShop
from tests.worlds.sampled_shop import AFTER_S1, copy_of_shop


@pytest.fixture
def record(tmp_path: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Record]:
    with copy_of_shop(tmp_path_factory, tmp_path, AFTER_S1) as made:
        yield made


def change_everything(record: Record) -> None:
    """What happens to a record in a few years: corrections, revisions, further readings, another name."""
    job = find.job(record, None)
    taken = record.taken(item.id for item in pick_round(record, job, "S1").castings)
    record.void(taken[0].id, "misread", "found wrong")
    record.correct(
        taken[1].id,
        Reading(
            setup_id=taken[1].setup_id, feature_id=taken[1].feature_id, item_id=taken[1].item_id, value=1.0, typed="1"
        ),
        "misread",
        "read again",
    )
    record.revise(job, name="another name", rule="plain")
    open_round(record, job, "S2", ["S2-1"])


def test_the_same_report_is_made_again_to_the_byte_after_everything_changed(record: Record) -> None:
    job = find.job(record, None)
    given = fix(record, job, "S1")
    assert given.snapshot.output_sha256 == sha256(given.text.encode()).hexdigest()
    assert given.plain["identity"]["snapshot"] == uuid_text(given.snapshot.id)
    change_everything(record)
    made = again(record, find_snapshot(record, find.job(record, None)))
    assert made.same
    assert made.text == given.text
    assert json.loads(made.text) == given.plain
    assert canonical_text(made.plain) == given.text


@pytest.mark.parametrize("how", ["put right", "drawn anew"])
def test_what_was_judged_on_a_paper_stays_when_a_size_is_put_right_or_the_drawing_changes(
    record: Record, how: str
) -> None:
    job = find.job(record, None)
    given = fix(record, job, "S1")
    line = next(line for line in given.plain["features"] if line["balloon"] == "F07")
    old = next(f for f in record.features(find.latest_revision(record, job).id) if f.balloon == "F07")
    assert old.upper is not None and old.lower is not None
    right = replace(old, nominal=old.nominal + 5.0, lower=old.lower + 5.0, upper=old.upper + 5.0)
    if how == "put right":
        jobs.correct(record, job, [right], "5 less was read off")
    else:
        jobs.revise(record, job, "Q", [right])
    made = again(record, find_snapshot(record, job))
    assert made.same and made.text == given.text
    now = fix(record, job, "S1").plain
    now_line = next(line for line in now["features"] if line["balloon"] == "F07")
    if how == "put right":
        assert now_line["finished"] == pytest.approx(line["finished"] + 5.0)
        values = [[cell["value"] for cell in of["cells"]] for of in (line, now_line)]
        assert values[0] == values[1] and {cell["answer"] for cell in now_line["cells"]}.isdisjoint({"conforms"})
        (said,) = [said for said in now["cautions"] if "typed wrong" in said]
        assert f"drawing revision {given.plain['identity']['revision']} " in said
    else:
        assert now_line == line and "typed wrong" not in str(now["cautions"])
    others = [{**line, "place": 0} for line in given.plain["features"] if line["balloon"] != "F07"]
    assert [{**line, "place": 0} for line in now["features"] if line["balloon"] != "F07"] == others


def test_a_later_report_says_what_is_true_by_then(record: Record) -> None:
    first = fix(record, find.job(record, None), "S1")
    change_everything(record)
    second = fix(record, find.job(record, None), "S1")
    assert second.plain["identity"]["name"] == "another name"
    assert second.text != first.text
    assert again(record, first.snapshot).text == first.text
    assert again(record, second.snapshot).text == second.text


def test_the_content_as_given_out_stands_in_where_the_program_computes_otherwise(
    record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    given = fix(record, find.job(record, None), "S1")
    monkeypatch.setattr(report_snapshot, "PROGRAM", "inspect-tui 99")
    real = first_article

    def other(*args, **kwargs):
        made = real(*args, **kwargs)
        return replace(made, answer="undecided")

    monkeypatch.setattr(report_snapshot, "first_article", other)
    made = again(record, given.snapshot)
    assert not made.same
    assert made.text == given.text
    assert "inspect-tui 99" in made.why


def test_a_report_of_before_datum_targets_were_told_is_given_as_it_was(record: Record) -> None:
    """Its content has no `targets`: that is what was given out, to the byte, and the papers are made of it."""
    import zlib
    from base64 import b64encode

    from inspect_tui.report.first_article.forms import make

    given = fix(record, find.job(record, None), "S1")
    older = json.loads(given.text)
    for line in older["stock"]["castings"]:
        assert [name for name, _ in line["targets"]] == ["A1", "A2", "A3"]
        del line["targets"]
    text = canonical_text(older)
    stored = replace(
        given.snapshot,
        output_sha256=sha256(text.encode()).hexdigest(),
        output=b64encode(zlib.compress(text.encode())).decode(),
    )
    made = again(record, stored)
    assert made.text == text
    assert make(made.plain, "json").decode() == text
    assert not made.same
    assert "the program has changed since" in made.why
    for form in ("html", "pdf", "xlsx"):
        assert make(made.plain, form)


def test_content_that_was_tampered_with_is_refused(record: Record) -> None:
    given = fix(record, find.job(record, None), "S1")
    with pytest.raises(RecordError, match="does not agree with its hash"):
        again(record, replace(given.snapshot, output_sha256="0" * 64))
    with pytest.raises(RecordError, match="cannot be unpacked"):
        again(record, replace(given.snapshot, output="AAAA"))


def test_reports_are_found_by_the_beginning_of_their_id(record: Record) -> None:
    job = find.job(record, None)
    with pytest.raises(NotFound, match="No first-article report"):
        find_snapshot(record, job)
    one, two = fix(record, job, "S1"), fix(record, job, "S1")
    assert find_snapshot(record, job).id == two.snapshot.id
    assert find_snapshot(record, job, uuid_text(one.snapshot.id)).id == one.snapshot.id
    with pytest.raises(NotFound, match="no report zzz"):
        find_snapshot(record, job, "zzz")


def test_nothing_is_fixed_before_anything_was_measured(shop: SmallShop) -> None:
    job = find.job(shop.record, "SV-12")
    open_round(shop.record, job, "S1", ["C1"])
    with pytest.raises(DataError, match="has been measured yet"):
        fix(shop.record, job, "S1")
    assert shop.record.report_snapshots() == []


def test_a_record_that_may_only_be_read_gives_no_report_out(record: Record, tmp_path: Path) -> None:
    record.close()
    with Record.open(tmp_path / "shop.db", read_only=True) as reading, pytest.raises(ReadOnly):
        fix(reading, find.job(reading, None), "S1")


def test_the_shipped_tables_have_one_hash() -> None:
    assert len(tables_sha256()) == 64
    assert tables_sha256() == tables_sha256()
