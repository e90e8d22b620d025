"""The plan, the daily board and what follows from a red square: schedule, colours, actions.

The colours follow the plant's own rules from the figures known when the board is filled in. A few
reds are spread over every letter, each with its concern and its action. This module knows no lot.
"""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, time, timedelta
from decimal import Decimal

from witnessmark.practice.floor import AREAS, MACHINES, RUNNING_AREAS
from witnessmark.practice.production import Output
from witnessmark.practice.shift_calendar import FIRST_DAY, SATURDAY, local_day, minute
from witnessmark.practice.shop import Row, Shop, between
from witnessmark.practice.staffing import LONG_AGO

DECLARED = time(8, 15)
SAFETY, QUALITY, DELIVERY = "S", "Q", "D"
LETTERS = (SAFETY, QUALITY, DELIVERY)
RULES = {
    SAFETY: ("safety concerns", "<=", Decimal(0)),
    QUALITY: ("good share", ">=", Decimal("0.970")),
    DELIVERY: ("attainment", ">=", Decimal("0.950")),
}
MEASURES = (
    ("safety concerns", "safety concerns raised", None),
    ("good share", "good pieces", "made pieces"),
    ("attainment", "attained pieces", "planned pieces"),
)
REASONS = {
    SAFETY: ("oil on the walkway", "cover left open", "chip cut at the bin", "blocked exit",
             "ear protection missing"),
    QUALITY: ("bar lot with seams", "insert chipped", "coolant too lean", "collet worn",
              "wash basket mixed"),
    DELIVERY: ("repair on two machines", "bar stock late", "crane out of order",
               "set-up took twice its time", "network down"),
}  # fmt: skip
REDS_EVERY_WEEKS = 3
PLANNED, PLANNED_TOO_MUCH = (0.67, 0.71), (1.08, 1.12)
"""The frozen plan as a share of what is made: firm orders only, the rest is made to stock."""


@dataclass(frozen=True)
class RedDays:
    """The days on which a letter of an area goes red, with the reason given."""

    reasons: dict[tuple[str, str, date], str]

    def on(self, letter: str) -> set[tuple[str, date]]:
        """Area and day of every red of a letter."""
        return {(area, day) for area, one, day in self.reasons if one == letter}


def draw_red_days(shop: Shop) -> RedDays:
    """One red day per letter and area in every three weeks, each for another reason.

    Weeks with overtime are left out where that can be: they have plan enough.
    """
    reasons: dict[tuple[str, str, date], str] = {}
    for area in AREAS:
        peaks = {shift.week for shift in shop.calendar.shifts[area] if shift.overtime}
        for letter in LETTERS:
            rng = shop.rng("reds", area, letter)
            for number, week in enumerate(range(0, shop.calendar.weeks - 1, REDS_EVERY_WEEKS)):
                weeks = [w for w in (week, week + 1) if w not in peaks] or [week]
                days = 7 * weeks[between(rng, 0, len(weeks) - 1)] + between(rng, 0, 3)
                words = REASONS[letter]
                day = FIRST_DAY + timedelta(days=days)
                reasons[area, letter, day] = words[number % len(words)]
    return RedDays(reasons)


def write_rules(shop: Shop) -> None:
    """Writes the board's letters with their rules and what they measure."""
    for measure, numerator, denominator in MEASURES:
        shop.add("board_measures", measure=measure, numerator=numerator, denominator=denominator,
                 cut_off="08:15", doc_ref="WI-020 rev 3")  # fmt: skip
    for area in AREAS:
        for letter, (measure, comparator, threshold) in RULES.items():
            shop.add("board_rules", area=area, letter=letter, valid_from=LONG_AGO, valid_to=None,
                     measure=measure, comparator=comparator, threshold=threshold,
                     amber_threshold=None, unit=None, set_by_role="plant manager",
                     doc_ref="WI-020 rev 3")  # fmt: skip


