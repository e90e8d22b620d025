/*---
about = "one row per check before which its machine had not run since the check before it"
criteria = []
sorted = ["check_ix"]
---
The few of all checks: on every other the machine is known to have run since an earlier check.

`before_at` is the last instant before `done_at` at which a check of the machine was done, null for
its first; checks done at one instant share it. Between the two the running clock has counted
nothing, and `doubtful_s` seconds are unknown. For a machine's first check they count from where its
records begin. Null where the machine has no clock at all. `tolerance` is that of two times of the
check's own clock, in seconds.
*/
with moments as (
    select distinct
        machine_ix,
        done_at,
        running_s,
        unknown_s
    from check_runs
    where done_at is not null and machine_ix is not null
),

compared as (
    select
        machine_ix,
        done_at,
        running_s,
        unknown_s,
        lag(done_at) over by_time as before_at,
        lag(running_s) over by_time as before_running_s,
        lag(unknown_s) over by_time as before_unknown_s
    from moments
    window by_time as (partition by machine_ix order by done_at)
),

idle as (
    select
        machine_ix,
        done_at,
        before_at,
        unknown_s - coalesce(before_unknown_s, 0) as doubtful_s
    from compared
    where running_s is null or running_s = coalesce(before_running_s, 0)
)

select
    check_runs.check_ix,
    check_runs.kind,
    idle.machine_ix,
    idle.done_at,
    idle.before_at,
    idle.doubtful_s,
    cast(tolerance_s(checks.clock, checks.clock) as integer) as tolerance
from check_runs
inner join idle on check_runs.machine_ix = idle.machine_ix and check_runs.done_at = idle.done_at
inner join checks on check_runs.check_ix = checks.row_ix
