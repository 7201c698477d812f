"""Two programs and several threads at one file: one chain, nothing lost, nothing read half."""

from __future__ import annotations

import subprocess
import sys

from inspect_tui.record.store import Record

LOG = """
import sys
from inspect_tui.record.store import Record
from tests.worlds.writer_probe import furnish
with Record.open(sys.argv[1], create=True) as record:
    for n in range(int(sys.argv[2])):
        reading = furnish(record) if n == 0 else reading
        print(record.append_reading(reading).id.hex())
"""


def test_two_programs_log_into_one_file_and_share_the_chain(tmp_path):
    path = tmp_path / "bench.db"
    running = [
        subprocess.Popen([sys.executable, "-c", LOG, path, "150"], stdout=subprocess.PIPE, text=True) for _ in range(2)
    ]
    said = [p.communicate(timeout=60)[0].split() for p in running]
    assert [p.returncode for p in running] == [0, 0]
    with Record.open(path) as record:
        assert sorted(said[0] + said[1]) == sorted(r.reading.id.hex() for r in record.readings())
        assert len(set(said[0] + said[1])) == 300
        checked = record.verify()
        assert checked.ok
        assert len(checked.heads) == 1  # one file on one machine is one device, whoever writes
        order = [row[0].hex() for row in record._rows_of("SELECT id FROM entry WHERE kind = 18 ORDER BY seq")]
        for one in said:
            assert [i for i in order if i in set(one)] == one


def test_two_connections_see_each_others_readings_and_number_on(bench):
    with Record.open(bench.record.path) as other:
        for n in range(10):
            (bench.record if n % 2 else other).append_reading(bench.reading(59.0 + n / 100))
        assert [r.reading.value for r in other.readings()] == [r.reading.value for r in bench.record.readings()]
        assert len(other.readings()) == 10
        assert other.device_id == bench.record.device_id
        assert other.summaries(bench.tool.of_id) == bench.record.summaries(bench.tool.of_id)
    assert bench.record.verify().ok
