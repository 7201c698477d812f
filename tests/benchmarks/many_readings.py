"""Makes a record of many readings for the benchmarks: one tool, many features, several people and gauges."""

from __future__ import annotations

import random
from pathlib import Path

from inspect_tui.model.measuring import Instrument, Person, Reading, Session, Setup
from inspect_tui.model.work import Core, DrawingRevision, End, Feature, Job, Tool, ToolFeature
from inspect_tui.record.chain.canon import canonical, link
from inspect_tui.record.chain.ids import now
from inspect_tui.record.chain.write import ADD_ENTRY, Transaction
from inspect_tui.record.kinds import READING, Value
from inspect_tui.record.store import Record

PORTION = 50_000  # readings to a transaction
LINE = 50  # readings to a setup


def make(path: Path, readings: int, features: int = 1, voided: int = 0, seed: int = 1) -> None:
    """A new record at `path`; readings go round the features, as a piece is measured from top to bottom."""
    draw = random.Random(seed)
    with Record.open(path, create=True) as record:
        people = [record.add(Person(initials=initials)) for initials in ("AB", "CD", "EF")]
        by = people[0].id
        gauges = [record.add(Instrument(label=f"caliper {i}")) for i in (1, 2, 3)]
        job = record.add(Job(number="MANY", name="many readings"), by=by)
        revision = record.add(DrawingRevision(job_of_id=job.of_id, number="1", rev="A"), by=by)
        core = record.add(Core(job_of_id=job.of_id, number=1, name="core"), by=by)
        tool = record.add(Tool(job_of_id=job.of_id, kind="core_stick", label="stick 1", core_id=core.id), by=by)
        made: list[tuple[bytes, bytes]] = []
        for i in range(features):
            ends = (End(which="A", core_id=core.id, facing=-1), End(which="B", core_id=core.id, facing=1))
            feature = record.add(
                Feature(
                    revision_id=revision.id,
                    balloon=f"F{i + 1}",
                    name="width",
                    nominal=59.6,
                    lower=59.0,
                    upper=60.2,
                    ord=i,
                    ends=ends,
                ),
                by=by,
            )
            on = record.add(ToolFeature(tool_id=tool.id, feature_id=feature.id, sense="metal"), by=by)
            made.append((feature.id, on.id))
        plain = Reading(
            setup_id=record.new_id(),  # of each line its own
            feature_id=made[0][0],
            tool_id=tool.id,
            tool_feature_id=made[0][1],
            value=59.6,
            typed="59.60",
        )
        names = READING.names
        at = [names.index(name) for name in ("id", "setup_id", "feature_id", "tool_feature_id", "value", "typed")]
        row = READING.row(plain, record.new_id())
        record.connection.execute("PRAGMA cache_size=-65536")
        first = 0
        while first < readings:
            last = min(first + PORTION, readings)

            def portion(tx: Transaction, first: int = first, last: int = last) -> None:
                """Rows and entries with the bytes and hashes that they always have, a line at once; summaries later."""
                rows: list[list[Value]] = []
                for i in range(first, last):
                    if i % LINE == 0:
                        _write(tx, rows)
                        session = tx.put(Session(kind="tool", job_of_id=job.of_id), by)
                        who, what = draw.choice(people).id, draw.choice(gauges).id
                        setup = tx.put(Setup(session_id=session.id, person_id=who, instrument_id=what), by)
                        row[at[1]] = setup.id
                    value = round(draw.gauss(59.6, 0.05), 2)
                    row[at[0]] = tx.new_id()
                    row[at[2]], row[at[3]] = made[i % features]
                    row[at[4]], row[at[5]] = value, f"{value:.2f}"
                    rows.append(row.copy())
                _write(tx, rows)

            record.in_one_transaction(portion)
            first = last
        record.rebuild_summaries()
        if voided:
            ids = [row[0] for row in record._rows_of("SELECT id FROM reading ORDER BY id")]
            void(record, ids[:: max(readings // voided, 1)][:voided])
        record.checkpoint()


def _write(tx: Transaction, rows: list[list[Value]]) -> None:
    """What `Transaction.insert` does with each of these rows, a statement for all of them; they are taken off the list."""
    at_us, tz_min = now()
    entries = []
    for row in rows:
        tx.seq += 1
        tx.head = link(tx.head, canonical(READING.number, READING.fmt, tx.device, tx.seq, at_us, tz_min, None, row))
        entries.append((tx.device, tx.seq, READING.number, READING.fmt, row[0], at_us, tz_min, None, tx.head))
    tx.con.executemany(READING.insert, rows)
    tx.con.executemany(ADD_ENTRY, entries)
    rows.clear()


def void(record: Record, ids: list[bytes]) -> None:
    """Take readings out of count at once; by the usual way the running summary is made again at each one."""
    con = record._con
    con.execute("BEGIN IMMEDIATE")
    con.executemany(
        "INSERT INTO supersede (id, target_id, replacement_id, settles_id, reason, why) "
        "VALUES (?, ?, NULL, NULL, 'test', 'benchmark')",
        [(record.new_id(), one) for one in ids],
    )
    con.execute("COMMIT")
    record.rebuild_summaries()
