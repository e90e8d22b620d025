"""Sheets, boards and hold areas as they were seen, held against checks, colours and holds.

This module appends nothing.
"""

from collections.abc import Iterator
from datetime import date, timedelta

from witnessmark.audit.actions.compare_observation import Result
from witnessmark.audit.event import moment_of
from witnessmark.audit.look import UNCLEAR, Look, Verdict
from witnessmark.audit.records_then import Colour


def see_last_check(look: Look) -> Iterator[Verdict]:
    """The last check on the sheet: was it there, with that result, and what came later?"""
    machine, line, checked = look.observation.machine, look.text("line"), look.text("checked_at")
    at = moment_of(checked)
    local = look.records.local
    named = f" of {line}" if line else ""
    seen = f"{machine}: last check{named} on the sheet {local(at)}, seen {local(look.at)}."
    known = look.machine(machine, "checks")
    if isinstance(known, str):
        yield Verdict("checked_at", "not-assessable", seen, known)
        return
    delta = look.records.tolerance("checks")
    near = look.records.checks(machine, at - delta, at + delta, line)
    if not near:
        said = f"No check{named} within {delta // timedelta(minutes=1)} min of it."
        yield Verdict("checked_at", "contradicts", seen, said)
    else:
        found = min(near, key=lambda check: (abs(check.done_at - at), check.check_id))
        entered = f", entered {local(found.entered_at)}" if found.entered_at else ""
        late = found.entered_at is not None and found.entered_at > look.at + delta
        after = " (after it was seen on the sheet)" if late else ""
        told = f"check {found.check_id} at {local(found.done_at)}{entered}{after}"
        yield Verdict("checked_at", "agrees", seen, told, (found.check_id,))
        if (result := look.text("result")) in {"pass", "fail"}:
            same: Result = "agrees" if result == found.result else "contradicts"
            told = f"check {found.check_id}: {found.result}"
            yield Verdict("result", same, f"{machine}: {result}.", told, (found.check_id,))
    since = look.records.checks(machine, at + delta, look.at - delta, line)
    extra = tuple(check.check_id for check in since if check not in near)
    if extra:
        told = f"{len(extra)} later check(s) recorded as done before the sheet was seen: "
        told += "; ".join(f"{c.check_id} at {local(c.done_at)}" for c in since if c not in near)
        yield Verdict("later", "contradicts", seen, told, extra)


def see_board(look: Look) -> Iterator[Verdict]:
    """The colour of a board: the one that stood then, and whether it was changed later."""
    area, letter, colour = look.text("area"), look.text("letter"), look.text("colour")
    seen = f"Board {area}, {letter}, {look.text('day')}: {colour}."
    colours: list[Colour] = []
    reason = ""
    if colour == "unclear":
        reason = UNCLEAR
    elif not look.records.has("board_statuses"):
        reason = "The records hold no board_statuses."
    else:
        try:
            day = date.fromisoformat(look.text("day"))
        except ValueError:
            reason = "The day is no date."
        else:
            colours = look.records.colours(area, letter, day)
            reason = "" if colours else "No colour is recorded for that field and day."
    if reason:
        yield Verdict("colour", "not-assessable", seen, reason)
        return
    limit = look.at + look.records.tolerance("board_statuses")
    standing = [item for item in colours if item.declared_at and item.declared_at <= limit]
    then, last = (standing or colours)[-1 if standing else 0], colours[-1]
    yield Verdict("colour", _same(colour, then), seen, _declared(look, then), (then.ref,))
    if last is not then and last.colour != then.colour:
        told = f"changed later: {_declared(look, last)}"
        yield Verdict("later", "contradicts", seen, told, (last.ref,))


def _same(seen: str, recorded: Colour) -> Result:
    return "agrees" if seen == recorded.colour else "contradicts"


def _declared(look: Look, item: Colour) -> str:
    when = look.records.local(item.declared_at) if item.declared_at else "no time recorded"
    return f"{item.colour}, set {when}"


def see_hold_area(look: Look) -> Iterator[Verdict]:
    """Each lot in the hold area: was it on hold then?"""
    given = look.observation.values.get("lots")
    lots = [str(lot).strip() for lot in given] if isinstance(given, list | tuple) else []
    reason = look.outside()
    if not reason and not look.records.has("holds"):
        reason = "The records hold no holds."
    if reason:
        for lot in lots:
            yield Verdict(f"lots/{lot}", "not-assessable", f"Lot {lot} in the hold area.", reason)
        return
    delta, holds = look.records.tolerance("holds"), look.records.holds()
    for lot in lots:
        seen = f"Lot {lot} in the hold area."
        own = [hold for hold in holds if hold.lot_no == lot]
        then = [
            hold
            for hold in own
            if hold.placed_at <= look.at + delta
            and (hold.disposed_at is None or hold.disposed_at >= look.at - delta)
        ]
        told = "; ".join(
            f"hold {hold.hold_id} from {look.records.local(hold.placed_at)}"
            + (f" to {look.records.local(hold.disposed_at)}" if hold.disposed_at else "")
            for hold in then or own
        )
        rows = tuple(hold.hold_id for hold in then or own)
        if then:
            yield Verdict(f"lots/{lot}", "agrees", seen, told, rows)
        else:
            said = f"Not on hold then: {told}" if told else "No hold of this lot is recorded."
            yield Verdict(f"lots/{lot}", "contradicts", seen, said, rows)
