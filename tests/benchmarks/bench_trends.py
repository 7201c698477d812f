"""Trends of a large fleet: the list from kept summaries, a chart of 100,000 readings, surprises over everything.

python -m tests.benchmarks.bench_trends [--boxes 200] [--features 20] [--weeks 260] [--folder FOLDER]

The record (1,040,000 readings at full size) is made once and kept in FOLDER. Times are medians of the runs in processor time,
beside a yardstick from the same run: how long the bare reading of the rows takes.
"""

from __future__ import annotations

import argparse
import asyncio
import random
import shutil
import sqlite3
import statistics
import sys
import tempfile
import time
from array import array
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

from inspect_tui.metrology.sizes import chain
from inspect_tui.model.measuring import Calibration, Instrument, Person, Reading, Session, Setup
from inspect_tui.model.trends import ToolCount, ToolRepair
from inspect_tui.model.work import Core, DrawingRevision, End, Feature, Job, Tool, ToolFeature
from inspect_tui.record.chain.ids import IdMaker
from inspect_tui.record.store import Record
from inspect_tui.shop.trends import fleet, surprises
from inspect_tui.shop.trends import kept as trend_kept

START = datetime(2020, 1, 6, 8, 0, tzinfo=UTC)
LONG_START = datetime(2015, 1, 5, 8, 0, tzinfo=UTC)
JOBS = 10
CORES_A_WEEK = 160


class Clock:
    """The wall clock of the invented years."""

    def __init__(self) -> None:
        self.at = LONG_START

    def __call__(self) -> tuple[int, int]:
        """Now; a little while goes by."""
        self.at += timedelta(milliseconds=20)
        return round(self.at.timestamp() * 1e6), 60


def _ends(core: Core) -> tuple[End, End]:
    return End(which="A", core_id=core.id, facing=1), End(which="B", core_id=core.id, facing=-1)


