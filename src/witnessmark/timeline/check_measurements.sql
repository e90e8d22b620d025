/*---
about = "one row per measurement, with the number of its check and what tests ask of that"
criteria = []
key = ["check_ix", "line", "piece_no"]
---
The many measurements are joined to their checks here, once; whoever asks for a check again does so
by its number. They stand in the order of their keys. A measurement of a check that was not given is
left out: nobody knows when it was made, nor on which machine.
*/
select
    check_context.check_ix,
    check_context.done_at,
    check_context.shift_ix,
    check_context.attendance,
    check_context.is_done_ambiguous,
    measurements.line,
    measurements.piece_no,
    measurements.value,
    measurements.attribute,
    measurements.lower_used,
    measurements.upper_used,
    measurements.gauge_id,
    measurements.replaced_value
from measurements
inner join check_context on measurements.check_id = check_context.check_id
