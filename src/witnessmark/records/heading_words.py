"""What headings in English and German usually mean: words to canonical columns, as data.

Common practice, no source. A guess from here is only ever a proposal with its reason beside it.
"""

import re
from collections.abc import Mapping

HEADING_WORDS: Mapping[str, tuple[str, ...]] = {
    "action_id": ("action no", "action id", "maßnahme nr", "massnahme nr"),
    "area": ("area", "bereich", "halle", "cell", "zelle", "line", "linie", "meisterei"),
    "check_id": ("check id", "check no", "prüfung nr", "prüf nr", "prüflos", "inspection no"),
    "colour": ("colour", "color", "farbe", "ampel"),
    "concern_id": ("concern", "issue no", "problem nr"),
    "cumulative": ("counter", "zähler", "zählerstand", "cumulative", "total count"),
    "customer_order": ("customer order", "kundenauftrag", "sales order"),
    "done_at": ("checked at", "prüfzeit", "prüfdatum", "geprüft am", "inspection time"),
    "done_by": ("checked by", "inspector", "prüfer", "geprüft von", "operator", "werker"),
    "done_on": ("calibrated on", "kalibriert am", "calibration date", "prüfdatum"),
    "due_on": ("due", "fällig", "termin"),
    "due_original": ("due date", "wunschtermin", "liefertermin", "required date"),
    "end_at": ("end", "ende", "bis", "to", "finish", "stop time"),
    "entered_at": ("entered", "erfasst", "booked", "gebucht", "posting"),
    "gauge_id": ("gauge", "prüfmittel", "messmittel", "equipment no"),
    "good": ("good", "gut", "gutmenge", "yield", "ok qty", "io"),
    "gauge_type": ("gauge type", "prüfmittelart"),
    "characteristic": ("characteristic", "merkmal", "feature", "dimension"),
    "kind": ("kind", "type", "art", "prüfart", "meldeart"),
    "level": ("level", "stufe", "qualifikation"),
    "line": ("position", "pos", "item", "line no"),
    "lot_no": ("lot", "batch", "charge", "los"),
    "lower_limit": ("lower", "ust", "usl min", "min", "untere"),
    "machine_id": (
        "machine",
        "maschine",
        "arbeitsplatz",
        "anlage",
        "work centre",
        "work center",
        "workcenter",
        "station",
        "resource",
        "ressource",
    ),
    "measured_at": ("measured", "messzeit", "gemessen"),
    "next_due": ("next due", "nächste", "next calibration"),
    "op": ("operation", "arbeitsgang", "vorgang", "op", "avo", "ag"),
    "order_no": ("order", "auftrag", "fertigungsauftrag", "fa", "job", "work order"),
    "part_no": (
        "part",
        "teil",
        "teilenummer",
        "artikel",
        "article",
        "material",
        "item no",
        "bezeichnung",
        "product",
        "sachnummer",
    ),
    "person_key": ("person", "personal", "personalnr", "mitarbeiter", "employee", "name", "worker"),
    "piece_no": ("piece", "teil nr", "sample no", "stichprobe", "stück nr"),
    "plan_no": ("plan", "prüfplan", "control plan"),
    "production_date": ("production date", "produktionstag", "day", "tag", "datum", "date"),
    "qty": ("qty", "quantity", "menge", "stück", "stk", "anzahl", "pieces"),
    "reason": ("reason", "grund", "störgrund", "ursache", "cause"),
    "result": ("result", "ergebnis", "befund", "io/nio", "bewertung"),
    "rework": ("rework", "nacharbeit", "nacharb"),
    "scrap": ("scrap", "ausschuss", "reject", "nio", "waste"),
    "shift": ("shift", "schicht"),
    "shipped_at": ("shipped", "versand", "delivered", "geliefert"),
    "ship_no": ("delivery note", "lieferschein", "shipment"),
    "start_at": ("start", "beginn", "begin", "von", "from", "anfang"),
    "state": ("state", "status", "zustand"),
    "stop_id": ("stop no", "störung nr"),
    "tool_id": ("tool", "werkzeug", "wkz"),
    "upper_limit": ("upper", "ost", "max", "obere"),
    "value": ("value", "wert", "messwert", "istwert", "actual"),
    "verdict": ("verdict", "urteil"),
}
TIME_OF_DAY = ("time", "zeit", "uhrzeit", "uhr")
PERSON_WORDS = (
    "person",
    "personal",
    "personalnr",
    "mitarbeiter",
    "name",
    "employee",
    "operator",
    "worker",
    "werker",
    "prüfer",
    "inspector",
    "einrichter",
    "setter",
    "bediener",
    "initials",
    "kürzel",
)
TOTAL_WORDS = ("summe", "total", "gesamt", "sum", "subtotal", "zwischensumme", "grand total")


def plain(heading: str) -> str:
    """A heading in small letters, without units in brackets, dots and dashes."""
    bare = re.sub(r"[\[(].*?[\])]", " ", heading.lower())
    return " ".join(re.sub(r"[^a-zäöüß0-9/]+", " ", bare).split())


def says(heading: str, words: tuple[str, ...]) -> str | None:
    """The word that a heading contains as a word of its own or as a beginning, if any."""
    text = f" {plain(heading)} "
    best = None
    for word in words:
        hit = f" {word} " in text or (len(word) > 3 and f" {word}" in text)  # noqa: PLR2004 - a short word must stand alone
        if hit and (best is None or len(word) > len(best)):
            best = word
    return best


def canonical_guesses(heading: str) -> dict[str, str]:
    """Canonical columns that a heading may mean, with the word that says so."""
    return {
        column: word
        for column, words in HEADING_WORDS.items()
        if (word := says(heading, words)) is not None
    }
