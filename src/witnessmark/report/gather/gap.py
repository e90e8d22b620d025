"""One gap between checks, chosen to be followed all the way: its day, its sentence, its bins.

Chosen by rule: a gap beyond its limit on a machine that was not attended, rather with suspect lots
that were not contained, the longest first. It is an example, and the paper says so.
"""

from witnessmark.report.gather.reader import Found, Reader, instant, whole
from witnessmark.report.gather.ribbon import ribbon_of
from witnessmark.report.gather.trace import trace_of
from witnessmark.report.model import Gap
from witnessmark.report.words import ATTENDANCE, listed, moment, plural, span

WHAT = "The gap of the first page"
GAP = """
with gaps as (
    select
        check_gaps.run_ix,
        check_gaps.from_at,
        check_gaps.to_at,
        check_gaps.to_kind,
        check_gaps.running_s,
        check_gaps.limit_s,
        check_gaps.lines,
        check_gaps.attendance,
        merged_runs.machine_id
    from check_gaps
    inner join merged_runs using (run_ix)
    where check_gaps.basis = 'running-time' and check_gaps.running_s > check_gaps.limit_s
),

touched as (
    select
        gaps.run_ix,
        gaps.from_at,
        gaps.to_at,
        gaps.lines,
        suspect_windows.window_ix,
        count(*) filter (where suspect_lots.state <> 'held') as loose,
        count(*) filter (where suspect_lots.state = 'shipped') as shipped
    from gaps
    inner join suspect_windows
        on
            gaps.run_ix = suspect_windows.run_ix
            and suspect_windows.from_at < gaps.to_at
            and suspect_windows.end_at > gaps.from_at
    left join suspect_lots on suspect_windows.window_ix = suspect_lots.window_ix
    group by all
)

select
    gaps.*,
    touched.window_ix
from gaps
left join touched
    on
        gaps.run_ix = touched.run_ix
        and gaps.from_at = touched.from_at
        and gaps.to_at = touched.to_at
        and gaps.lines = touched.lines
order by
    coalesce(gaps.attendance in ('attended', 'mixed'), true),
    coalesce(touched.loose, 0) = 0,
    touched.shipped desc nulls last,
    gaps.running_s - gaps.limit_s desc,
    gaps.run_ix,
    gaps.from_at,
    gaps.lines,
    touched.window_ix
limit 1
"""
WORST_WINDOW = """
select
    suspect_windows.window_ix,
    suspect_windows.machine_id,
    suspect_windows.from_at
from suspect_windows
inner join suspect_lots using (window_ix)
group by all
order by
    count(*) filter (where suspect_lots.state = 'shipped') desc,
    count(*) filter (where suspect_lots.state <> 'held') desc,
    suspect_windows.window_ix
limit 1
"""


def gap_of(reader: Reader, day_begins: str) -> Gap | None:
    """The gap of the first page; without one, the suspect window with the most loose lots."""
    found = reader.one(WHAT, GAP)
    if found is None:
        return _window_alone(reader, day_begins)
    machine, start = str(found["machine_id"]), instant(found["from_at"])
    trace = trace_of(reader, whole(found["window_ix"])) if found["window_ix"] is not None else None
    sentence = sentence_of(found, reader.zone)
    caption = f"Machine {machine}: {_span(found)} between two checks, as the records show it."
    return Gap(sentence, ribbon_of(reader, machine, start, day_begins, caption), trace)


def sentence_of(found: Found, zone: str) -> str:
    """The gap in words: from, to, how long it ran, against which limit, who attended."""
    start, end = instant(found["from_at"]), instant(found["to_at"])
    lines = str(found["lines"]).split(",")
    named = f"{'line' if len(lines) == 1 else 'lines'} {listed(one.strip() for one in lines)}"
    ended = "the next check" if found["to_kind"] == "check" else "the run's end"
    attendance = ATTENDANCE.get(str(found["attendance"]), ATTENDANCE["not-assessable"])
    return (
        f"On {found['machine_id']} the records show no check of control-plan {named} from "
        f"{moment(start, zone)} to {ended} on {moment(end, zone)}: {_span(found)} of running, "
        f"against {span(whole(found['limit_s']))} allowed with grace; attendance: {attendance}. "
        "A check that was made and not written down would look the same. One example of "
        "its kind, not a measure of it."
    )


def _span(found: Found) -> str:
    return span(whole(found["running_s"]))


def _window_alone(reader: Reader, day_begins: str) -> Gap | None:
    found = reader.one(WHAT, WORST_WINDOW)
    if found is None:
        return None
    machine, start = str(found["machine_id"]), instant(found["from_at"])
    trace = trace_of(reader, whole(found["window_ix"]))
    lots = plural(len([n for n in trace.nodes if n.kind in ("bin", "lot")]), "lot") if trace else ""
    sentence = (
        f"No gap between checks ran beyond its limit. One suspect window is followed instead: "
        f"{machine}, from {moment(start, reader.zone)}, {lots}."
    )
    caption = f"Machine {machine} on the day on which its suspect window begins."
    return Gap(sentence, ribbon_of(reader, machine, start, day_begins, caption), trace)
