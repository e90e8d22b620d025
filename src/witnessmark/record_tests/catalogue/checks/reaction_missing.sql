/*---
finding = "No reaction is on record to a measurement outside its limit."
says = "Measurement {ref} at {done_at} read {reading}, limits {lower_limit} to {upper_limit}; {what}."
needs = ["measurements", "checks.done_at", "control_plan_lines", "runs"]
criteria = ["reaction_within_running_min"]
clauses = ["A 8.5.1.1", "A 8.7.1.3", "A 9.1.1.1", "Q 8.7.1"]
pattern = "systemic"
strata = ["attendance", "shift"]
key = ["check_id", "line", "piece_no"]
since = "0.1"

[uses]
process_events = "Offsets, tool changes and repairs were not looked for: no process events were given."
stoppages = "Stops were not looked for as a reaction: no stoppages were given."
holds = "Holds were not looked for as a reaction: no holds were given."
lots = "Holds of a lot or container count for no machine: no lots were given."
concerns = "Concerns were not looked for as a reaction: no concerns were given."
---
## What it tests
Whether something followed, on record, when a measurement lay outside the limit valid then: an
adjustment, a tool change, a repair, an unplanned stop with a reason, a hold, a concern, or a
second check of that characteristic, within the plant's time of running.

## Why it matters
A slip of the decimal point that was corrected with its trace is no matter. Without any trace the
detection worked and had no effect, and the product made around it is suspect until looked at.

## Population
Every measurement whose value, or whose replaced value, lies outside the limits of the plan line
valid then, and every attribute found bad. Its ref is check, line and piece.

## Not assessable
- The check has no time, or its time occurred twice that night.
- The data end, or no record says whether the machine ran, before the time for a reaction is over.

## Traps
- A planned stop or the end of the run is no reaction.
- A value that was overwritten by a good one is an exception unless a second check shows it.
- Internal and customer limits differ: the limits are those of the control plan valid then.

## Ask next
What happened after this reading? Where are the pieces made before and after it, and who decided on
them?

## Source
Reaction plan: IATF 16949:2016 8.5.1.1, 9.1.1.1; suspect product: 8.7.1.3; ISO 9001:2015 8.7.1
(memory). Sixty running minutes: common practice, no source.
*/
with

-- Few checks have such a reading. They are found first, and what is large is asked for these alone:
-- the planner guesses their number wrongly and would join everything to all measurements.
in_question as (
    select check_ix
    from placed_checks
    where n_out > 0
    union
    select check_ix
    from check_measurements
    where replaced_value is not null
),

looked_at as (
    select
        machine_ix,
        run_ix,
        plan_line_ix,
        line_ix,
        check_ix,
        n_out
    from placed_checks
    where check_ix in (select in_question.check_ix from in_question)
),

those_checks as materialized (
    select
        row_ix as check_ix,
        check_id,
        machine_id
    from checks
    where row_ix in (select in_question.check_ix from in_question)
),

those_values as materialized (
    select
        check_ix,
        line,
        piece_no,
        value,
        attribute,
        replaced_value,
        done_at,
        is_done_ambiguous,
        attendance,
        shift_ix
    from check_measurements
    where check_ix in (select in_question.check_ix from in_question)
),

readings as materialized (
    select
        those_checks.check_ix,
        those_checks.check_id,
        those_values.line,
        those_values.piece_no,
        those_checks.machine_id,
        those_values.done_at,
        those_values.is_done_ambiguous as is_ambiguous,
        those_values.attendance,
        those_values.shift_ix,
        looked_at.machine_ix,
        looked_at.run_ix,
        looked_at.plan_line_ix,
        control_plan_lines.lower_limit,
        control_plan_lines.upper_limit,
        coalesce(cast(those_values.value as varchar), those_values.attribute) as reading,
        coalesce(those_values.value < control_plan_lines.lower_limit, false)
        or coalesce(those_values.value > control_plan_lines.upper_limit, false)
        or coalesce(those_values.attribute = 'bad', false) as is_out,
        coalesce(those_values.replaced_value < control_plan_lines.lower_limit, false)
        or coalesce(those_values.replaced_value > control_plan_lines.upper_limit, false) as was_out,
        those_values.replaced_value is not null as is_replaced
    from looked_at
    inner join those_checks on looked_at.check_ix = those_checks.check_ix
    inner join control_plan_lines on looked_at.line_ix = control_plan_lines.row_ix
    inner join those_values
        on
            those_checks.check_ix = those_values.check_ix
            and control_plan_lines.line = those_values.line
    where looked_at.n_out > 0 or those_values.replaced_value is not null
),

