"""The practice plant of one seed, built once for all of these tests."""

import pytest

from witnessmark.practice.plant import PracticePlant, build, build_with


@pytest.fixture(scope="session")
def plant() -> PracticePlant:
    return build(seed=7)


@pytest.fixture(scope="session")
def healthy() -> PracticePlant:
    return build_with((), seed=7, weeks=3)