def write_schedule(shop: Shop, made: list[Output], reds: RedDays) -> None:
    """Writes the frozen plan, a day of a part on a machine per line; red days fall short of it."""
    short = reds.on(DELIVERY)
    pieces: dict[tuple[str, date, str], int] = defaultdict(int)
    areas = {machine.id: machine.area for machine in MACHINES}
    for output in made:
        pieces[output.machine, output.shift.day, output.part] += output.made
    rng = shop.rng("schedule")
    for (machine, day, part), number in sorted(pieces.items()):
        fell_short = (areas[machine], day) in short
        share = rng.uniform(*(PLANNED_TOO_MUCH if fell_short else PLANNED))
        monday = day - timedelta(days=day.weekday())
        line = {
            "order_no": f"{part}-{machine}-{day:%m%d}",
            "machine_id": machine,
            "part_no": part,
            "start_at": minute(day, time(5, 30)),
            "end_at": minute(day, time(23, 30)),
        }
        qty = max(1, int(number * share))
        drafts = 1 if rng.random() < 0.2 else 0  # a fifth had a draft before
        for version in range(1, drafts + 2):
            frozen = version == drafts + 1
            friday = monday - timedelta(days=3 if frozen else 10)
            shop.add("schedule_lines", **line, version=version, frozen=frozen,
                     version_at=minute(friday, time(13)),
                     qty=qty if frozen else int(qty * 1.2) + 10)  # fmt: skip


def declared_on(day: date) -> date:
    """The working day on whose morning a production day is put on the board."""
    following = day + timedelta(days=1)
    while following.weekday() >= SATURDAY:
        following += timedelta(days=1)
    return following


class Board:
    """Fills in the board and follows up its reds.

    Args:
        shop: Receives statuses, meetings, concerns and actions.
        reds: The reason of every red that is expected.
    """

    def __init__(self, shop: Shop, reds: RedDays) -> None:
        self.shop, self.reds = shop, reds
        self._areas = {machine.id: machine.area for machine in MACHINES}

    def fill(self) -> None:
        """Raises the safety concerns, colours every production day, opens actions for reds."""
        for area, letter, day in sorted(self.reasons_of(SAFETY)):
            self._raise_concern(area, letter, day, minute(day, time(10, 20)))
        figures = self._figures()
        for area in AREAS:
            days = sorted({day for one, day in figures if one == area})
            for day in days:
                if minute(declared_on(day), DECLARED) < self.shop.calendar.end:
                    self._fill_day(area, day, figures[area, day])
        self._meet()

    def reasons_of(self, letter: str) -> list[tuple[str, str, date]]:
        """Keys of the reds of a letter."""
        return [key for key in self.reds.reasons if key[1] == letter]

    def _figures(self) -> dict[tuple[str, date], dict[str, Decimal]]:
        """What each letter measures, per area and production day with pieces."""
        good: dict[tuple[str, date], int] = defaultdict(int)
        made: dict[tuple[str, date, str], int] = defaultdict(int)
        planned: dict[tuple[str, date, str], int] = defaultdict(int)
        for row in self.shop.tables["outputs"]:
            area, day = self._areas[row["machine_id"]], row["production_date"]
            good[area, day] += row["good"]
            made[area, day, row["part_no"]] += row["good"] + row["scrap"]
        for row in _in_force(self.shop.tables["schedule_lines"]):
            key = (self._areas[row["machine_id"]], local_day(row["start_at"]), row["part_no"])
            planned[key] += row["qty"]
        return {key: _figures_of(key, good[key], made, planned, self._safety(key)) for key in good}

    def _safety(self, key: tuple[str, date]) -> int:
        found = self.shop.find("concerns", area=key[0], production_date=key[1], kind="safety")
        return len(found)

    def _fill_day(self, area: str, day: date, figures: dict[str, Decimal]) -> None:
        declared = minute(declared_on(day), DECLARED)
        for letter in LETTERS:
            status = add_status(self.shop, (area, letter, day), figures[letter], declared)
            if status["colour"] == "red":
                reason = self.reds.reasons.get((area, letter, day), "not given")
                status["reason"] = reason
                concerns = self.shop.find("concerns", area=area, letter=letter, production_date=day)
                concern = concerns[0] if concerns else self._raise_concern(
                    area, letter, day, declared + 40)  # fmt: skip
                status["action_ref"] = add_action(self.shop, concern)["action_id"]

    def _raise_concern(self, area: str, letter: str, day: date, at: int) -> Row:
        reason = self.reds.reasons.get((area, letter, day), "not given")
        names = {SAFETY: "safety", QUALITY: "quality", DELIVERY: "delivery"}
        has_runs = area in RUNNING_AREAS
        return self.shop.add(
            "concerns",
            concern_id=self.shop.new_id("CN"),
            area=area,
            machine_id=f"{area}-01",
            part_no=None if has_runs else "1119",
            raised_at=at,
            kind=names[letter],
            letter=letter,
            production_date=day,
            text=reason,
            cause=reason,
        )

    def _meet(self) -> None:
        for day in self.shop.calendar.days():
            if day.weekday() < SATURDAY:
                for area in AREAS:
                    self.shop.add("board_meetings", area=area, held_at=minute(day, time(8, 30)),
                                  led_by_role="leader", deputy=False,
                                  letters_reviewed=list(LETTERS))  # fmt: skip