units as (
    select * from readings
    where is_out or was_out
),

machine_lots as (
    select distinct
        machine_id,
        unnest([lot_no, container]) as mark
    from lots
),

marked_holds as (
    select
        placed_at,
        unnest([lot_no, container]) as mark
    from holds
),

reactions as (
    select
        machine_id,
        happened_at as at
    from process_events
    where kind in ('offset', 'tool-change', 'repair')
    union all
    select
        machine_id,
        start_at as at
    from stoppages
    where reason is not null and not coalesce(planned, false)
    union all
    select
        machine_id,
        placed_at as at
    from holds
    where machine_id is not null
    union all
    select
        machine_lots.machine_id,
        marked_holds.placed_at as at
    from marked_holds
    inner join machine_lots on marked_holds.mark = machine_lots.mark
    union all
    select
        machine_id,
        raised_at as at
    from concerns
    where machine_id is not null
),

answers as (
    select
        units.check_id,
        units.line,
        units.piece_no,
        min(reactions.at) as reacted_at
    from units
    inner join reactions
        on units.machine_id = reactions.machine_id and units.done_at <= reactions.at
    group by all
),

rechecks as (
    select
        units.check_id,
        units.line,
        units.piece_no,
        min(placed_checks.done_at) as rechecked_at,
        min(placed_checks.done_at) filter (where placed_checks.n_out = 0) as found_good_at
    from units
    inner join placed_checks
        on
            units.run_ix = placed_checks.run_ix
            and units.plan_line_ix = placed_checks.plan_line_ix
            and units.check_ix <> placed_checks.check_ix
            and units.done_at <= placed_checks.done_at
    where placed_checks.completed
    group by all
),

answered as (
    select
        units.*,
        rechecks.found_good_at,
        case
            when answers.reacted_at < rechecks.rechecked_at or rechecks.rechecked_at is null
                then answers.reacted_at
            else rechecks.rechecked_at
        end as reacted_at
    from units
    left join answers using (check_id, line, piece_no)
    left join rechecks using (check_id, line, piece_no)
),

moments as (
    select
        machine_ix,
        done_at as at
    from answered
    union
    select
        machine_ix,
        coalesce(reacted_at, (select period.ends_at from period)) as at
    from answered
),

clocked as (
    select
        moments.machine_ix,
        moments.at,
        running_clock.running_s
        + case when running_clock.is_running then date_diff('second', running_clock.at, moments.at) else 0 end
            as running_s,
        running_clock.unknown_s
        + case when running_clock.is_unknown then date_diff('second', running_clock.at, moments.at) else 0 end
            as unknown_s
    from moments
    asof inner join running_clock
        on moments.machine_ix = running_clock.machine_ix and moments.at >= running_clock.at
),

timed as (
    select
        answered.*,
        later.running_s - earlier.running_s as waited_s,
        later.unknown_s - earlier.unknown_s as doubtful_s
    from answered
    left join clocked as earlier
        on answered.machine_ix = earlier.machine_ix and answered.done_at = earlier.at
    left join clocked as later
        on
            answered.machine_ix = later.machine_ix
            and coalesce(answered.reacted_at, (select period.ends_at from period)) = later.at
)

select
    timed.check_id,
    timed.line,
    timed.piece_no,
    timed.done_at,
    timed.reading,
    timed.lower_limit,
    timed.upper_limit,
    timed.attendance,
    timed.shift_ix,
    case
        when timed.is_replaced then 'it was replaced, and no second check shows the characteristic good'
        when timed.reacted_at is null then 'no reaction is on record'
        else 'the first reaction is on record at ' || strftime(local_time(timed.reacted_at), '%Y-%m-%d %H:%M')
    end as what,
    case
        when timed.is_ambiguous then 'time ambiguous'
        when timed.done_at is null then 'time missing'
        when timed.is_replaced and timed.was_out <> timed.is_out then null
        when timed.waited_s > $reaction_within_running_s then null
        when timed.waited_s + timed.doubtful_s > $reaction_within_running_s then 'state unknown'
        when timed.reacted_at is null then 'window still open'
    end as not_assessable,
    case
        when timed.done_at is null then null
        when timed.is_replaced and timed.was_out <> timed.is_out then timed.found_good_at is null
        when timed.waited_s > $reaction_within_running_s then true
        when
            timed.waited_s + timed.doubtful_s <= $reaction_within_running_s
            and timed.reacted_at is not null then false
    end as exception
from timed
