/*---
finding = "A machine ran while the records show nobody allocated to it."
says = "Machine {machine_id} ran {length_s} from {from_at} with nobody allocated to it or its group."
needs = ["runs|machine_states", "allocations"]
criteria = ["unallocated_least_min"]
clauses = ["Q 7.1.2", "Q 8.5.1 e", "A 5.3.2", "A 8.5.1.1"]
pattern = "depends"
strata = ["attendance", "shift", "day_class", "machine_id"]
key = ["machine_id", "from_at"]
since = "0.1"

[uses]
shift_instances = "Short stretches at the change of shift are not left out: no shifts were given."
---
## What it tests
Whether somebody was allocated, in any role, to every machine that ran, or to its group or area.

## Why it matters
This is no nonconformity. A plant may run machines without anybody by rule, and a board is a plan
that does not follow every move. It is the stratum in which planned checks are compared: on the
machines that nobody was put to, did they still happen?

## Population
Every stretch of running during which a machine was allocated to somebody throughout, or to nobody
throughout, of at least the shortest time that counts. Its ref is machine and start. Stretches to
nobody at the edge of a shift do not count up to that same time, and part nothing.

## Not assessable
The board has no row at all for the area in that shift: nobody can tell who was there.

## Traps
- The board is a plan: moves inside a shift are often not written, and a leader may stand in.
- A planned allocation counts nowhere while its person has an actual one at another place.
- People move some minutes before and after the change of shift.
- Whether the person was present or qualified is not asked here, only whether one was put there.
- A counter that ticks during maintenance looks like running.

## Ask next
If this machine makes a bad piece in the next ten minutes, who answers for it? Where is that
written, and how does whoever it is know?

## Source
Resources and responsibility: ISO 9001:2015 7.1.2, 8.5.1 e; IATF 16949:2016 5.3.2, 8.5.1.1
(memory). Ten minutes: common practice, no source.
*/
with

units as (
    select
        running_covers.*,
        known_machines.machine_id,
        known_machines.area,
        date_diff('second', running_covers.from_at, running_covers.to_at) as length_s
    from running_covers
    inner join known_machines on running_covers.machine_ix = known_machines.machine_ix
),

long_enough as (
    select * from units
    where length_s >= $unallocated_least_s
)

select
    long_enough.machine_id,
    long_enough.from_at,
    long_enough.to_at,
    long_enough.length_s,
    long_enough.attendance,
    case when long_enough.from_at < shift_spans.end_at then shift_spans.shift end as shift,
    case
        when long_enough.from_at < shift_spans.end_at
            then shift_spans.shift_ref
    end as shift_ref,
    case when isodow(local_date(long_enough.from_at)) > 5 then 'weekend' else 'weekday' end as day_class,
    case when long_enough.cover = 'not known' then 'no staffing row for the area and shift' end
        as not_assessable,
    case long_enough.cover when 'nobody' then true when 'somebody' then false end as exception
from long_enough
asof left join shift_spans
    on long_enough.area = shift_spans.area and long_enough.from_at >= shift_spans.start_at
