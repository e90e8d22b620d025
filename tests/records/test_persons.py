"""Persons enter as keyed pseudonyms or place numbers, and leave no name beside a freeze."""

import stat

import pytest

from witnessmark.errors import UnusableInputError
from witnessmark.records.persons import fingerprint, key_path, load_key, pseudonym

ALLOCATIONS = """[[source]]
file = "x.csv"
[[source.feed]]
table = "allocations"
[source.feed.columns]
person_key = {{ from = "Name", {way} }}
machine_or_group = "Maschine"
start_at = "Von"
role = {{ constant = "operator" }}
basis = {{ constant = "actual" }}
"""
ROWS = """Name;Maschine;Von
Ada Stone;M1;2026-01-05 06:00
Ben Hill;M1;2026-01-05 08:00
Ada Stone;M2;2026-01-05 06:00
Ben Hill;M1;2026-01-06 06:00
Ada Stone;M1;2026-01-06 08:00
"""
NAMES = (b"Ada Stone", b"Ben Hill")


@pytest.fixture
def keyed(exports):
    exports.plant('zone = "Europe/Berlin"\nperson_basis = "allocations"\n')
    exports.file("x.csv", ROWS)
    exports.mapping(ALLOCATIONS.format(way="pseudonym = true"))
    return exports


def test_the_key_is_made_once_and_for_its_owner_only(keyed):
    keyed.freeze()
    path = key_path()
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert keyed.folder not in path.parents
    key = load_key(path)
    assert len(key) == 32
    assert load_key(path) == key


def test_a_pseudonym_is_the_same_for_the_same_key_only():
    one, other = b"1" * 32, b"2" * 32
    assert pseudonym("Ada Stone", one) == pseudonym("Ada Stone", one)
    assert pseudonym("Ada Stone", one) != pseudonym("Ada Stone", other)
    assert pseudonym("Ada Stone", one) != pseudonym("Ada  Stone", one)
    assert fingerprint(one) != fingerprint(other)


# RFC 4231, test case 2 (HMAC-SHA-256, key "Jefe"): 5bdcc146bf60754e...
def test_pseudonyms_are_hmac_sha256():
    assert pseudonym("what do ya want for nothing?", b"Jefe") == "p-5bdcc146bf60754e"


def test_persons_become_pseudonyms(keyed):
    rows = keyed.query("select person_key, machine_or_group from allocations order by source_row")
    keys = [row[0] for row in rows]
    assert all(key.startswith("p-") and len(key) == 18 for key in keys)
    assert keys[0] == keys[2] == keys[4]
    assert keys[1] == keys[3] != keys[0]


def test_no_name_lies_in_a_freeze(keyed):
    keyed.file("x.csv", ROWS + "Ada Stone;;2026-01-07 06:00\nBen Hill;M1;never\nAda;Stone;M1;x\n")
    freeze = keyed.freeze()
    assert freeze.manifest.rows_refused == 3
    for path in freeze.path.rglob("*"):
        if path.is_file():
            assert not any(name in path.read_bytes() for name in (*NAMES, b"Ada;", b"Ada,"))
    assert {row["reason"] for row in keyed.refused(freeze)} >= {
        "empty, and this table needs it",
        "4 cells, where the header has 3",
    }


def test_columns_that_nobody_mapped_are_not_written_out(exports):
    exports.file("x.csv", "Name;Teil;Masse\nAda Stone;1;heavy\n")
    exports.mapping(
        '[[source]]\nfile = "x.csv"\n[[source.feed]]\ntable = "parts"\n'
        '[source.feed.columns]\npart_no = "Teil"\nmass_g = "Masse"\n'
    )
    freeze = exports.freeze()
    assert exports.refused(freeze)[0]["raw_row"] == "1 | heavy"
    assert b"Stone" not in (freeze.path / "to_mend" / "x.csv").read_bytes()


def test_another_key_is_another_freeze(keyed):
    first = keyed.freeze().identity
    key_path().unlink()
    assert keyed.freeze().identity != first


def test_a_broken_key_is_said(keyed):
    key_path().parent.mkdir(parents=True)
    key_path().write_text("short", encoding="ascii")
    with pytest.raises(UnusableInputError, match="this is no pseudonym key"):
        keyed.freeze()


def test_persons_become_places_of_a_machine_and_a_day(exports):
    exports.file("x.csv", ROWS)
    exports.mapping(ALLOCATIONS.format(way='place_of = "Maschine"'))
    rows = exports.query("select person_key from allocations order by source_row")
    assert [row[0] for row in rows] == [
        "place 1 of M1",
        "place 2 of M1",
        "place 1 of M2",
        "place 1 of M1",
        "place 2 of M1",
    ]
    assert not key_path().exists()


def test_without_a_basis_persons_stop_the_load(exports):
    exports.file("x.csv", ROWS)
    exports.mapping(ALLOCATIONS.format(way="pseudonym = true"))
    with pytest.raises(UnusableInputError, match=r"plant.toml grants places only"):
        exports.freeze()
    exports.mapping(ALLOCATIONS.format(way='join = " "'))
    with pytest.raises(UnusableInputError, match="it may name a person"):
        exports.freeze()


def test_roles_are_no_persons(exports):
    exports.file("x.csv", "Name;Maschine;Von\noperator 2 of cell B;M1;2026-01-05 06:00\n")
    exports.mapping(ALLOCATIONS.format(way="is_role = true"))
    assert exports.query("select person_key from allocations") == [("operator 2 of cell B",)]
