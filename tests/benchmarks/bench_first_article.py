"""First article: the search for causes from record to sentences, the grid of a thousand castings, imports.

Run: python -m tests.benchmarks.bench_first_article. Times are of the machine at hand, the quickest of several; the
ratio of the search to the same subsets by one numpy.linalg.lstsq call each is what carries over to another machine.
"""

from __future__ import annotations

import asyncio
import tempfile
from itertools import combinations
from pathlib import Path
from statistics import median
from time import perf_counter

from inspect_tui.model.measuring import Calibration, Instrument, Person, Reading, Session, Setup
from inspect_tui.model.work import Feature, Item
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.article import first_article
from inspect_tui.shop.first_article.castings.put_right import open_round
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.castings.screening import look
from inspect_tui.shop.intake.rows import Options
from inspect_tui.shop.intake.take_in import take_in
from inspect_tui.shop.jobs import jobs
from tests.worlds.sampled_shop import AFTER_S3, shop_until

CASTINGS, FEATURES = 1000, 60


def timed(what, times: int = 5) -> float:  # type: ignore[no-untyped-def]
    """Seconds of a call at its quickest: other programs share the machine."""
    took = []
    for _ in range(times):
        start = perf_counter()
        what()
        took.append(perf_counter() - start)
    return min(took)


