/*---
finding = "A red field of a board led to nothing on record within the plant's rule."
says = "Board field {ref} was red; up to the end of {due_on} the records show no concern for it, no open action that it names, and no reason for taking none. It is day {day_in_episode} of a red episode that began on {episode_from}."
needs = ["board_statuses.colour", "concerns"]
criteria = ["red_action_working_days"]
clauses = ["Q 9.1.3", "Q 10.2.1", "A 9.1.3.1"]
pattern = "depends"
strata = ["area", "letter", "episode", "day_class"]
key = ["area", "letter", "production_date", "shift"]
since = "0.1"

[uses]
actions = "Actions that a board names cannot be looked up: no action list was given."
working_days = "Monday to Friday count as working days: no works calendar was given."
shift_instances = "Days with production are known from the board and output reports only: no shift calendar was given."
outputs = "Days with production are known from the board and the shift calendar only: no output reports were given."
---
## What it tests
Whether each red field of a board led to something within the plant's time: a concern for that
letter and day, a link to an action that was open, or a written reason why none is needed.

## Why it matters
Not every red day needs an action of its own: one open action may cover many. But a red that leads
to nothing on record may mean that the loss is seen every day and nobody is expected to change it.

## Population
Every field that stands red, by its latest colour. Its ref is area, letter, production day, and
shift where the letter is kept by shift. Consecutive production days red on one letter form an
episode; the stratum `episode` counts episodes at their first day, with and without any action.

## Not assessable
- The field names an action or concern that no list has: it may stand in another log.
- A concern of that area and day names no letter, or a matching one has no certain time.
- The time for it runs past the end of the data.

## Traps
- Working days count from the day on which the colour was set, or the production day if that is
  later or the other is not on record; weekends and works holidays do not count.
- An action that was closed before the red day does not cover it; one that was open before does.
- "No action, because ..." conforms here; repeated for the same reason it is a question of
  standing-explanation.
- Only links count, never a likeness of words.

## Ask next
Take us from this red square to the change on the machine. Who decides at the meeting that a red
needs no action, and where is that kept?

## Source
Analysis, and reaction to nonconformity: ISO 9001:2015 9.1.3 and 10.2.1; prioritisation: IATF
16949:2016 9.1.3.1 (memory). Two working days: common practice, no source.
*/
with reds as (
    select
        *,
        case
            when local_date(declared_at) > production_date then local_date(declared_at)
            else production_date
        end as counted_from
    from board_units
    where is_on_board and colour = 'red'
),

due as (
    select
        reds.unit_ix,
        last_days.day_on as due_on,
        utc_time(cast(last_days.day_on + 1 as timestamp)) as due_at
    from reds
    inner join calendar_days as first_days
        on
            reds.area = first_days.area
            and reds.counted_from = first_days.day_on
    inner join calendar_days as last_days
        on
            reds.area = last_days.area
            and first_days.work_no + $red_action_working_days = last_days.work_no
            and last_days.works
),

raised as (
    select
        reds.unit_ix,
        bool_or(
            concerns.letter = reds.letter
            and concerns.raised_at < due.due_at
        ) as has_concern,
        bool_or(concerns.raised_at is null) as has_timeless,
        bool_or(concerns.letter is null and concerns.raised_at < due.due_at) as has_letterless
    from reds
    inner join due on reds.unit_ix = due.unit_ix
    inner join concerns
        on
            reds.area = concerns.area
            and coalesce(reds.letter = concerns.letter, true)
            and (
                reds.production_date = concerns.production_date
                or (
                    concerns.production_date is null
                    and coalesce(
                        local_date(concerns.raised_at) between reds.production_date and due.due_on, true
                    )
                )
            )
    group by reds.unit_ix
),

linked as (
    select
        reds.unit_ix,
        actions.action_id is null and concerns.concern_id is null as is_elsewhere,
        case
            when actions.action_id is null then concerns.raised_at < due.due_at
            else
                coalesce(actions.opened_at, origins.raised_at) < due.due_at
                and coalesce(
                    actions.closed_at >= utc_time(cast(reds.production_date as timestamp)),
                    actions.closed_at_quality is null
                )
        end as is_open
    from reds
    inner join due on reds.unit_ix = due.unit_ix
    left join actions on reds.action_ref = actions.action_id
    left join concerns as origins on actions.concern_id = origins.concern_id
    left join concerns on reds.action_ref = concerns.concern_id
    where reds.action_ref is not null
),

judged as (
    select
        reds.*,
        due.due_on,
        case
            when
                raised.has_concern
                or linked.is_open
                or reds.no_action_reason is not null
                then false
            when linked.is_elsewhere or raised.has_letterless or raised.has_timeless then null
            when linked.unit_ix is not null and linked.is_open is null then null
            when due.due_at <= period.ends_at then true
        end as exception,
        case
            when linked.is_elsewhere then 'the action it names is on no list'
            when raised.has_timeless then 'time missing'
            when linked.unit_ix is not null and linked.is_open is null then 'time missing'
            when raised.has_letterless then 'a concern of that day names no letter'
            else 'window still open'
        end as not_assessable
    from reds
    cross join period
    left join due on reds.unit_ix = due.unit_ix
    left join raised on reds.unit_ix = raised.unit_ix
    left join linked on reds.unit_ix = linked.unit_ix
),

placed as (
    select
        judged.*,
        red_episodes.episode_from,
        red_episodes.day_in_episode,
        row_number() over (in_episode order by judged.production_date, judged.shift nulls first) as field_no,
        bool_or(judged.exception = false) over in_episode as has_action,
        bool_and(coalesce(judged.exception, false)) over in_episode as has_none
    from judged
    inner join red_episodes
        on
            judged.area = red_episodes.area
            and judged.letter = red_episodes.letter
            and judged.production_date = red_episodes.production_date
    window in_episode as (partition by judged.area, judged.letter, red_episodes.episode_from)
)

select
    area,
    letter,
    production_date,
    shift,
    due_on,
    episode_from,
    day_in_episode,
    exception,
    case when exception is null then not_assessable end as not_assessable,
    case
        when field_no > 1 then 'later day of an episode'
        when has_action then 'first day of an episode with action'
        when has_none then 'first day of an episode without action'
        else 'first day of an episode, not assessable'
    end as episode,
    case when isodow(production_date) >= 6 then 'weekend' else 'weekday' end as day_class
from placed
