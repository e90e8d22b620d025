"""Whether somebody qualified was at a hands-on event, and not elsewhere."""

from tables import derive

HALL = """
machines
| machine_id | area | process |
|------------|------|---------|
| M1         | A    | turning |
| M2         | A    | turning |

shift_instances
| area | production_date | shift | start_at         | end_at           | overtime |
|------|-----------------|-------|------------------|------------------|----------|
| A    | 2026-03-02      | early | 2026-03-02 06:00 | 2026-03-02 14:00 | no       |

setups
| setup_id | machine_id | to_part | start_at         | end_at           | setter |
|----------|------------|---------|------------------|------------------|--------|
| S1       | M1         | P1      | 2026-03-02 08:00 | 2026-03-02 09:00 | {setter} |
{more}
allocations
| person_key | machine_or_group | start_at         | end_at           | role     | basis  |
|------------|------------------|------------------|------------------|----------|--------|
| p2         | M2               | 2026-03-02 06:00 | 2026-03-02 14:00 | operator | actual |
"""
MATRIX = """
required_qualifications
| process | role     | valid_from | level |
|---------|----------|------------|-------|
| turning | operator | 2026-01-01 | 1     |
| turning | setter   | 2026-01-01 | 3     |

qualifications
| person_key | process | valid_from | level |
|------------|---------|------------|-------|
| s1         | turning | 2026-01-01 | 3     |
| p2         | turning | 2026-01-01 | 1     |
"""


def presence(*rows, setter="", more="", matrix=""):
    found = derive(
        "hands_on_presence", HALL.format(setter=setter, more=more) + "".join(rows) + matrix
    )
    (row,) = [row for row in found if row["event_ref"] == "S1"]
    return row


def put(start, end):
    return f"| p1 | M1 | 2026-03-02 {start} | 2026-03-02 {end} | operator | actual |\n"


def readings(*rows):
    row = presence(*rows)
    return row["is_there_firmly"], row["is_there"], row["is_there_loosely"]


def test_nobody_and_somebody():
    assert readings() == (False, False, False)
    assert readings(put("06:00", "14:00")) == (True, True, True)


def test_minutes_at_the_ends_are_within_the_clocks():
    assert readings(put("08:02", "08:58")) == (True, True, False)
    assert readings(put("08:03", "14:00")) == (True, False, False)
    assert readings(put("08:07", "14:00")) == (False, False, False)


def test_two_may_take_turns_but_leave_no_gap():
    assert readings(put("06:00", "08:30"), put("08:30", "14:00"))[1] is True
    assert readings(put("06:00", "08:30"), put("08:31", "14:00"))[1] is False


def test_who_is_on_record_is_asked_for_the_setters_level():
    assert presence(setter="s1", matrix=MATRIX)["is_recorded"] is True
    assert presence(setter="p2", matrix=MATRIX)["is_recorded"] is False
    assert presence(setter="s9", matrix=MATRIX)["is_recorded"] is None
    assert presence(setter="s9")["is_recorded"] is True
    assert presence()["is_recorded"] is False


def other(start, end, setter):
    return f"| S2 | M2 | P1 | 2026-03-02 {start} | 2026-03-02 {end} | {setter} |\n"


def test_a_second_set_up_at_the_same_time_is_elsewhere_beyond_the_clocks():
    assert presence(setter="s1", more=other("08:58", "10:00", "s1"))["is_elsewhere"] is False
    assert presence(setter="s1", more=other("08:57", "10:00", "s1"))["is_elsewhere"] is True
    assert presence(setter="s1", more=other("08:00", "09:00", "s7"))["is_elsewhere"] is False


def test_one_of_two_who_stays_is_enough():
    row = presence(put("06:00", "14:00"), setter="s1", more=other("08:00", "09:00", "s1"))
    assert (row["is_there"], row["is_elsewhere"]) == (True, False)