def _in_force(lines: list[Row]) -> list[Row]:
    """The frozen version of each line that was in force when its day was put on the board."""
    versions: dict[tuple[str, str], list[Row]] = defaultdict(list)
    for row in sorted(lines, key=lambda line: int(line["version"])):
        if row["frozen"]:
            versions[row["order_no"], row["machine_id"]].append(row)
    found = []
    for rows in versions.values():
        for row, later in zip(rows, [*rows[1:], None], strict=True):
            declared = minute(declared_on(local_day(row["start_at"])), DECLARED)
            if row["version_at"] <= declared and (not later or declared < later["version_at"]):
                found.append(row)
    return found


def _figures_of(
    key: tuple[str, date],
    good: int,
    made: dict[tuple[str, date, str], int],
    planned: dict[tuple[str, date, str], int],
    safety: int,
) -> dict[str, Decimal]:
    total = sum(qty for (area, day, _), qty in made.items() if (area, day) == key)
    plan = {part: qty for (area, day, part), qty in planned.items() if (area, day) == key}
    attained = sum(min(made[(*key, part)], qty) for part, qty in plan.items())
    return {
        SAFETY: Decimal(safety),
        QUALITY: _share(good, total),
        DELIVERY: _share(attained, sum(plan.values())),
    }


def _share(part: int, whole: int) -> Decimal:
    return (Decimal(part) / Decimal(whole)).quantize(Decimal("0.0001"))


def colour_of(letter: str, actual: Decimal) -> str:
    """The colour of a figure by the plant's own rule."""
    _, comparator, threshold = RULES[letter]
    kept = actual <= threshold if comparator == "<=" else actual >= threshold
    return "green" if kept else "red"


def add_status(shop: Shop, key: tuple[str, str, date], actual: Decimal, declared: int) -> Row:
    """Puts one square on the board, in its colour by the rule."""
    area, letter, day = key
    return shop.add(
        "board_statuses",
        area=area,
        letter=letter,
        production_date=day,
        shift=None,
        version=None,
        colour=colour_of(letter, actual),
        target=RULES[letter][2],
        actual=actual,
        reason=None,
        declared_at=declared,
        by_role="leader",
        action_ref=None,
        no_action_reason=None,
    )


def add_action(shop: Shop, concern: Row) -> Row:
    """Opens a corrective action on a concern; it is closed only after its effect was seen."""
    rng = shop.rng("actions", concern["concern_id"])
    opened = concern["raised_at"] + between(rng, 20, 90)
    day = 24 * 60
    # Safety is verified before the letter's next red day can fall into the time looked at.
    quick = concern["letter"] == SAFETY
    implemented = opened + day * (between(rng, 2, 3) if quick else between(rng, 6, 11))
    verified = implemented + day * (between(rng, 5, 6) if quick else between(rng, 16, 22))
    closed = verified + between(rng, 30, 600)

    def known(at: int) -> int | None:
        return at if at < shop.calendar.end else None

    is_verified = known(verified) is not None
    return shop.add(
        "actions",
        action_id=shop.new_id("A"),
        concern_id=concern["concern_id"],
        kind="corrective",
        text=f"remove the cause: {concern['text']}",
        owner_role="maintenance" if concern["letter"] == SAFETY else "process engineer",
        opened_at=opened,
        due_on=concern["production_date"] + timedelta(days=14),
        implemented_at=known(implemented),
        closed_at=known(closed),
        verified_at=known(verified),
        verify_method="figures of the time after" if is_verified else None,
        verify_evidence=f"sheet {concern['concern_id']}" if is_verified else None,
    )


def write_overtime(shop: Shop) -> None:
    """Books the hours of every overtime shift of an area."""
    heads = {"T1": 3, "T2": 3, "D1": 2, "W1": 1, "F1": 1}
    for area in AREAS:
        hours: dict[date, int] = defaultdict(int)
        for shift in shop.calendar.shifts[area]:
            if shift.overtime:
                hours[shift.day] += heads[area] * 8
        for day, worked in hours.items():
            shop.add("overtime_entries", area_or_person=area, worked_on=day, hours=worked,
                     reason="order peak", direct=True)  # fmt: skip
