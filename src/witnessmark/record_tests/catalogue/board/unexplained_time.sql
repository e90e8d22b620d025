/*---
finding = "The records of a machine's shift do not account for its time, its stops or its output."
says = "Machine {machine_id}, shift {shift} of {production_date}: {grounds}."
needs = ["machines", "shift_instances", "machine_states|runs"]
criteria = ["state_sum_tolerance_share", "uncoded_stop_share", "output_over_share"]
clauses = ["A 8.5.1.5", "A 9.1.1.1", "Q 9.1.1"]
pattern = "depends"
strata = ["attendance", "shift", "day_class", "machine_id"]
key = ["machine_id", "production_date", "shift"]
since = "0.1"

[uses]
"outputs|piece_counts" = "Output is read from run reports only, where there are any."
routings = "Output is not compared with running time: no planned times were given."
---
## What it tests
Whether the records of a machine's shift can be right: its states add up to the length of the
shift, its stops carry a reason, and no more pieces were made than the running time allows.

## Why it matters
Missing time usually means a logger that was off, and too many pieces a counter that counts strokes
or a planned time that is out of date. But every other test rests on these records, so this one is
read first.

## Population
Every machine of the register in every shift of its area. Its ref is machine, production day and
shift.

## Not assessable
- The shift lies partly outside the period of the data.
- No state, run or stop of that machine is on record at any time.
- The pieces, or the planned time for one, are not known, and the other grounds raise no question.
- The pieces fit into the running time only if time of unknown state was running.

## Traps
- A counter may count strokes of a tool with several cavities; planned times are per piece.
- Unknown time is not explained; unplanned, set-up and maintenance are.
- A night in which the clocks change lasts seven or nine hours.
- A time that stands twice counts twice: the states then add up to more than the shift.
- A planned stop needs no reason. Where nothing stopped there is no share without a reason.
- Where a report leaves scrap open, good pieces alone count as output.
- Several operations or parts with different planned times: only what exceeds the shortest is an
  exception, only what fits the longest conforms.

## Ask next
May we look at the longest stop without a reason of yesterday with whoever led the shift? May we
count pieces beside the counter for five minutes?

## Source
Maintenance figures and monitoring rest on such records: IATF 16949:2016 8.5.1.5, 9.1.1.1; ISO
9001:2015 9.1.1 (memory). The three shares: common practice, no source.
*/
with

units as (
    select
        shift_times.*,
        known_machines.machine_id,
        known_machines.group_id,
        shift_spans.production_date,
        shift_spans.shift,
        shift_spans.start_at,
        shift_spans.end_at,
        abs(shift_times.explained_s - shift_times.length_s) as unexplained_s
    from shift_times
    inner join known_machines on shift_times.machine_ix = known_machines.machine_ix
    inner join shift_spans on shift_times.shift_ix = shift_spans.shift_ix
),

cycles as (
    select
        part_no,
        group_id,
        min(ideal_cycle_s) as shortest_s,
        max(ideal_cycle_s) as longest_s
    from routings
    group by part_no, group_id
),

reported as (
    select
        units.machine_ix,
        units.shift_ix,
        outputs.good + coalesce(outputs.scrap, 0) as pieces,
        cycles.shortest_s,
        cycles.longest_s
    from units
    inner join outputs
        on
            units.machine_id = outputs.machine_id
            and units.production_date = outputs.production_date
            and units.shift = outputs.shift
    left join cycles on outputs.part_no = cycles.part_no and units.group_id = cycles.group_id
),

-- Counted pieces are not told apart by part: the quickest and the slowest part bound their time.
counted as (
    select
        units.machine_ix,
        units.shift_ix,
        min(units.pieces) as pieces,
        min(cycles.shortest_s) as shortest_s,
        case when count(cycles.longest_s) = count(*) then max(cycles.longest_s) end as longest_s
    from units
    left join merged_runs
        on
            units.machine_ix = merged_runs.machine_ix
            and units.start_at < merged_runs.end_at
            and units.end_at > merged_runs.start_at
    left join cycles on merged_runs.part_no = cycles.part_no and units.group_id = cycles.group_id
    where (units.machine_ix, units.shift_ix) not in (
        select
            reported.machine_ix,
            reported.shift_ix
        from reported
    )
    group by units.machine_ix, units.shift_ix
),

outputs_of_units as (
    select * from reported
    union all
    select * from counted
),

made as (
    select
        machine_ix,
        shift_ix,
        sum(pieces) as pieces,
        sum(pieces * shortest_s) as least_s,
        case
            when count(pieces) filter (where pieces = 0 or longest_s is not null) = count(*)
                then coalesce(sum(pieces * longest_s), 0)
        end as most_s
    from outputs_of_units
    group by machine_ix, shift_ix
),

judged as (
    select
        units.*,
        made.pieces as made,
        made.least_s,
        case when units.running_s + units.unknown_s = 0 then coalesce(made.most_s, 0) else made.most_s end
            as most_s,
        exists (select 1 from cycles)
        and (select count(outputs_of_units.pieces) from outputs_of_units) > 0 as can_compare
    from units
    left join made on units.machine_ix = made.machine_ix and units.shift_ix = made.shift_ix
),

marked as (
    select
        *,
        unexplained_s > $state_sum_tolerance_share * length_s as is_unexplained,
        uncoded_s > $uncoded_stop_share * stopped_s as is_uncoded,
        case
            when not can_compare then false
            when least_s > (1 + $output_over_share) * (running_s + unknown_s) then true
            when most_s <= (1 + $output_over_share) * running_s then false
        end as is_too_much
    from judged
)

select
    machine_ix,
    production_date,
    shift_ix,
    attendance,
    length_s,
    explained_s,
    stopped_s,
    uncoded_s,
    running_s,
    made,
    case when isodow(production_date) > 5 then 'weekend' else 'weekday' end as day_class,
    case
        when is_cut then 'window still open'
        when not is_recorded then 'no state, run or stop of the machine'
        when is_too_much is null and unknown_s > 0 then 'state unknown'
        when is_too_much is null then 'pieces or planned time not known'
    end as not_assessable,
    case
        when is_recorded and not is_cut then is_unexplained or is_uncoded or is_too_much
    end as exception,
    concat_ws(
        '; ',
        case
            when is_unexplained
                then 'states add up to ' || explained_s // 60 || ' of ' || length_s // 60 || ' min'
        end,
        case
            when is_uncoded
                then uncoded_s // 60 || ' of ' || stopped_s // 60 || ' min of stops carry no reason'
        end,
        case
            when is_too_much
                then
                    made || ' pieces need ' || cast(round(least_s / 60) as bigint)
                    || ' min at the planned time and ' || running_s // 60 || ' min are known to have run'
        end
    ) as grounds
from marked
