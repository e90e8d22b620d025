"""Text files as the plant's systems write them: the machine log, orders, set-ups, output, staffing.

Semicolons, an 8-bit encoding, lines that are no data, date and time apart, midnight as 24:00, blank
cells for "the same as above". Each function writes its file and returns the part of mapping.toml
that leads it back to the canonical table.
"""

import csv
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, time, timedelta
from pathlib import Path

from witnessmark.practice.exports import written_instant
from witnessmark.practice.shift_calendar import ZONE

Row = Mapping[str, object]
ENCODING = "cp1252"
PAGE_LINES = 60
STATES = {"running": "Lauf", "stopped": "Stillstand", "setup": "Rüsten"}
SHIFT_WORDS = {"early": "Früh", "late": "Spät", "night": "Nacht"}
REASON_WORDS = {
    "bar change": "Stangenwechsel",
    "bar lot change": "Chargenwechsel",
    "chip removal": "Späne entfernen",
    "jam": "Störung Zuführung",
    "tool": "Werkzeug",
    "adjustment": "Korrektur",
    "repair": "Instandsetzung",
    "waiting for setter": "wartet auf Einrichter",
    "weekend": "Wochenende",
    "set-up": "Rüsten",
    "closed": "Betriebsruhe",
    "warm-up": "Anlauf",
    "break": "Pause",
    "cleaning": "Reinigung",
    "no lots waiting": "keine Ware",
}


def in_full(value: object) -> str:
    """An instant with its offset, in the hour that comes twice; else nothing.

    In that one night the plant's systems write times in full, in the cell of the day.
    """
    written = written_instant(value) if isinstance(value, datetime) else ""
    return written if "+" in written else ""


def german_date(value: object) -> str:
    """A day as DD.MM.YYYY; an instant's day at the plant; nothing stays nothing."""
    if isinstance(value, datetime):
        return in_full(value) or f"{value.astimezone(ZONE):%d.%m.%Y}"
    return f"{value:%d.%m.%Y}" if isinstance(value, date) else ""


def german_time(value: object) -> str:
    """An instant's time of day at the plant."""
    if not isinstance(value, datetime) or in_full(value):
        return ""
    return f"{value.astimezone(ZONE):%H:%M}"


def german_end(value: object) -> tuple[str, str]:
    """Day and time of an end; midnight is 24:00 of the day that ends."""
    if isinstance(value, datetime) and value.astimezone(ZONE).time() == time():
        return german_date(value - timedelta(minutes=1)), "24:00"
    return german_date(value), german_time(value)


def german_instant(value: object) -> str:
    """Day and time in one cell."""
    return f"{german_date(value)} {german_time(value)}".strip()


def value_map(words: Mapping[str, str]) -> str:
    """Plant words and canonical words as a TOML table on one line."""
    return "{" + ", ".join(f'"{theirs}" = "{ours}"' for ours, theirs in words.items()) + "}"


def _write(path: Path, lines: Iterable[Sequence[str]], encoding: str = ENCODING) -> None:
    with path.open("w", encoding=encoding, newline="") as file:
        csv.writer(file, delimiter=";", lineterminator="\r\n").writerows(lines)


def write_machine_log(rows: Sequence[Row], folder: Path) -> str:
    """The machine log: a preamble, page lines, a sum, the machine only where it changes."""
    head = ["Maschine", "von Datum", "von Zeit", "bis Datum", "bis Zeit", "Zustand", "Grund",
            "Grund erfasst"]  # fmt: skip
    lines: list[list[str]] = [["Maschinenprotokoll Werk 1"], ["Zeitraum: gesamt"], [], head]
    last = None
    ordered = sorted(rows, key=lambda row: (str(row["machine_id"]), str(row["start_at"])))
    for number, row in enumerate(ordered, 1):
        machine = str(row["machine_id"])
        reason = row["reason"]
        lines.append(
            [
                "" if machine == last else machine,
                german_date(row["start_at"]),
                german_time(row["start_at"]),
                *german_end(row["end_at"]),
                STATES[str(row["state"])],
                REASON_WORDS[str(reason)] if reason else "",
                german_instant(row["reason_entered_at"]),
            ]
        )
        last = machine
        if number % PAGE_LINES == 0:
            lines.append([f"Seite {number // PAGE_LINES} - Maschinenprotokoll"])
    lines.append([f"Summe: {len(rows)} Zeilen"])
    _write(folder / "Maschinenprotokoll.csv", lines)
    return f"""
[[source]]
file = "Maschinenprotokoll.csv"
system = "machine log"
encoding = "cp1252"
delimiter = ";"
header_row = 4
dates = "DD.MM.YYYY"
carry_down = ["Maschine"]
short_rows = "fill"
skip_rows_where = [
    {{ kind = "page line", matches = "^Seite [0-9]+ - " }},
    {{ kind = "trailer", matches = "^Summe: " }},
]
control = [{{ source = "last line of the file", stated = "{len(rows)}" }}]

[[source.feed]]
table = "machine_states"

[source.feed.columns]
machine_id = "Maschine"
start_at = ["von Datum", "von Zeit"]
end_at = ["bis Datum", "bis Zeit"]
state = {{ from = "Zustand", values = {value_map(STATES)} }}
reason = {{ from = "Grund", values = {value_map(REASON_WORDS)} }}
reason_entered_at = "Grund erfasst"
"""


