/*---
finding = "The board showed the schedule attained while the customer was short, or was served by premium freight."
says = "Part {part_no}, order lines due in week {week} ({lines}): {on_time} of {due_lines} were shipped complete by their original date, premium freight for {hurried}. The attainment letter of its areas ({areas}) was green on {green_days} of {board_days} days."
needs = ["demand_lines.due_original", "shipment_lines.customer_order", "board_statuses.colour", "board_rules", "board_measures"]
criteria = ["attainment_green_share", "delivery_target_share", "stock_cover_days"]
clauses = ["Q 9.1.2", "A 9.1.2.1", "A 8.5.1.7"]
pattern = "systemic"
strata = ["areas"]
key = ["part_no", "week"]
since = "0.1"

[uses]
outputs = "Which area makes a part is known from runs and schedule only: no output reports were given."
runs = "Which area makes a part is known from output reports and schedule only: no runs were given."
schedule_lines = "Which area makes a part is known from output reports and runs only: no schedule was given."
---
## What it tests
Whether the customer was served in the weeks in which the board says that the schedule was attained:
order lines shipped complete by their original due date, without premium freight.

## Why it matters
A board may rightly measure obedience to the own plan, where delivery is steered elsewhere. But if
nobody on the floor learns that a customer was short, a green letter says less than it seems to.

## Population
Part and week (Monday to Sunday) in which order lines of it were originally due. Its ref is part and
week. The letters are those whose measure is attained against planned pieces, in the areas that work
on the part; the days are those of the week, earlier by the days that stock covers (default none).

## Not assessable
- No colour of such a letter on the days of that week (unless delivery was on target).
- A shipment of the part names no order or has no certain time, and decides the matter.
- The due date lies beyond the end of the data.

## Traps
- Stock delays the effect: state its cover as stock_cover_days where a rule gives it.
- A date promised anew changes nothing: the original one counts.
- More of one part than planned makes up for nothing.
- Consignment stock is shipped long before it is used; early lines are on time here.
- A part of several areas is held against the letters of all of them.

## Ask next
Who on this floor learns that the customer was short, and when? What would the letter have shown
that week if it had counted order lines?

## Source
Customer satisfaction and delivery performance: ISO 9001:2015 9.1.2, IATF 16949:2016 9.1.2.1;
scheduling: 8.5.1.7 (memory). Green on 80 % of days, all lines on time: common practice, no source.
*/
with due as (
    select
        *,
        cast(date_trunc('week', due_original) as date) as week_from
    from delivered_lines
    where due_original is not null
),

weeks as (
    select
        due.part_no,
        due.week_from,
        count(*) as due_lines,
        count(*) filter (where due.is_on_time) as on_time,
        count(*) filter (where due.is_on_time is null) as doubtful,
        count(*) filter (where due.had_premium_freight) as hurried,
        string_agg(due.customer_order || '/' || due.line, ', ' order by due.customer_order, due.line)
            as lines,
        bool_or(due.due_original >= local_date(period.ends_at) and due.is_on_time is distinct from true)
            as is_open
    from due
    cross join period
    group by due.part_no, due.week_from
),

attainment as (
    select
        area_parts.part_no,
        area_parts.area,
        board_units.production_date + $stock_cover_days as shown_on,
        bool_and(board_units.colour = 'green') as is_green
    from board_units
    inner join board_measures
        on
            board_units.measure = board_measures.measure
            and board_measures.numerator = 'attained pieces'
            and board_measures.denominator = 'planned pieces'
    inner join area_parts on board_units.area = area_parts.area
    where board_units.colour in ('green', 'amber', 'red')
    group by area_parts.part_no, area_parts.area, board_units.letter, board_units.production_date
),

boards as (
    select
        part_no,
        cast(date_trunc('week', shown_on) as date) as week_from,
        count(*) as board_days,
        count(*) filter (where is_green) as green_days,
        string_agg(distinct area, ', ' order by area) as areas
    from attainment
    group by part_no, cast(date_trunc('week', shown_on) as date)
),

judged as (
    select
        weeks.*,
        boards.areas,
        boards.green_days,
        coalesce(boards.board_days, 0) as board_days,
        strftime(weeks.week_from, '%G-W%V') as week,
        boards.green_days >= $attainment_green_share * boards.board_days as is_attained,
        case
            when weeks.hurried > 0 then true
            when weeks.on_time >= $delivery_target_share * weeks.due_lines then false
            when weeks.on_time + weeks.doubtful >= $delivery_target_share * weeks.due_lines then null
            when not weeks.is_open then true
        end as is_short
    from weeks
    left join boards on weeks.part_no = boards.part_no and weeks.week_from = boards.week_from
)

select
    part_no,
    week,
    lines,
    due_lines,
    on_time,
    hurried,
    areas,
    board_days,
    green_days,
    case
        when board_days = 0 then 'no colour of an attainment letter in that week'
        when doubtful > 0 then 'a shipment names no order or has no certain time'
        when is_open then 'window still open'
    end as not_assessable,
    is_attained and is_short as exception
from judged