def causes(folder: Path) -> None:
    """60 features, 5 castings, 30 candidates, every subset up to 4; and the whole way through the record."""
    import numpy as np

    from inspect_tui.metrology.causes import noise as causes_noise
    from inspect_tui.metrology.causes import search as causes_search
    from inspect_tui.metrology.causes.candidates import candidates as all_candidates
    from inspect_tui.metrology.causes.explain import explain
    from inspect_tui.metrology.causes.problem import Noise

    record, _ = shop_until(folder / "sampled.db", AFTER_S3)
    job = find.job(record, None)
    sampling = Sampling(record, job, pick_round(record, job, "S3"))
    seen = look(sampling).evidence
    every = all_candidates(seen.features, carriers=seen.carriers, reference=seen.reference, datums=seen.datums)
    thirty = [c for c in every if not c.serial and c.kind != "face"][:30]
    readings = sum(len(o.readings) for o in seen.features)
    took = timed(lambda: explain(seen.features, candidates=thirty, reference=seen.reference))
    whole = timed(lambda: first_article(record, job, "S3"), 3)
    t = causes_noise.table([o for o in seen.features if o.readings], seen.reference)
    x = t.columns(thirty)
    system = causes_noise.system(t, x, Noise(), ())
    sd, odds = np.array([c.sd for c in thirty]), np.log([c.prior / (1 - c.prior) for c in thirty])
    once = timed(lambda: causes_search.search(system.gram, system.rhs, sd, odds, most=4, exact=True))
    subsets = [c for k in range(1, 5) for c in combinations(range(len(thirty)), k)]
    sample = subsets[:: len(subsets) // 400]
    naive = timed(lambda: [np.linalg.lstsq(x[:, subset], t.y, rcond=None) for subset in sample]) / len(sample)
    naive *= len(subsets)
    print(
        f"causes: {len(seen.features)} features, {len(sampling.castings)} castings ({readings} readings), "
        f"{len(thirty)} candidates: {took:.3f} s with scatter learned and odd readings; one search {once:.4f} s, "
        f"{naive / once:.0f} times as fast as lstsq per subset ({naive:.2f} s)"
    )
    print(f"record to first article with {len(every)} candidates, cuts, stock, loops: {whole:.3f} s")
    record.close()


def big_record(path: Path) -> Record:
    """One job with 60 features and a thousand castings, every cell measured."""
    record = Record.open(path, create=True)
    job = jobs.new_job(record, "B-1", "bench", "grey iron", None, (0.01, 0.01, 0.01), "B-1", "A")
    for n in range(FEATURES):
        jobs.add_feature(
            record,
            job,
            Feature(
                balloon=f"F{n + 1:02d}",
                name=f"size number {n + 1}",
                axis="x",
                nominal=100.0 + n,
                lower=99.0 + n,
                upper=101.0 + n,
            ),
        )
    person = record.add(Person(initials="AB"))
    caliper = record.add(Instrument(label="caliper 1"))
    record.add(Calibration(instrument_of_id=caliper.of_id, done_on="2025-01-05", u95_mm=0.04))
    lot = open_round(record, job, "S1", [f"C{n:04d}" for n in range(CASTINGS)])
    revision = find.latest_revision(record, job)
    session = record.add(Session(kind="casting", job_of_id=job.of_id, revision_id=revision.id))
    setup = record.add(Setup(session_id=session.id, person_id=person.id, instrument_id=caliper.id))
    items: list[Item] = record.castings(job.of_id, lot.id)
    features = record.features(revision.id)
    for item in items:
        record.append_readings(
            Reading(
                setup_id=setup.id, feature_id=f.id, item_id=item.id, value=f.nominal + 0.1, typed=f"{f.nominal + 0.1}"
            )
            for f in features
        )
    return record


def grid(folder: Path) -> None:
    """Rows drawn cold and warm, and a page further on the screen."""
    from inspect_tui.tui.app import InspectApp
    from inspect_tui.tui.first_article.grid import CastingGrid

    start = perf_counter()
    record = big_record(folder / "big.db")
    print(f"{CASTINGS} castings x {FEATURES} features written in {perf_counter() - start:.1f} s")
    job = find.job(record, None)
    start = perf_counter()
    Sampling(record, job, pick_round(record, job, "S1"))
    print(f"sampling read from the record: {perf_counter() - start:.2f} s")

    async def go() -> None:
        app = InspectApp(record, None)
        async with app.run_test(size=(160, 48)) as pilot:
            app.go("first")
            await pilot.pause()
            shown = app.screen.query_one(CastingGrid)
            cold, warm = [], []
            for column in range(0, 900, 30):
                shown.left = column
                for y in range(1, shown.size.height):
                    before = perf_counter()
                    shown.render_line(y)
                    cold.append(perf_counter() - before)
                for y in range(1, shown.size.height):
                    before = perf_counter()
                    shown.render_line(y)
                    warm.append(perf_counter() - before)
            pages = []
            shown.go(0, 0)
            for _ in range(40):
                before = perf_counter()
                await pilot.press("ctrl+pagedown")
                pages.append(perf_counter() - before)
            print(
                f"a row drawn: {1000 * median(cold):.2f} ms the first time (worst {1000 * max(cold):.2f}), "
                f"{1000 * median(warm):.2f} ms again; a page of castings further, key to idle: "
                f"{1000 * median(pages):.0f} ms"
            )

    asyncio.run(go())
    record.close()


def imports(folder: Path) -> None:
    """A file of 5,000 readings, and half a million rows refused."""
    record = big_record(folder / "imports.db")
    path = folder / "readings.csv"
    with path.open("w") as file:
        file.write("serial," + ",".join(f"F{n + 1:02d}" for n in range(50)) + "\n")
        for k in range(100):
            file.write(f"D{k:03d}," + ",".join(f"{100.0 + n + 0.01 * k:.2f}" for n in range(50)) + "\n")
    start = perf_counter()
    done = take_in(record, find.job(record, None), path, "S2", Options(by="AB", instrument="caliper 1"), "2025-06-01")
    print(f"{done.readings} readings of {done.castings} castings taken in: {perf_counter() - start:.2f} s")
    long = folder / "long.csv"
    long.write_text("serial,F01\n" + "C1,100\n" * 500_000)
    start = perf_counter()
    try:
        take_in(record, find.job(record, None), long, "S2", Options(by="AB"))
    except Exception as refused:
        print(f"half a million rows refused in {1000 * (perf_counter() - start):.0f} ms: {str(refused)[:60]}…")
    record.close()


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as name:
        causes(Path(name))
        grid(Path(name))
        imports(Path(name))
