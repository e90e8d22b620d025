"""How many persons stand behind each value of a stratum that could give one of them away."""

from collections.abc import Mapping
from dataclasses import dataclass

from witnessmark.report.gather.reader import Reader, whole

BY_SHIFT = """
with places as (
    select area, machine_id as place from known_machines
    union
    select area, group_id from known_machines
    where group_id is not null
),

halfway as (
    -- The shift of an allocation is the one in which its middle lies: people come early.
    select
        places.area,
        allocations.person_key,
        allocations.start_at
        + coalesce(allocations.end_at - allocations.start_at, interval 2 hours) / 2 as middle_at
    from allocations
    inner join places on allocations.machine_or_group = places.place
)

select shift_spans.shift as value, count(distinct halfway.person_key) as persons
from halfway
asof inner join shift_spans
    on halfway.area = shift_spans.area and halfway.middle_at >= shift_spans.start_at
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