def write_order_report(rows: Sequence[Row], folder: Path) -> str:
    """The order report: English headings, day before month, one cell per time."""
    head = ["Run", "Machine", "Part", "Operation", "Order", "Tool set", "Started", "Finished",
            "Finished because"]  # fmt: skip

    def english(value: object) -> str:
        if not isinstance(value, datetime):
            return ""
        return in_full(value) or f"{value.astimezone(ZONE):%d/%m/%Y %H:%M}"

    lines = [
        head,
        *(
            [
                *(str(row[name]) for name in ("run_id", "machine_id", "part_no", "op")),
                *(str(row[name]) for name in ("order_no", "tool_id")),
                english(row["start_at"]),
                english(row["end_at"]),
                str(row["end_kind"] or ""),
            ]
            for row in rows
        ),
    ]
    _write(folder / "order report.csv", lines, "utf-8-sig")
    return """
[[source]]
file = "order report.csv"
system = "machine log"
delimiter = ";"
dates = "DD/MM/YYYY HH:MM"

[[source.feed]]
table = "runs"

[source.feed.columns]
run_id = "Run"
machine_id = "Machine"
part_no = "Part"
op = "Operation"
order_no = "Order"
tool_id = "Tool set"
start_at = "Started"
end_at = "Finished"
end_kind = "Finished because"
"""


def write_setup_log(rows: Sequence[Row], folder: Path) -> str:
    """The set-up log: day and time in two columns."""
    head = ["Nr", "Maschine", "von Teil", "auf Teil", "Datum", "Beginn", "Datum Ende", "Ende",
            "Einrichter", "Datum Freigabe", "Freigabe", "freigegeben von", "Planstand"]  # fmt: skip
    lines = [
        head,
        *(
            [
                *(str(row[name] or "") for name in ("setup_id", "machine_id", "from_part")),
                str(row["to_part"]),
                german_date(row["start_at"]),
                german_time(row["start_at"]),
                *german_end(row["end_at"]),
                str(row["setter"]),
                german_date(row["released_at"]),
                german_time(row["released_at"]),
                str(row["released_by"]),
                str(row["plan_rev"]),
            ]
            for row in rows
        ),
    ]
    _write(folder / "Rüstprotokoll.csv", lines)
    return """
[[source]]
file = "Rüstprotokoll.csv"
system = "check terminal"
encoding = "cp1252"
delimiter = ";"
dates = "DD.MM.YYYY"

[[source.feed]]
table = "setups"

[source.feed.columns]
setup_id = "Nr"
machine_id = "Maschine"
from_part = "von Teil"
to_part = "auf Teil"
kind = { constant = "part" }
start_at = ["Datum", "Beginn"]
end_at = ["Datum Ende", "Ende"]
setter = { from = "Einrichter", is_role = true }
released_at = ["Datum Freigabe", "Freigabe"]
released_by = { from = "freigegeben von", is_role = true }
plan_rev = "Planstand"
"""


def write_output_list(rows: Sequence[Row], folder: Path) -> str:
    """The output per shift: points between thousands, the shift's German name."""
    head = ["Maschine", "Tag", "Schicht", "Teil", "Gut", "Ausschuss", "Nacharbeit", "gebucht"]

    def pieces(value: object) -> str:
        return f"{value:,}".replace(",", ".")

    lines = [
        head,
        *(
            [
                str(row["machine_id"]),
                german_date(row["production_date"]),
                SHIFT_WORDS[str(row["shift"])],
                str(row["part_no"]),
                *(pieces(row[name]) for name in ("good", "scrap", "rework")),
                german_instant(row["entered_at"]),
            ]
            for row in rows
        ),
    ]
    _write(folder / "Ausbringung.csv", lines)
    return f"""
[[source]]
file = "Ausbringung.csv"
system = "machine log"
encoding = "cp1252"
delimiter = ";"
dates = "DD.MM.YYYY HH:MM"
decimal = ","
thousands = "."

[[source.feed]]
table = "outputs"

[source.feed.columns]
machine_id = "Maschine"
production_date = {{ from = "Tag", format = "DD.MM.YYYY" }}
shift = {{ from = "Schicht", values = {value_map(SHIFT_WORDS)} }}
part_no = "Teil"
good = "Gut"
scrap = "Ausschuss"
rework = "Nacharbeit"
entered_at = "gebucht"
"""


def write_stays(rows: Sequence[Row], folder: Path) -> str:
    """Who was put to which machine outside the staffing grid."""
    head = ["Person", "Platz", "von Datum", "von", "bis Datum", "bis", "Rolle", "Ausbilder",
            "erfasst"]  # fmt: skip
    lines = [
        head,
        *(
            [
                str(row["person_key"]),
                str(row["machine_or_group"]),
                german_date(row["start_at"]),
                german_time(row["start_at"]),
                *german_end(row["end_at"]),
                str(row["role"]),
                str(row["trainer"] or ""),
                german_instant(row["recorded_at"]),
            ]
            for row in rows
        ),
    ]
    _write(folder / "Einsätze.csv", lines)
    return """
[[source]]
file = "Einsätze.csv"
system = "staffing terminal"
encoding = "cp1252"
delimiter = ";"
dates = "DD.MM.YYYY"

[[source.feed]]
table = "allocations"

[source.feed.columns]
person_key = { from = "Person", is_role = true }
machine_or_group = "Platz"
start_at = ["von Datum", "von"]
end_at = ["bis Datum", "bis"]
role = "Rolle"
trainer = { from = "Ausbilder", is_role = true }
basis = { constant = "actual" }
recorded_at = "erfasst"
"""
