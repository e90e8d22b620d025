/*---
finding = "A machine ran unattended without a written permission, or outside the conditions of one."
says = "Machine {machine_id} ran unattended for {wall_s} from {from_at} to {to_at}; at {asked_at}: {grounds}."
needs = ["runs", "allocations", "unattended_permissions"]
criteria = ["unallocated_least_min", "restart_threshold_min"]
clauses = ["A 8.5.1.1", "A 8.5.1.2", "A 9.2.2.3", "Q 6.1"]
pattern = "systemic"
strata = ["attendance", "shift", "day_class", "machine_id"]
key = ["run_id", "from_at"]
since = "0.1"

[uses]
machines = "Whether a machine stops by itself is not known: no machine register was given."
checks = "Whether the automatic stop was challenged is not known: no checks were given."
lots = "Whether output was kept apart is not known: no lots were given."
control_plan_lines = "Special characteristics are not known: no control plan was given."
---
## What it tests
Whether every time that a machine ran with nobody attending or covering it rests on a written
permission that was valid then for that machine, part and shift, and whose own conditions were met.

## Why it matters
Running unattended is no nonconformity by itself, and a good automatic stop can be a better control
than an eye. But where practice outgrew the documents, nobody has asked what detects a bad piece
while nobody is there.

## Population
Every time without attendance inside a merged run, of at least the shortest running time that
counts. Shorter stops do not cut it; a standstill of the restart threshold does. A machine that is
covered by rule is not unattended. Its ref is the run and the start.

## Not assessable
- The board has no row for the area and shift, and no permission would cover the time.
- What a condition asks for is not on record: the automatic stop or its challenge, the lots, the
  control plan, the shift.
- A condition is written in a word that is not on the list.

## Traps
- A permission for the machine is not one for every part, nor for every shift.
- A trial permission that has run out; one hidden in a remark of the risk analysis, not in the list.
- Only conditions on the permission's own row bind: `auto-stop` (the machine has one, and the last
  challenge before was passed), `segregated-output` (no lot filled meanwhile was moved before the
  next complete check), `no-special-characteristics`, `named-watcher` (somebody put to the machine
  as watcher, and present, all the time), and the longest time.
- Permissions are asked for at the start, at every change of shift and at every midnight in between.

## Ask next
Which line of the risk analysis rates detection without an operator? What stops this machine by
itself, and when was that last challenged, on any shift?

## Source
Control of production, risk, all shifts: IATF 16949:2016 8.5.1.1, 8.5.1.2, 9.2.2.3; ISO 9001:2015
6.1 (memory). The four conditions: common practice, no source.
*/
with

units as (
    select
        intervals.run_ix,
        intervals.machine_ix,
        intervals.from_at,
        intervals.to_at,
        intervals.ran_s,
        intervals.attendance,
        merged_runs.run_id,
        merged_runs.machine_id,
        known_machines.area,
        date_diff('second', intervals.from_at, intervals.to_at) as wall_s
    from unattended_intervals as intervals
    inner join merged_runs on intervals.run_ix = merged_runs.run_ix
    inner join known_machines on intervals.machine_ix = known_machines.machine_ix
    where intervals.ran_s >= $unallocated_least_s
),

midnights as (
    select
        *,
        unnest(range(local_date(from_at) + 1, local_date(to_at) + 1, interval 1 day)) as midnight
    from units
),

-- When a permission may begin or cease to hold: the start, each change of shift, each midnight.
asked as (
    select
        run_ix,
        machine_ix,
        from_at,
        area,
        from_at as asked_at
    from units
    union
    select
        units.run_ix,
        units.machine_ix,
        units.from_at,
        units.area,
        shift_spans.start_at as asked_at
    from units
    inner join shift_spans
        on
            units.area = shift_spans.area
            and units.from_at < shift_spans.start_at
            and units.to_at > shift_spans.start_at
    union
    select
        run_ix,
        machine_ix,
        from_at,
        area,
        utc_time(midnight) as asked_at
    from midnights
    where utc_time(midnight) < to_at
),

