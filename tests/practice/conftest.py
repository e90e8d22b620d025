"""The practice plant of one seed, and its outcomes: made once for all of these tests.

Several test processes share what the first of them made; each reads it back from a file.
"""

import fcntl
import pickle

import pytest

from witnessmark.practice.plant import PracticePlant, build, build_with


@pytest.fixture(scope="session")
def once(tmp_path_factory, worker_id):
    """Makes something under a name, or reads what another process of this run made."""
    together = tmp_path_factory.getbasetemp().parent

    def make_once(name, make):
        if worker_id == "master":
            return make()
        path = together / f"{name}.pickle"
        with (together / f"{name}.lock").open("w") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)
            if not path.exists():
                path.write_bytes(pickle.dumps(make()))
        return pickle.loads(path.read_bytes())  # noqa: S301  # written above, by this very run

    return make_once


@pytest.fixture(scope="session")
def plant(once) -> PracticePlant:
    return once("plant", lambda: build(seed=7))


@pytest.fixture(scope="session")
def healthy(once) -> PracticePlant:
    return once("healthy", lambda: build_with((), seed=7, weeks=3))
