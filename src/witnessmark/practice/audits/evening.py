"""What the auditor saw on the evening of the visit: mostly what the records say, once not.

This module reads the timeline, as no real auditor can; it stands in for eyes.
"""

from witnessmark.practice.audits.preparing import turning_machines
from witnessmark.timeline.build import Timeline

AT = "2026-11-19 20:50:00"
"""21:50 by the plant's clock, in UTC."""
EMPTY_PLACE = "T1-02"
"""A machine whose operator is allocated in the records and was not there."""
SEEN = {"attended": "attended", "covered": "watched", "authorised": "nobody", "uncovered": "nobody"}


def seen_on_the_visit(timeline: Timeline) -> dict[str, str]:
    """Each turning machine with who was seen at it, in the words of the staffing form."""
    timeline.require(["attendance_spans", "known_machines"])
    rows = timeline.store.con.execute(
        "select k.machine_id, a.class from attendance_spans as a"
        " inner join known_machines as k on a.machine_ix = k.machine_ix"
        " where a.from_at <= $at::timestamp and a.to_at > $at::timestamp",
        {"at": AT},
    ).fetchall()
    classes = dict(rows)
    grid = {m: SEEN.get(classes.get(m, ""), "unclear") for m in turning_machines()}
    return grid | {EMPTY_PLACE: "nobody"}