def build(path: Path, boxes: int, features: int, weeks: int, long: int) -> None:
    """Boxes that wear, some repaired, some not wearing, a few with a step; and one size with `long` readings."""
    clock, rng = Clock(), random.Random(6)
    ids = IdMaker(clock, random.Random(7).randbytes)
    with Record.open(path, create=True, clock=clock, ids=ids, state_dir=path.parent) as record:
        by = record.add(Person(initials="AB", role="lead"))
        caliper = record.add(Instrument(label="caliper 1", range_hi=1000.0), by.id)
        record.add(Calibration(instrument_of_id=caliper.of_id, done_on="2019-12-02", u95_mm=0.04), by.id)
        _long(record, by, caliper, clock, rng, long)
        sizes: list[tuple[Tool, Feature, ToolFeature, float, float, float]] = []
        tools: list[Tool] = []
        jobs: dict[bytes, Job] = {}
        for n in range(JOBS):
            job = record.add(
                Job(
                    number=f"J-{n + 1:02}",
                    name=f"part {n + 1}",
                    a_x=0.01,
                    a_y=0.01,
                    a_z=0.01,
                    ua_x=0.0015,
                    ua_y=0.0015,
                    ua_z=0.0015,
                ),
                by.id,
            )
            jobs[job.of_id] = job
            drawing = record.add(DrawingRevision(job_of_id=job.of_id, number=job.number, rev="A"), by.id)
            for k in range(boxes // JOBS):
                core = record.add(Core(job_of_id=job.of_id, number=k + 1, name=f"core {k + 1}"), by.id)
                box = record.add(
                    Tool(job_of_id=job.of_id, kind="core_box", label=f"box {n + 1}-{k + 1}", core_id=core.id), by.id
                )
                tools.append(box)
                listed = record.add_all(
                    [
                        Feature(
                            revision_id=drawing.id,
                            balloon=f"F{k * features + f + 1:03}",
                            name=f"width {f + 1}",
                            axis="xyz"[f % 3],
                            nominal=40.0 + f,
                            lower=39.2 + f,
                            upper=40.8 + f,
                            ord=f,
                            ends=_ends(core),
                        )
                        for f in range(features)
                    ],
                    by.id,
                )
                made = record.add_all(
                    [
                        ToolFeature(
                            tool_id=box.id, feature_id=one.id, sense="space", steps=chain.plan_steps(one, box, job)
                        )
                        for one in listed
                    ],
                    by.id,
                )
                rate = rng.choice([0.0, 0.01, 0.02, 0.03]) / 1000
                for one, there in zip(listed, made, strict=True):
                    sizes.append(
                        (
                            box,
                            one,
                            there,
                            1.01 * one.nominal,
                            rate * rng.uniform(0.5, 1.5),
                            rng.choice([0.0] * 19 + [0.12]),
                        )
                    )
        print(f"{len(sizes)} sizes; writing {len(sizes) * weeks:,} readings", file=sys.stderr)
        repaired: dict[bytes, int] = {}
        for week in range(weeks):
            clock.at = START + timedelta(weeks=week)
            day = clock.at.date().isoformat()
            what: list[object] = []
            setups: dict[bytes, bytes] = {}
            for box in tools:
                session = Session(id=record.new_id(), job_of_id=box.job_of_id)
                setup = Setup(
                    id=record.new_id(), session_id=session.id, person_id=by.id, instrument_id=caliper.id, work_c=20.0
                )
                setups[box.of_id] = setup.id
                what += [session, setup, ToolCount(tool_of_id=box.of_id, count=CORES_A_WEEK * week, on_date=day)]
                if week == weeks // 2 and rng.random() < 0.5:
                    repaired[box.of_id] = week
                    what.append(
                        ToolRepair(
                            tool_of_id=box.of_id, done_on=day, action="line", what="lined", at_count=CORES_A_WEEK * week
                        )
                    )
            for box, one, there, size, rate, step in sizes:
                since = CORES_A_WEEK * (week - repaired.get(box.of_id, 0))
                value = size + rate * since + rng.gauss(0.0, 0.03) + (step if week > weeks - 30 else 0.0)
                what.append(
                    Reading(
                        setup_id=setups[box.of_id],
                        feature_id=one.id,
                        tool_id=box.id,
                        tool_feature_id=there.id,
                        value=round(value, 2),
                        typed=f"{value:.2f}",
                    )
                )
            record.add_all(what, by.id)
            if week % 20 == 0:
                record.checkpoint()
                print(f"week {week}", file=sys.stderr)
        record.checkpoint()


def _long(record: Record, by: Person, caliper: Instrument, clock: Clock, rng: random.Random, long: int) -> None:
    """One size of one box with very many readings."""
    job = record.add(Job(number="LONG", name="one size", a_x=0.01), by.id)
    drawing = record.add(DrawingRevision(job_of_id=job.of_id, number="LONG", rev="A"), by.id)
    core = record.add(Core(job_of_id=job.of_id, number=1, name="core"), by.id)
    box = record.add(Tool(job_of_id=job.of_id, kind="core_box", label="box long", core_id=core.id), by.id)
    one = record.add(
        Feature(
            revision_id=drawing.id, balloon="F1", name="width", nominal=50.0, lower=49.2, upper=50.8, ends=_ends(core)
        ),
        by.id,
    )
    there = record.add(
        ToolFeature(tool_id=box.id, feature_id=one.id, sense="space", steps=chain.plan_steps(one, box, job)), by.id
    )
    session = record.add(Session(job_of_id=job.of_id), by.id)
    setup = record.add(Setup(session_id=session.id, person_id=by.id, instrument_id=caliper.id), by.id)
    for part in range(20):
        clock.at = LONG_START + timedelta(days=85 * part)
        record.add(ToolCount(tool_of_id=box.of_id, count=2000 * part, on_date=clock.at.date().isoformat()), by.id)
        todo = []
        for i in range(long // 20):
            value = 50.5 + 4e-6 * (2000 * part) + rng.gauss(0.0, 0.03) + (0.6 if i == 777 else 0.0)
            todo.append(
                Reading(
                    setup_id=setup.id,
                    feature_id=one.id,
                    tool_id=box.id,
                    tool_feature_id=there.id,
                    value=round(value, 2),
                    typed=f"{value:.2f}",
                )
            )
        record.append_readings(todo)


def median_ms(work: Callable[[], object], runs: int) -> float:
    """Median processor time of several runs, after one that warms up."""
    took = []
    for _ in range(runs + 1):
        start = time.process_time()
        work()
        took.append(time.process_time() - start)
    return 1000 * statistics.median(took[1:])


def bare_rows(path: Path, feature_id: bytes) -> Callable[[], object]:
    """The yardstick: one column of readings off their index, nothing else."""
    con = sqlite3.connect(f"file:{path}?mode=ro", uri=True)

    def work() -> object:
        rows = con.execute("SELECT value FROM reading WHERE feature_id = ? ORDER BY id", (feature_id,)).fetchall()
        return array("d", [row[0] for row in rows])

    return work


async def on_screen(path: Path, folder: Path) -> float:
    """Milliseconds from going to the Trends place until its list is drawn, at 160x48; the program runs already."""
    from textual.widgets import Static

    from inspect_tui.tui.app import InspectApp

    with Record.open(path, state_dir=folder) as record:
        app = InspectApp(record, None)
        async with app.run_test(size=(160, 48)) as pilot:
            await pilot.pause()
            start = time.perf_counter()
            app.go("trends")
            while not any("box " in str(one.render()) for one in app.screen.query("#body").results(Static)):
                await asyncio.sleep(0.002)
            return 1000 * (time.perf_counter() - start)


def measure(path: Path, runs: int) -> list[str]:
    """Every line."""
    from inspect_tui.report.draw.trend import CORES, trend_chart
    from inspect_tui.report.term import fleet as term_fleet
    from inspect_tui.report.term import trend as term_trend
    from inspect_tui.shop.common import find
    from inspect_tui.shop.trends.job_view import JobView
    from inspect_tui.shop.trends.trend import trend

    out = []
    with Record.open(path, read_only=True) as reader:
        total = reader.counts()["reading"]
        mark = reader.trend_mark()
    if mark is None:
        start = time.process_time()
        with Record.open(path, read_only=True) as reader:
            trend_kept.refresh(reader, path)
        out.append(f"summaries of {total:,} readings made for the first time: {time.process_time() - start:.1f} s")

    def listing() -> object:
        with Record.open(path, read_only=True) as fresh:
            made = fleet.read(fresh, one_a_tool=True)
            return [term_fleet.list_row(line, 160) for line in made.lines[:40]]

    first = asyncio.run(on_screen(path, path.parent))
    out.append(f"Trends gone to for the first time, until its list is on the screen: {first:.0f} ms")
    with Record.open(path, read_only=True) as reader:
        out.append(f"record opened, list of the fleet read, ranked and drawn: {median_ms(listing, runs):.0f} ms")
        out.append(f"nothing new found in the record: {median_ms(lambda: trend_kept.stale(reader), runs):.1f} ms")
        report = surprises.surprises(reader, closely=False)
        found = median_ms(lambda: surprises.surprises(reader, closely=False), runs)
        whole = median_ms(lambda: surprises.surprises(reader), max(runs // 3, 1))
        out.append(
            f"surprises over {report.tested} sizes: {found:.0f} ms; looked at closely: {whole:.0f} ms; "
            f"{report.sentence}"
        )
        job = find.job(reader, "LONG")
        view = JobView(reader, job)
        tool = view.kit.tools[0]
        feature = view.kit.features[0]
        n = len(trend(view, feature, tool).main)

        def first_look() -> object:
            return term_trend.chart(trend_chart(trend(JobView(reader, job), feature, tool, bare=True), CORES), 160, 40)

        quick = median_ms(first_look, runs)
        one = trend(view, feature, tool)
        drawn = median_ms(lambda: term_trend.chart(trend_chart(one, CORES), 160, 40), runs)
        full = median_ms(lambda: trend(JobView(reader, job), feature, tool), max(runs // 3, 1))
        bare = median_ms(bare_rows(path, feature.id), runs)
        out.append(
            f"chart of {n:,} readings from the record: {quick:.0f} ms ({quick / bare:.2f} of reading its bare "
            f"rows); drawing alone {drawn:.0f} ms; with wear line and forecast {full:.0f} ms"
        )
    return out


def main() -> None:
    """Make the record where it is not there, and print every line."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--boxes", type=int, default=200)
    parser.add_argument("--features", type=int, default=20)
    parser.add_argument("--weeks", type=int, default=260)
    parser.add_argument("--long", type=int, default=100_000)
    parser.add_argument("--folder", type=Path)
    parser.add_argument("--runs", type=int, default=9)
    args = parser.parse_args()
    folder = args.folder or Path(tempfile.mkdtemp(prefix="bench-trends-"))
    path = folder / f"fleet-{args.boxes}-{args.features}-{args.weeks}.db"
    try:
        if not path.exists():
            folder.mkdir(parents=True, exist_ok=True)
            start = time.perf_counter()
            build(path.with_suffix(".part"), args.boxes, args.features, args.weeks, args.long)
            path.with_suffix(".part").rename(path)
            print(f"made in {time.perf_counter() - start:.0f} s, {path.stat().st_size / 1e6:.0f} MB", file=sys.stderr)
        for line in measure(path, args.runs):
            print(line)
    finally:
        if args.folder is None:
            shutil.rmtree(folder, ignore_errors=True)


if __name__ == "__main__":
    main()
