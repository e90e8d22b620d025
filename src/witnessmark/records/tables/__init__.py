"""The canonical tables, one file each: adding a file here adds a table everywhere."""

import pkgutil
from importlib import import_module

from witnessmark.records.table import Table

TABLES: dict[str, Table] = {
    module.name: import_module(f"{__name__}.{module.name}").TABLE
    for module in pkgutil.iter_modules(__path__)
}
