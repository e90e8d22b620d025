"""How many persons stand behind each value of a stratum that could give one of them away."""

from collections.abc import Mapping
from dataclasses import dataclass

from witnessmark.report.gather.reader import Reader, whole

BY_SHIFT = """
select shift_spans.shift as value, count(distinct allocations.person_key) as persons
from shift_spans
inner join known_machines using (area)
inner join allocations
    on
        allocations.machine_or_group in (known_machines.machine_id, known_machines.group_id)
        and allocations.start_at < shift_spans.end_at
        and (allocations.end_at is null or allocations.end_at > shift_spans.start_at)
group by shift_spans.shift
"""
BY_ROLE = """
select role as value, count(distinct person_key) as persons
from allocations
group by role
"""


@dataclass(frozen=True)
class Groups:
    """How many persons stand behind each value of a stratum, and how few are too few."""

    persons: Mapping[str, Mapping[str, int]]
    least: int


def groups_of(reader: Reader, least: int) -> Groups:
    """Persons by shift and by role, as far as allocations tell."""
    found = {
        name: {
            str(row["value"]): whole(row["persons"])
            for row in reader.rows("The size of groups", query)
        }
        for name, query in (("shift", BY_SHIFT), ("role", BY_ROLE))
    }
    return Groups(found, least)