moments as (
    select
        asked.*,
        attendance_spans.class in ('authorised', 'uncovered') as is_unattended,
        case when asked.asked_at < shift_spans.end_at then shift_spans.shift end as shift,
        case
            when asked.asked_at < shift_spans.end_at
                then shift_spans.shift_ref
        end as shift_ref
    from asked
    asof left join shift_spans on asked.area = shift_spans.area and asked.asked_at >= shift_spans.start_at
    asof left join attendance_spans
        on
            asked.machine_ix = attendance_spans.machine_ix
            and asked.asked_at >= attendance_spans.from_at
),

valid as (
    select
        moments.run_ix,
        moments.from_at,
        moments.asked_at,
        permission_fits.permission_id,
        permission_fits.is_short_enough
        and permission_fits.stops_itself
        and permission_fits.is_kept_apart
        and permission_fits.is_without_special
        and permission_fits.is_watched
        and permission_fits.is_understood
        and (
            permission_fits.shifts is null or list_contains(permission_fits.shifts, moments.shift)
        ) as is_met,
        concat_ws(
            ', ',
            case when not permission_fits.is_short_enough then 'longer than permitted' end,
            case when not permission_fits.stops_itself then 'auto-stop' end,
            case when not permission_fits.is_kept_apart then 'segregated-output' end,
            case when not permission_fits.is_without_special then 'no-special-characteristics' end,
            case when not permission_fits.is_watched then 'named-watcher' end
        ) as unmet,
        coalesce(
            abs(permission_fits.wall_s - permission_fits.max_duration_s) <= 240, false
        ) as is_close
    from moments
    inner join permission_fits
        on moments.run_ix = permission_fits.run_ix and moments.from_at = permission_fits.from_at
    where
        local_date(moments.asked_at) >= permission_fits.valid_from
        and local_date(moments.asked_at) <= coalesce(permission_fits.valid_to, date '9999-12-31')
        and coalesce(list_contains(permission_fits.shifts, moments.shift), true)
),

permitted as (
    select
        moments.run_ix,
        moments.from_at,
        moments.asked_at,
        moments.shift,
        moments.shift_ref,
        moments.is_unattended,
        coalesce(bool_or(valid.is_close), false) as is_close,
        case
            when coalesce(bool_or(valid.is_met), false) then true
            when count(valid.permission_id) = count(valid.is_met) then false
        end as is_permitted,
        coalesce(
            'of permission ' || min(valid.permission_id) || ' this was not met: '
            || arg_min(valid.unmet, valid.permission_id),
            'no permission for the machine, part and shift was valid'
        ) as grounds
    from moments
    left join valid
        on
            moments.run_ix = valid.run_ix
            and moments.from_at = valid.from_at
            and moments.asked_at = valid.asked_at
    group by all
),

judged as (
    select
        run_ix,
        from_at,
        bool_or(is_close) as fragile,
        bool_or(is_unattended and not is_permitted) as is_outside,
        count(*) filter (where is_permitted is null) > 0 as is_condition_unknown,
        bool_and(coalesce(is_permitted, false)) as is_permitted,
        min(asked_at) filter (where is_unattended and not is_permitted) as asked_at,
        arg_min(grounds, asked_at) filter (where is_unattended and not is_permitted) as grounds,
        arg_min({ 'shift': shift }, asked_at).shift as shift,
        arg_min({ 'shift': shift_ref }, asked_at).shift as shift_ref
    from permitted
    group by run_ix, from_at
)

select
    units.run_id,
    units.machine_id,
    units.from_at,
    units.to_at,
    units.wall_s,
    units.attendance,
    judged.asked_at,
    judged.grounds,
    judged.shift,
    judged.shift_ref,
    judged.fragile,
    case when isodow(local_date(units.from_at)) > 5 then 'weekend' else 'weekday' end as day_class,
    case
        when judged.is_outside or judged.is_permitted then null
        when judged.is_condition_unknown then 'what a condition asks for is not on record'
        else 'no staffing row for the area and shift'
    end as not_assessable,
    case when judged.is_outside then true when judged.is_permitted then false end as exception
from units
inner join judged on units.run_ix = judged.run_ix and units.from_at = judged.from_at
