"""Published numbers: one test case per item, and how a found value is held against it."""

import json
from pathlib import Path

import numpy as np
import pytest

FOLDER = Path(__file__).parent / "published"


def pytest_generate_tests(metafunc):
    """A test that asks for `item` runs once for each item of its module's TOPIC."""
    if "item" in metafunc.fixturenames:
        items = json.loads((FOLDER / f"{metafunc.module.TOPIC}.json").read_text("utf-8"))
        metafunc.parametrize("item", items, ids=[item["id"] for item in items])


@pytest.fixture
def agrees():
    """Holds what was found against an item; every expected field is looked at or left out aloud."""
    return _agrees


def _agrees(item, found, left_out=None):
    """Asserts that found values equal the expected ones within the tolerance of the item.

    Args:
        item: One entry of a published file.
        found: Field -> value, or (value, name of its tolerance). A field of a nested expectation
            is written with dots: "printed.L".
        left_out: Field -> why it is not looked at.
    """
    expected, left_out = _fields(item["expected"]), left_out or {}
    assert found, f"{item['id']}: nothing was found"
    looked_at = set(found) | set(left_out)
    missing = [
        name
        for name in expected
        if not any(name == f or name.startswith(f"{f}.") for f in looked_at)
    ]
    assert not missing, f"{item['id']}: neither looked at nor left out: {missing}"
    for name, given in found.items():
        value, kind = given if isinstance(given, tuple) else (given, None)
        want = _at(item["expected"], name)
        _same(value, want, _tolerance(item["tolerance"], kind), f"{item['id']}.{name}")


def _fields(expected, prefix=""):
    names = []
    for name, value in expected.items():
        if isinstance(value, dict):
            names += _fields(value, f"{prefix}{name}.")
        else:
            names.append(prefix + name)
    return names


def _at(expected, name):
    if name in expected:
        return expected[name]
    head, _, rest = name.partition(".")
    return _at(expected[head], rest)


def _tolerance(tolerance, kind):
    if kind is not None:
        tolerance = tolerance[kind]
    if tolerance == "exact" or tolerance.get("exact") is True:
        return {"abs": 0, "rel": 0}
    assert tolerance.keys() & {"abs", "rel"}, f"name one of {list(tolerance)}"
    return {"abs": tolerance.get("abs", 0), "rel": tolerance.get("rel", 0)}


def _same(value, want, tolerance, where):
    if isinstance(want, dict):
        assert isinstance(value, dict), where
        assert value.keys() >= want.keys(), where
        for key in want:
            _same(value[key], want[key], tolerance, f"{where}.{key}")
    elif isinstance(want, list):
        assert len(value) == len(want), f"{where}: {len(value)} values, not {len(want)}"
        for place, (one, other) in enumerate(zip(value, want, strict=True)):
            _same(one, other, tolerance, f"{where}[{place}]")
    elif isinstance(want, str | bool) or want is None:
        assert value == want or (want is None and np.isinf(value)), f"{where}: {value!r}"
    else:
        assert value == pytest.approx(want, **tolerance), where
