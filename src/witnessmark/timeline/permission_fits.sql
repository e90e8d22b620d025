/*---
about = "one row per unattended interval and permission for its machine and part, with its conditions"
criteria = []
sorted = ["run_ix", "from_at", "permission_id"]
---
Whether the permission was valid at the time, and in the shift, is not asked here. Each condition is
true where it is met or not written on the permission's row, false where the records show that it
was not met, and null where they do not show it:

`is_short_enough`: the interval is no longer than permitted. `stops_itself`: the machine has an
automatic stop, and the last challenge before the interval was passed. `is_kept_apart`: no lot filled
meanwhile was moved before the next complete check. `is_without_special`: the control plan marked no
special characteristic. `is_watched`: a watcher or leader was present all the time. `is_understood`:
null where a condition is no word of the list.
*/
with permitted as (
    select
        unattended_intervals.run_ix,
        unattended_intervals.machine_ix,
        unattended_intervals.from_at,
        unattended_intervals.to_at,
        unattended_intervals.unclassed_s,
        merged_runs.machine_id,
        merged_runs.part_no,
        known_machines.auto_stop,
        permissions.permission_id,
        permissions.shifts,
        permissions.valid_from,
        permissions.valid_to,
        cast(round(permissions.max_duration_min * 60) as bigint) as max_duration_s,
        date_diff('second', unattended_intervals.from_at, unattended_intervals.to_at) as wall_s,
        coalesce(permissions.conditions, []) as conditions
    from unattended_intervals
    inner join merged_runs on unattended_intervals.run_ix = merged_runs.run_ix
    inner join known_machines on unattended_intervals.machine_ix = known_machines.machine_ix
    inner join unattended_permissions as permissions
        on
            merged_runs.machine_id = permissions.machine_id
            and (merged_runs.part_no = permissions.part_no or permissions.part_no is null)
),

intervals as (
    select distinct
        run_ix,
        machine_ix,
        machine_id,
        part_no,
        from_at,
        to_at
    from permitted
),

complete_checks as (
    select
        machine_id,
        kind,
        result,
        done_at
    from checks
    where result in ('pass', 'fail') and done_at is not null
),

challenges as (
    select
        machine_id,
        result,
        done_at
    from complete_checks
    where kind = 'challenge'
),

-- The lots filled meanwhile; pieces went in until the lot was closed, at most to the end.
filled as (
    select
        intervals.run_ix,
        intervals.from_at,
        intervals.machine_id,
        lots.moved_at,
        case when lots.closed_at < intervals.to_at then lots.closed_at else intervals.to_at end
            as filled_at
    from intervals
    inner join lots
        on
            intervals.machine_id = lots.machine_id
            and intervals.to_at > lots.opened_at
            and (intervals.from_at < lots.closed_at or lots.closed_at is null)
),

-- A lot without a time of moving was not moved, in data that know such times at all.
kept_apart as (
    select
        filled.run_ix,
        filled.from_at,
        bool_and(
            case
                when filled.moved_at is not null
                    then coalesce(complete_checks.done_at <= filled.moved_at, false)
                when (select count(lots.moved_at) from lots) > 0 then true
            end
        ) as is_kept_apart
    from filled
    asof left join complete_checks
        on filled.machine_id = complete_checks.machine_id and filled.filled_at <= complete_checks.done_at
    group by filled.run_ix, filled.from_at
),

special as (
    select distinct
        intervals.run_ix,
        intervals.from_at
    from intervals
    inner join special_days
        on
            intervals.part_no = special_days.part_no
            and intervals.from_at < special_days.to_at
            and intervals.to_at > special_days.from_at
),

planned as (
    select distinct
        intervals.run_ix,
        intervals.from_at
    from intervals
    inner join control_plan_lines
        on
            intervals.part_no = control_plan_lines.part_no
            and local_date(intervals.from_at) >= control_plan_lines.valid_from
),

watches as (
    select
        intervals.run_ix,
        intervals.from_at,
        intervals.to_at,
        staffing_spans.from_at as watch_at,
        staffing_spans.to_at as watch_to_at
    from intervals
    inner join staffing_spans
        on
            intervals.machine_ix = staffing_spans.machine_ix
            and intervals.from_at < staffing_spans.to_at
            and intervals.to_at > staffing_spans.from_at
    where
        staffing_spans.role in ('watcher', 'leader')
        and staffing_spans.is_present
        and not staffing_spans.is_void
),

followed as (
    select
        *,
        coalesce(
            max(watch_to_at) over (
                partition by run_ix, from_at
                order by watch_at, watch_to_at
                rows between unbounded preceding and 1 preceding
            ),
            from_at
        ) as watched_until
    from watches
),

watched as (
    select
        run_ix,
        from_at,
        bool_and(watch_at <= watched_until) and max(watch_to_at) >= max(to_at) as is_watched
    from followed
    group by run_ix, from_at
)

select
    permitted.run_ix,
    permitted.machine_ix,
    permitted.from_at,
    permitted.permission_id,
    permitted.shifts,
    permitted.valid_from,
    permitted.valid_to,
    permitted.max_duration_s,
    permitted.wall_s,
    case
        when permitted.max_duration_s is null or permitted.wall_s <= permitted.max_duration_s then true
        when permitted.unclassed_s = 0 then false
    end as is_short_enough,
    case
        when not list_contains(permitted.conditions, 'auto-stop') then true
        when not permitted.auto_stop or challenges.result = 'fail' then false
        when permitted.auto_stop and challenges.result = 'pass' then true
    end as stops_itself,
    case
        when not list_contains(permitted.conditions, 'segregated-output') then true
        else kept_apart.is_kept_apart
    end as is_kept_apart,
    case
        when not list_contains(permitted.conditions, 'no-special-characteristics') then true
        when special.run_ix is not null then false
        when planned.run_ix is not null then true
    end as is_without_special,
    case
        when not list_contains(permitted.conditions, 'named-watcher') then true
        when coalesce(watched.is_watched, false) then true
        when permitted.unclassed_s = 0 then false
    end as is_watched,
    case
        when
            list_has_all(
                ['auto-stop', 'segregated-output', 'no-special-characteristics', 'named-watcher'],
                permitted.conditions
            ) then true
    end as is_understood
from permitted
asof left join challenges
    on permitted.machine_id = challenges.machine_id and permitted.from_at >= challenges.done_at
left join kept_apart
    on permitted.run_ix = kept_apart.run_ix and permitted.from_at = kept_apart.from_at
left join special on permitted.run_ix = special.run_ix and permitted.from_at = special.from_at
left join planned on permitted.run_ix = planned.run_ix and permitted.from_at = planned.from_at
left join watched on permitted.run_ix = watched.run_ix and permitted.from_at = watched.from_at
