/*---
finding = "The same explanation stands for repeated reds with no action on its cause, or weekends are red far more often."
says = "Letter {letter} of area {area}, {day_class}s: the explanation \"{reason}\" was written for {reds} red days ({ground}). Red share at weekends {weekend_reds} of {weekend_days} days, on weekdays {weekday_reds} of {weekday_days}."
needs = ["board_statuses.colour", "board_statuses.reason", "actions", "concerns"]
criteria = ["standing_reds", "standing_days", "alpha"]
clauses = ["Q 9.1.3", "Q 10.2.1", "A 9.1.3.1", "A 10.3.1"]
pattern = "systemic"
strata = ["area", "letter", "day_class"]
key = ["area", "letter", "reason", "day_class"]
since = "0.1"
---
## What it tests
Whether the same explanation is written for red days again and again while no action on its cause
is open; and whether a letter is red at weekends far more often than on weekdays.

## Why it matters
A repeated reason can be quite true, and out of the area's reach. But an explanation that stands may
mean that a loss has become normal by habit, and that other losses hide behind it.

## Population
Area, letter, reason and class of day (weekday, or weekend: Saturday and Sunday), as far as the
reason was written for at least one red day; capitals and outer spaces do not matter. Reds without a
written reason are a unit of their own. Its ref is area, letter, reason and class of day.

## Not assessable
- No reason is written for these reds (unless the share of reds at weekends settles it).
- An action or concern linked to them is on no list, or has no certain time of opening.

## Traps
- A reason counts when its last red completes so many in the rolling time (default 3 in 28 days).
- An action counts if on that last day it was open, or closed with its effect verified. It is linked
  by the board, or by a concern of the area whose cause is that very reason: other words for the
  same cause are not seen.
- The share test is exact and two-sided; it marks the letter's most frequent weekend reason, and
  only where weekends are the worse. Few weekends show nothing.
- A target that was never adapted to planned overtime makes every weekend red.

## Ask next
If overtime were taken out, which weekends would stay red? What would have to change on the floor
for this explanation never to be written again, and whose decision is that?

## Source
Analysis and corrective action: ISO 9001:2015 9.1.3 and 10.2.1; prioritisation and continual
improvement: IATF 16949:2016 9.1.3.1 and 10.3.1 (memory). Exact test of two shares: Fisher 1934.
Three reds in four weeks: common practice, no source.
*/
with days as (
    select
        area,
        letter,
        production_date,
        case when isodow(production_date) >= 6 then 'weekend' else 'weekday' end as day_class,
        bool_or(colour = 'red') as is_red
    from board_units
    where colour in ('green', 'amber', 'red')
    group by area, letter, production_date
),

shares as (
    select
        area,
        letter,
        count(*) filter (where day_class = 'weekend' and is_red) as weekend_reds,
        count(*) filter (where day_class = 'weekend') as weekend_days,
        count(*) filter (where day_class = 'weekday' and is_red) as weekday_reds,
        count(*) filter (where day_class = 'weekday') as weekday_days
    from days
    group by area, letter
),

tested as (
    select
        *,
        fisher_p(
            weekend_reds,
            weekend_days - weekend_reds,
            weekday_reds,
            weekday_days - weekday_reds
        ) < $alpha
        and weekend_reds * weekday_days > weekday_reds * weekend_days as weekends_stand_out
    from shares
),

reds as (
    select
        area,
        letter,
        production_date,
        lower(trim(reason)) as reason,
        case when isodow(production_date) >= 6 then 'weekend' else 'weekday' end as day_class,
        list(action_ref) filter (where action_ref is not null) as action_refs
    from board_units
    where colour = 'red'
    group by area, letter, production_date, lower(trim(reason))
),

counted as (
    select
        *,
        lag(production_date, $standing_reds - 1) over (
            partition by area, letter, reason, day_class order by production_date
        ) as earliest
    from reds
),

-- The reds that complete a standing explanation: so many of one reason within the time.
completing as (
    select
        area,
        letter,
        reason,
        day_class,
        earliest,
        production_date
    from counted
    where reason is not null and production_date - earliest < $standing_days
),

links as (
    select
        area,
        letter,
        reason,
        production_date as linked_on,
        unnest(action_refs) as action_id
    from reds
    union
    select
        concerns.area,
        concerns.letter,
        lower(trim(concerns.cause)) as reason,
        date '0001-01-01' as linked_on,
        actions.action_id
    from concerns
    inner join actions on concerns.concern_id = actions.concern_id
    where concerns.cause is not null
),

-- Whether each linked action counts on the day that completes the explanation.
answers as (
    select
        completing.*,
        links.action_id is not null as is_linked,
        case
            when local_date(actions.opened_at) > completing.production_date then false
            when
                local_date(actions.closed_at) >= completing.production_date
                then actions.opened_at is not null
            when actions.closed_at is not null
                then coalesce(local_date(actions.verified_at) <= completing.production_date, false)
            when actions.opened_at is not null and actions.closed_at_quality is null then true
        end as counts
    from completing
    left join links
        on
            completing.area = links.area
            and completing.reason = links.reason
            and coalesce(completing.letter = links.letter, true)
            and completing.production_date >= links.linked_on
    left join actions on links.action_id = actions.action_id
),

answered as (
    select
        area,
        letter,
        reason,
        day_class,
        production_date,
        coalesce(bool_or(counts), false) as has_action,
        bool_or(is_linked and counts is null) as has_doubt
    from answers
    group by area, letter, reason, day_class, production_date
),

standing as (
    select
        area,
        letter,
        reason,
        day_class,
        bool_or(not has_action and not has_doubt) as stands,
        bool_or(not has_action and has_doubt) as may_stand
    from answered
    group by area, letter, reason, day_class
),

units as (
    select
        area,
        letter,
        reason,
        day_class,
        count(*) as reds,
        row_number() over (
            partition by area, letter, day_class order by count(*) desc, reason nulls last
        ) as rank_no
    from reds
    group by area, letter, reason, day_class
),

judged as (
    select
        units.*,
        tested.weekend_reds,
        tested.weekend_days,
        tested.weekday_reds,
        tested.weekday_days,
        coalesce(standing.stands, false) as stands,
        coalesce(standing.may_stand, false) as may_stand,
        units.day_class = 'weekend' and units.rank_no = 1
        and coalesce(tested.weekends_stand_out, false) as stands_out
    from units
    inner join tested on units.area = tested.area and units.letter = tested.letter
    left join standing
        on
            units.area = standing.area
            and units.letter = standing.letter
            and units.reason = standing.reason
            and units.day_class = standing.day_class
)

select
    area,
    letter,
    reason,
    day_class,
    reds,
    weekend_reds,
    weekend_days,
    weekday_reds,
    weekday_days,
    case
        when stands and stands_out then 'repeated without action; weekends stand out'
        when stands then 'repeated without action'
        when stands_out then 'weekends stand out'
    end as ground,
    case
        when reason is null then 'no reason is written'
        when may_stand then 'an action linked to it is on no list, or its time is missing'
    end as not_assessable,
    case
        when stands or stands_out then true
        when reason is not null and not may_stand then false
    end as exception
from judged
