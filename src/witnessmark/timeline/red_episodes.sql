/*---
about = "one row per area, letter and red production day: the episode it belongs to"
criteria = []
sorted = ["area", "letter", "production_date"]
---
An episode is a sequence of consecutive production days on which a letter stands red; a day is red
if any shift of it is. Production days are those on which the area produced or the board has a
colour: a Sunday without either does not end an episode, a day without a colour for this letter
does.
*/
with days as (
    select
        area,
        production_date,
        row_number() over (partition by area order by production_date) as day_no
    from board_units
    where produced or colour in ('green', 'amber', 'red')
    group by area, production_date
),

reds as (
    select distinct
        area,
        letter,
        production_date
    from board_units
    where colour = 'red'
),

numbered as (
    select
        reds.*,
        days.day_no - row_number() over (
            partition by reds.area, reds.letter order by reds.production_date
        ) as episode_no
    from reds
    inner join days
        on
            reds.area = days.area
            and reds.production_date = days.production_date
)

select
    area,
    letter,
    production_date,
    cast(row_number() over (episode order by production_date) as integer) as day_in_episode,
    min(production_date) over episode as episode_from
from numbered
window episode as (partition by area, letter, episode_no)
