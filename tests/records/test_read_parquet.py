"""Parquet: typed columns come out as the text that intake reads."""

import duckdb

from witnessmark.records.read_parquet import read_parquet
from witnessmark.records.store import connection


def test_typed_columns_become_text(tmp_path):
    path = tmp_path / "x.parquet"
    duckdb.sql(
        "select '007' as id, 3::bigint as n, 2.0::double as whole, 0.1::double as share, "
        "1e-7::double as tiny, 12.50::decimal(9, 2) as d, date '2026-03-29' as day, "
        "timestamp '2026-03-29 01:45:00' as at, timestamptz '2026-03-29 01:45:00+01' as utc, "
        "true as yes, ['a', 'b'] as list, null as nothing"
    ).write_parquet(str(path))
    with connection() as con:
        raw = read_parquet(con, path, "x.parquet", "raw")
        rows = con.execute("select * from raw").fetchall()
    assert (raw.rows, raw.lines) == (1, 1)
    assert rows == [
        (
            1,
            "007",
            "3",
            "2",
            "0.1",
            "0.0000001",
            "12.5",
            "2026-03-29",
            "2026-03-29 01:45:00",
            "2026-03-29 00:45:00Z",
            "true",
            "a;b",
            None,
            None,
        )
    ]


def test_a_canonical_parquet_file(exports):
    duckdb.sql(
        "select * from (values ('r1', 'M1', 'P1', timestamp '2026-01-05 06:00:00', 7.0::double), "
        "('r2', 'M1', 'P1', null, 7.5)) as t(run_id, machine_id, part_no, start_at, good)"
    ).write_parquet(str(exports.folder / "runs.parquet"))
    freeze = exports.freeze()
    assert exports.counts(freeze) == (2, 1, 1, 0)
    assert exports.query("select good, start_at_offset_min, source_row from runs") == [(7, 60, 1)]
    assert {row["reason"] for row in exports.refused()} == {
        "empty, and this table needs it",
        "not a whole number",
    }
