"""What holds for every test, and the broker with an ear that many of them need."""

from __future__ import annotations

import contextlib
import importlib
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from tests.messaging.brokers import Ear, Mosquitto, program

collect_ignore_glob = ["bench*.py"]
"""Benchmarks are run by hand, and hold no test that would be worth importing them."""

HERE = Path(__file__).parent
WAITING = ("test_journeys.py", "test_ten_rigs.py", "test_end_to_end.py", "test_outage.py")

# Nothing is timed, however busy the machine.

settings.register_profile("untimed", deadline=None, max_examples=25)
settings.load_profile("untimed")


def pytest_collection(session: pytest.Session) -> None:
    """Where several workers are about to load all tests, each begins with a share of its own.

    The first to load a module rewrites its assertions and keeps that, which takes longer than all
    the rest; whoever comes later finds it done. One that can't be loaded is told of in its turn.
    """
    config = session.config
    worker = getattr(config, "workerinput", None)
    if worker is None or config.args_source is not config.ArgsSource.TESTPATHS:
        return
    first = int(worker["workerid"].removeprefix("gw"))
    for path in sorted(HERE.rglob("test_*.py"))[first :: worker["workercount"]]:
        with contextlib.suppress(Exception):
            importlib.import_module(".".join(path.relative_to(HERE.parent).with_suffix("").parts))


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """A browser lives as long as the session, and so must the loop in which it is spoken to.

    What takes long and mostly waits comes first, so that others have work meanwhile.
    """
    items.sort(key=lambda item: item.path.name not in WAITING)
    for item in items:
        if "browser" in getattr(item, "fixturenames", ()):
            item.add_marker(pytest.mark.asyncio(loop_scope="session"), append=False)


@pytest.fixture
def mosquitto(tmp_path: Path) -> Iterator[Mosquitto]:
    """A running Mosquitto that lets everybody in."""
    folder = tmp_path / "mosquitto"
    folder.mkdir()
    broker = Mosquitto(program("mosquitto"), folder)
    broker.start()
    yield broker
    broker.stop()


@pytest.fixture
def hear() -> Iterator[Callable[..., Ear]]:
    """Makes ears that are closed after the test."""
    ears: list[Ear] = []

    def make(port: int, name: str = "ear", below: str = "spyhole/#", **login: str) -> Ear:
        ears.append(Ear(port, name, below=below, **login))
        return ears[-1]

    yield make
    for ear in ears:
        ear.close()
