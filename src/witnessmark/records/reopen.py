"""Opens a freeze for queries, after checking that it is as it was written."""

import os
from pathlib import Path
from tempfile import gettempdir

from witnessmark.errors import UnusableInputError, Where
from witnessmark.records.manifest import NAME, damage, read_manifest
from witnessmark.records.sql_text import quote
from witnessmark.records.store import Holding, Store, connect, expose, lock_down
from witnessmark.records.zones import zone_of


def open_freeze(path: Path, cache: Path | None = None) -> Store:
    """A store over a freeze, locked down to its own folder and the cache.

    Args:
        path: The freeze's folder.
        cache: A folder that queries may also read, write and spill into.

    Raises:
        UnusableInputError: No freeze, or one whose files are not as they were written.
    """
    path = path.resolve()
    manifest = read_manifest(path)
    if manifest is None:
        raise UnusableInputError.one(Where(str(path)), f"this is no freeze: no {NAME} in it.")
    faults = damage(path, manifest)
    if faults:
        raise UnusableInputError(faults)
    con = connect()
    sources = {
        name: f"read_parquet({quote(str(path / table.file))}, file_row_number => true)"
        for name, table in manifest.tables.items()
    }
    holdings = {
        name: Holding(frozenset(table.columns), table.rows, table.digest)
        for name, table in manifest.tables.items()
    }
    zone = zone_of(manifest.zone, Where(NAME))
    store = expose(con, zone, holdings, sources, manifest.identity)
    folders = [path]
    spill = Path(gettempdir()) / f"witnessmark-{os.getpid()}"
    if cache is not None:
        cache.mkdir(parents=True, exist_ok=True)
        folders.append(cache.resolve())
        spill = cache.resolve() / "spill"
    # DuckDB makes it when it needs it and takes it away; else it would use the current folder.
    con.execute(f"set temp_directory = {quote(str(spill))}")
    lock_down(con, folders)
    return store
