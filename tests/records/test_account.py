"""The account of a freeze says what was read, what became of it, and what does not agree."""

from witnessmark.records.account import account_of


def test_the_account_of_a_plain_file(exports):
    exports.file("parts.csv", "part_no\n1\n2\n2\n")
    freeze = exports.freeze()
    assert account_of(freeze.manifest, freeze.path) == (
        "parts.csv: 3 rows read = 2 loaded + 0 refused + 1 repeated"
    )


def test_the_account_of_a_print_list(exports):
    exports.file("x.csv", "List;\nTeil;Menge\n1;10\n\n2;x\nSumme;15\n")
    exports.mapping(
        '[[source]]\nfile = "x.csv"\nheader_row = 2\n'
        'skip_rows_where = [{ kind = "total", matches = "Summe" }]\n'
        'control = [{ column = "Menge", totals_row = "total", source = "totals row" },\n'
        '{ stated = "2", source = "cover note", tolerance = "1" }]\n'
        '[[source.feed]]\ntable = "parts"\n[source.feed.columns]\npart_no = "Teil"\n'
        'mass_g = { from = "Menge", decimal = "," }\n'
    )
    freeze = exports.freeze()
    assert account_of(freeze.manifest, freeze.path).splitlines()[:4] == [
        "x.csv: 2 rows read = 1 loaded + 1 refused + 0 repeated",
        "    no data: 1 preamble, 1 header, 1 blank, 1 total",
        "    sum of Menge: 10 loaded, 15 in the totals row: DOES NOT AGREE",
        "    rows: 1 loaded, 2 in the cover note: agrees, within 1",
    ]
    assert f"1 rows refused: {freeze.path / 'refused.csv'} says why." in account_of(
        freeze.manifest, freeze.path
    )


def test_the_account_is_the_same_however_few_rows_are_compared_at_a_time(exports, monkeypatch):
    rows = "\n".join(f"{n % 17},pin,{n % 17}" for n in range(40))
    exports.file("parts.csv", f"part_no,description,mass_g\n{rows}\n9,pin,heavy\n")
    whole = exports.freeze().manifest
    monkeypatch.setattr("witnessmark.records.reconcile.ROWS_AT_ONCE", 3)
    exports.file("plant.toml", 'zone = "Europe/Berlin"\nname = "again"\n')
    parts = exports.freeze().manifest
    assert parts.extracts[0].rows_refused > 0
    assert parts.extracts == whole.extracts
