/*---
finding = "Pieces were made between set-up and release beyond what the plant allows, and not set apart."
says = "Run {ref} on {machine_id}: {measured} pieces from {from_at} to the release at {released_at}; allowed {allowed}."
needs = ["runs", "setups.released_at"]
criteria = ["setup_pieces_allowed", "hold_within_min"]
clauses = ["A 8.5.1.3", "A 8.6.1", "Q 8.6"]
pattern = "depends"
strata = ["attendance", "shift", "machine_id"]
key = ["run_id"]
since = "0.1"

[uses]
holds = "Pieces set apart until release are not recognised: no holds were given."
lots = "Lots moved before release are not looked at: no lots were given."
---
## What it tests
Whether production waited for the release, apart from the set-up pieces that the plant allows, or
was set apart until then.

## Why it matters
Dry strokes may have been counted, or times rounded on paper; some processes run to quarantine until
the laboratory answers, by rule. Otherwise the release followed the product.

## Population
Every start that asks for a set-up and has its record. Its ref is the run.

## Not assessable
- No release time is recorded.
- Pieces are not counted between set-up and release.

## Traps
- Set-up pieces are allowed as the plant says (setup_pieces_allowed).
- Held within the hold limit of the first piece, for at least the quantity, and not moved before the
  release: set apart, and in order.

## Ask next
When a result takes an hour at night, where are the pieces made in that hour? May we see them?

## Source
Release of set-ups and products: IATF 16949:2016 8.5.1.3, 8.6.1; ISO 9001:2015 8.6 (memory).
*/
with

releases as (
    select
        starts.*,
        setups.clock,
        case
            when starts.setup_end_at < starts.start_at or starts.setup_end_at is null
                then starts.start_at
            else starts.setup_end_at
        end as from_at
    from starts
    inner join setups using (setup_id)
),

moments as (
    select
        machine_ix,
        from_at as moment
    from releases
    union
    select
        machine_ix,
        released_at as moment
    from releases
    where released_at is not null
),

clocked as (
    select
        moments.machine_ix,
        moments.moment,
        clock_steps.uncounted_steps,
        clock_steps.pieces
        + clock_steps.step_pieces
        * date_diff('second', clock_steps.from_at, moments.moment) // clock_steps.step_s as pieces
    from moments
    asof inner join clock_steps
        on moments.machine_ix = clock_steps.machine_ix and moments.moment >= clock_steps.from_at
),

made as (
    select
        releases.*,
        case
            when releases.released_at <= releases.from_at then 0
            when opening.uncounted_steps = closing.uncounted_steps
                then closing.pieces - opening.pieces
        end as measured
    from releases
    left join clocked as opening
        on releases.machine_ix = opening.machine_ix and releases.from_at = opening.moment
    left join clocked as closing
        on releases.machine_ix = closing.machine_ix and releases.released_at = closing.moment
),

moved as (
    select distinct made.run_ix
    from made
    inner join lots on made.machine_id = lots.machine_id and made.part_no = lots.part_no
    where lots.moved_at < made.released_at and lots.moved_at > made.from_at
),

-- A hold names the machine, a lot or a container; of however many lots of a run, it counts once.
run_marks as (
    select
        run_ix,
        'machine' as kind,
        machine_id as mark
    from made
    union
    select
        made.run_ix,
        unnest(['lot', 'container']) as kind,
        unnest([lots.lot_no, lots.container]) as mark
    from made
    inner join lots
        on
            made.machine_id = lots.machine_id
            and made.part_no = lots.part_no
            and lots.opened_at < made.released_at
            and coalesce(lots.closed_at > made.from_at, true)
),

hold_marks as (
    select
        row_ix,
        unnest(['machine', 'lot', 'container']) as kind,
        unnest([machine_id, lot_no, container]) as mark
    from holds
),

run_holds as (
    select distinct
        run_marks.run_ix,
        hold_marks.row_ix
    from run_marks
    inner join hold_marks on run_marks.kind = hold_marks.kind and run_marks.mark = hold_marks.mark
),

held as (
    select
        made.run_ix,
        sum(holds.qty) as qty
    from run_holds
    inner join made on run_holds.run_ix = made.run_ix
    inner join holds on run_holds.row_ix = holds.row_ix
    where
        date_diff('second', made.from_at, holds.placed_at) <= $hold_within_s
        and coalesce(holds.disposed_at >= made.from_at, true)
    group by made.run_ix
)

select
    made.run_id,
    made.machine_id,
    made.from_at,
    made.released_at,
    made.measured,
    $setup_pieces_allowed as allowed,
    run_contexts.attendance,
    run_contexts.shift,
    run_contexts.shift_ref,
    made.measured > $setup_pieces_allowed
    and date_diff('second', made.from_at, made.released_at) <= 2 * tolerance_s(made.clock, made.clock)
        as fragile,
    case
        when made.released_at is null then 'no release time recorded'
        when made.measured is null then 'pieces not counted'
    end as not_assessable,
    case
        when made.measured <= $setup_pieces_allowed then false
        when made.measured is not null
            then coalesce(held.qty, 0) < made.measured or moved.run_ix is not null
    end as exception
from made
left join held using (run_ix)
left join moved using (run_ix)
left join run_contexts using (run_ix)
