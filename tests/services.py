"""Private Redis and PostgreSQL servers: own port, own data folder, gone when the run ends, even when it is killed."""

import ctypes
import os
import pwd
import shutil
import signal
import socket
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import psycopg
import redis

from tests.programs import find_program

START_SECONDS = 30
KEEPER = "keeper"
"""The server's superuser."""
PARENT_DEATH_SIGNAL = 1  # PR_SET_PDEATHSIG of Linux's prctl


@dataclass(frozen=True)
class Server:
    url: str
    process: subprocess.Popen


@contextmanager
def private_redis(*, port: int | None = None) -> Iterator[Server]:
    """A Redis that keeps nothing on disk."""
    port = port or free_port()
    with data_folder() as folder:
        command = [find_program("redis-server"), "--port", str(port), "--bind", "127.0.0.1", "--dir", str(folder)]
        server = start([*command, "--save", "", "--appendonly", "no"], log=folder / "log")
        with stopping(server, signal.SIGTERM):
            url = f"redis://127.0.0.1:{port}/0"
            wait_until(lambda: redis.from_url(url).ping(), server, folder / "log")
            yield Server(url, server)


@contextmanager
def private_postgres() -> Iterator[Server]:
    """A PostgreSQL without durability, owned by an ordinary user as PostgreSQL demands; the role is one the guards hold."""
    owner = "postgres" if os.geteuid() == 0 else None
    port = free_port()
    with data_folder(owner) as folder:
        settings = ["fsync=off", "synchronous_commit=off", "full_page_writes=off", f"unix_socket_directories={folder}"]
        initdb = [find_program("initdb"), "-D", str(folder / "data"), "-U", KEEPER, "-A", "trust", "-E", "UTF8"]
        run([*initdb, "--no-sync", "--locale=C.UTF-8"], owner=owner, folder=folder)
        command = [find_program("postgres"), "-D", str(folder / "data"), "-p", str(port)]
        options = [part for setting in settings for part in ("-c", setting)]
        server = start([*command, *options], log=folder / "log", owner=owner, at_parent_death=signal.SIGQUIT)
        with stopping(server, signal.SIGINT):
            keeper = f"postgresql://{KEEPER}@127.0.0.1:{port}/postgres"
            wait_until(lambda: psycopg.connect(keeper).close() is None, server, folder / "log")
            with psycopg.connect(keeper, autocommit=True) as connection:
                connection.execute("CREATE ROLE rewire LOGIN CREATEDB")
                connection.execute("CREATE DATABASE rewire OWNER rewire")
            yield Server(f"postgresql://rewire@127.0.0.1:{port}/rewire", server)


def free_port() -> int:
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        return listener.getsockname()[1]


@contextmanager
def data_folder(owner: str | None = None) -> Iterator[Path]:
    folder = Path(tempfile.mkdtemp(prefix="rewire-service-"))
    if owner:
        shutil.chown(folder, owner)
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def run(command: list[str], *, owner: str | None, folder: Path) -> None:
    subprocess.run(command, cwd=folder, check=True, stdout=subprocess.DEVNULL, **as_user(owner))


def start(
    command: list[str], *, log: Path, owner: str | None = None, at_parent_death: signal.Signals = signal.SIGKILL
) -> subprocess.Popen:
    """Start a server in a process group of its own that the system ends when this process dies."""
    with log.open("wb") as output:
        return subprocess.Popen(
            command,
            cwd=log.parent,
            stdout=output,
            stderr=subprocess.STDOUT,
            start_new_session=True,
            preexec_fn=partial(die_with_parent, at_parent_death),
            **as_user(owner),
        )


def as_user(owner: str | None) -> dict[str, object]:
    return {"user": owner, "group": pwd.getpwnam(owner).pw_gid, "extra_groups": []} if owner else {}


def die_with_parent(with_signal: signal.Signals = signal.SIGTERM) -> None:
    with suppress(OSError, AttributeError):  # Linux only
        ctypes.CDLL(None).prctl(PARENT_DEATH_SIGNAL, int(with_signal))


@contextmanager
def stopping(server: subprocess.Popen, with_signal: signal.Signals) -> Iterator[None]:
    try:
        yield
    finally:
        server.send_signal(signal.SIGCONT)
        server.send_signal(with_signal)
        try:
            server.wait(10)
        except subprocess.TimeoutExpired:
            server.kill()
            server.wait()


def wait_until(is_ready: Callable[[], bool], server: subprocess.Popen, log: Path) -> None:
    ends_at = time.monotonic() + START_SECONDS
    while server.poll() is None and time.monotonic() < ends_at:
        with suppress(psycopg.Error, redis.RedisError):
            if is_ready():
                return
        time.sleep(0.05)
    raise RuntimeError(f"{server.args[0]} did not start: {log.read_text(errors='replace')[-2000:]}")
