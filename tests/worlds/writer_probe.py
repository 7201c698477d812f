"""Logs readings as fast as it can and says `ACK <id>` after each commit, until it is killed.

    python -m tests.worlds.writer_probe bench.db

For the trial that kills it again and again: what was acknowledged must be in the file afterwards.
"""

from __future__ import annotations

import sys

from inspect_tui.model.measuring import Instrument, Person, Reading, Session, Setup
from inspect_tui.model.work import ChainStep, DrawingRevision, End, Feature, Job, Tool, ToolFeature
from inspect_tui.record.store import Record


def furnish(record: Record) -> Reading:
    """Give an empty record the least that a reading needs, in one transaction; the reading to log, without its id."""
    if not record.jobs():
        job, revision, tool = (record.new_id() for _ in range(3))
        feature, tool_feature, instrument = (record.new_id() for _ in range(3))
        record.add_all(
            [
                Person(initials="WP"),
                Job(id=job, number="PROBE", name="one size, again and again"),
                DrawingRevision(id=revision, job_of_id=job, number="P-1", rev="A"),
                Feature(
                    id=feature,
                    revision_id=revision,
                    balloon="F1",
                    name="width",
                    nominal=59.0,
                    lower=58.2,
                    upper=59.8,
                    ends=(End(which="A", half="cope", facing=-1), End(which="B", half="cope", facing=1)),
                ),
                Tool(id=tool, job_of_id=job, kind="pattern_cope", label="cope"),
                ToolFeature(
                    id=tool_feature,
                    tool_id=tool,
                    feature_id=feature,
                    sense="metal",
                    steps=(ChainStep(ord=1, kind="contraction", scale=1.01),),
                ),
                Instrument(id=instrument, label="caliper 1"),
            ]
        )
    job_of = record.jobs()[0].of_id
    tool_now = record.tools(job_of)[0]
    on_tool = record.tool_features(tool_now.of_id)[0]
    session = record.add(Session(job_of_id=job_of))
    setup = record.add(
        Setup(
            session_id=session.id,
            person_id=record.people()[0].id,
            instrument_id=record.instruments()[0].id,
        )
    )
    return Reading(
        setup_id=setup.id,
        feature_id=on_tool.feature_id,
        tool_id=tool_now.id,
        tool_feature_id=on_tool.id,
        value=59.59,
        typed="59.59",
    )


def main(arguments: list[str]) -> int:
    """Log until killed."""
    if len(arguments) != 1:
        print("usage: python -m tests.worlds.writer_probe FILE", file=sys.stderr)
        return 2
    with Record.open(arguments[0], create=True) as record:
        reading = furnish(record)
        while True:
            print(f"ACK {record.append_reading(reading).id.hex()}", flush=True)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
