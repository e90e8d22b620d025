"""The examples in the docstrings of `stats` run, and every result can state itself."""

import dataclasses
import doctest
import importlib
import inspect
import pkgutil

import pytest

import witnessmark.stats

MODULES = [
    importlib.import_module(f"witnessmark.stats.{module.name}")
    for module in pkgutil.iter_modules(witnessmark.stats.__path__)
]


def _results():
    for module in MODULES:
        for _, kind in inspect.getmembers(module, dataclasses.is_dataclass):
            if kind.__module__ == module.__name__ and hasattr(kind, "sentence"):
                yield kind


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__.split(".")[-1])
def test_examples_run(module):
    found = doctest.testmod(module)
    assert found.failed == 0
    public = [
        name
        for name, function in inspect.getmembers(module, inspect.isfunction)
        if function.__module__ == module.__name__ and not name.startswith("_")
    ]
    assert found.attempted or not public or module.__name__.endswith(".require")


@pytest.mark.parametrize("kind", list(_results()), ids=lambda kind: kind.__name__)
def test_results_state_method_and_assumptions(kind):
    named = {field.name for field in dataclasses.fields(kind)} | set(dir(kind))
    assert {"method", "assumptions", "sentence"} <= named
    assert kind.__dataclass_params__.frozen
