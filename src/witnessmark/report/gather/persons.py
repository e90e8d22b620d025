"""The one place that keeps persons out of what is printed.

A column that holds a person, by pseudonym or by place number, is shown as "a person", in a row's
sentence, in its ref and beside it. Groups that are too small to hide one person are merged.
"""

from collections.abc import Mapping, Sequence
from zoneinfo import ZoneInfo

from witnessmark.record_tests.outcome import Counts, Row
from witnessmark.record_tests.persons import holds_person, without_persons
from witnessmark.record_tests.record_test import RecordTest
from witnessmark.record_tests.shown import ref_of, shown

SMALL_GROUPS = "small groups together"


class _Texts(dict[str, str]):
    def __missing__(self, name: str) -> str:
        return "\u2013"


def sentence_of(test: RecordTest, row: Row, zone: ZoneInfo) -> tuple[str, str]:
    """The ref and the sentence of a row, made anew without persons."""
    values = without_persons(row)
    keyed = {name: values.get(name) for name in test.key}
    ref = ref_of(keyed, test.key) if any(map(holds_person, test.key)) else str(row["ref"])
    texts = _Texts({name: shown(name, value, zone) for name, value in values.items()})
    texts["ref"] = ref
    return ref, test.says.format_map(texts)


def merged_small(
    values: Mapping[str, Counts], persons: Mapping[str, int], least: int
) -> tuple[dict[str, Counts], bool]:
    """A stratum in which no value stands for fewer than `least` persons.

    Args:
        values: Counts by value.
        persons: How many persons stand behind a value; one that is not listed is no group of
            persons and stays.
        least: Smallest group that may stand alone.

    Returns:
        The counts, and whether anything was merged. Where a small group alone would remain, the
        next smallest joins it, so that neither can be had by subtraction.
    """
    ordered = sorted((size, value) for value, size in persons.items() if value in values)
    merged: list[str] = []
    together = 0
    for size, value in ordered:
        if size >= least and (not merged or together >= least):
            break
        merged.append(value)
        together += size
    if not merged:
        return dict(values), False
    kept = {value: counts for value, counts in values.items() if value not in merged}
    kept[SMALL_GROUPS] = summed([values[value] for value in merged])
    return kept, True


def summed(parts: Sequence[Counts]) -> Counts:
    """Counts added up, reasons kept apart."""
    return Counts(
        conforming=sum(part.conforming for part in parts),
        exceptions=sum(part.exceptions for part in parts),
        not_assessable=_added([part.not_assessable for part in parts]),
        not_applicable=_added([part.not_applicable for part in parts]),
        fragile_exceptions=sum(part.fragile_exceptions for part in parts),
        fragile_conforming=sum(part.fragile_conforming for part in parts),
    )


def _added(parts: Sequence[Mapping[str, int]]) -> dict[str, int]:
    reasons = sorted({reason for part in parts for reason in part})
    return {reason: sum(part.get(reason, 0) for part in parts) for reason in reasons}
