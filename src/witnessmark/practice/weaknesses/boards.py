"""Stories on the daily board: green against figures, reds without end, letters without rule."""

from datetime import date

from witnessmark.practice.answer_key import Weakness, refs
from witnessmark.practice.board import DELIVERY, QUALITY, SAFETY
from witnessmark.practice.model import Plant
from witnessmark.practice.shift_calendar import DAYLIGHT_SAVING_WEEK, SATURDAY
from witnessmark.practice.shop import Row
from witnessmark.practice.weaknesses.people import WeekendOvertime
from witnessmark.practice.weaknesses.story import Story, day_of, ref, utc

STANDING = "weekend crew short"


def statuses(plant: Plant, area: str, letter: str, colour: str) -> list[Row]:
    """Squares of a letter in a colour, in order of time."""
    found = plant.shop.find("board_statuses", area=area, letter=letter, colour=colour)
    return sorted(found, key=lambda row: row["production_date"])


def forget(plant: Plant, status: Row) -> None:
    """Takes away what a red square had led to."""
    for action in plant.shop.find("actions", action_id=status["action_ref"]):
        concerns = plant.shop.find("concerns", concern_id=action["concern_id"])
        plant.shop.discard("concerns", concerns)
        plant.shop.discard("actions", [action])
    status["action_ref"] = None


class GreenAgainstFigures(Story):
    """Two days of scrap in T2 stand green on the board, with a figure that no record gives."""

    def __init__(self) -> None:
        self._days: list[date] = []

    def on_board(self, plant: Plant) -> None:
        """Colours the second and the third red day green."""
        for status in statuses(plant, "T2", QUALITY, "red")[1:3]:
            forget(plant, status)
            status.update(colour="green", actual=status["target"], reason=None)
            self._days.append(status["production_date"])

    def told(self, plant: Plant) -> Weakness:
        """The two squares."""
        del plant
        return Weakness(
            "green against the figures",
            "Quality of T2 is green on two days on which the records give a share well below the "
            "plant's own threshold.",
            refs([("status-disagreement", ref("T2", QUALITY, day)) for day in self._days]),
        )


class RedWithoutAction(Story):
    """Two delivery reds of D1 led to nothing."""

    def __init__(self) -> None:
        self._days: list[date] = []

    def on_board(self, plant: Plant) -> None:
        """Takes away concern and action of two reds."""
        for status in statuses(plant, "D1", DELIVERY, "red")[:2]:
            forget(plant, status)
            self._days.append(status["production_date"])

    def told(self, plant: Plant) -> Weakness:
        """The two squares."""
        del plant
        return Weakness(
            "red without action",
            "Delivery of D1 was red twice without a concern or an action.",
            refs([("red-without-action", ref("D1", DELIVERY, day)) for day in self._days]),
        )


class StandingExplanation(Story):
    """Delivery of T1 is red on Saturdays, always for one reason, and nothing is done about it."""

    def at_machines(self, plant: Plant) -> None:
        """Plans more than a Saturday crew can make."""
        for week in (*WeekendOvertime.WEEKS, DAYLIGHT_SAVING_WEEK):
            plant.reds.reasons["T1", DELIVERY, day_of(week, SATURDAY)] = STANDING

    def on_board(self, plant: Plant) -> None:
        """Writes why there is no action."""
        for status in statuses(plant, "T1", DELIVERY, "red"):
            if status["reason"] == STANDING:
                forget(plant, status)
                status["no_action_reason"] = "known, weekend"

    def told(self, plant: Plant) -> Weakness:
        """The letter with its reason."""
        del plant
        return Weakness(
            "the weekend explains itself",
            f'Delivery of T1 is red every Saturday it works, with the reason "{STANDING}" and no '
            "action on it.",
            refs([("standing-explanation", ref("T1", DELIVERY, STANDING, "weekend"))]),
        )


class LettersThatSayNothing(Story):
    """One letter was green on every day of thirteen weeks; another has no rule."""

    def on_board(self, plant: Plant) -> None:
        """Takes the concerns from safety in W1, and the rule from safety in F1."""
        for status in statuses(plant, "W1", SAFETY, "red"):
            forget(plant, status)
            status.update(colour="green", actual=0, reason=None)
        plant.shop.discard("board_rules", plant.shop.find("board_rules", area="F1", letter=SAFETY))

    def told(self, plant: Plant) -> Weakness:
        """The two letters."""
        del plant
        return Weakness(
            "letters without information",
            "Safety of W1 was green every day; safety of F1 has no written threshold.",
            refs(
                [
                    ("status-rule-drift", ref("W1", SAFETY, "2026-Q4")),
                    ("status-rule-drift", ref("F1", SAFETY, "2026-Q3")),
                    ("status-rule-drift", ref("F1", SAFETY, "2026-Q4")),
                ]
            ),
        )


class ClosedUnverified(Story):
    """Actions are closed without evidence, on the day they were put in place, or before any run."""

    def __init__(self) -> None:
        self._actions: list[str] = []

    def on_board(self, plant: Plant) -> None:
        """Changes the first closed action of three letters."""
        day = 24 * 60
        without, same_day, too_soon = (
            self._closed(plant, area, letter)
            for area, letter in (("T1", QUALITY), ("T2", SAFETY), ("D1", QUALITY))
        )
        without.update(verify_evidence=None, verify_method=None)
        same_day["verified_at"] = same_day["implemented_at"] + 120
        same_day["closed_at"] = same_day["verified_at"] + 30
        part, start = self._part_at_rest(plant, too_soon["implemented_at"])
        concern = plant.shop.find("concerns", concern_id=too_soon["concern_id"])[0]
        concern.update(part_no=part, machine_id=None)
        too_soon.update(verified_at=start + 2 * day, closed_at=start + 2 * day + 60)
        self._actions = [row["action_id"] for row in (without, same_day, too_soon)]

    def _closed(self, plant: Plant, area: str, letter: str) -> Row:
        concerns = {
            row["concern_id"] for row in plant.shop.find("concerns", area=area, letter=letter)
        }
        return next(
            row for row in plant.shop.tables["actions"]
            if row["concern_id"] in concerns and row["closed_at"] is not None
        )  # fmt: skip

    def _part_at_rest(self, plant: Plant, implemented: int) -> tuple[str, int]:
        """A part of which nothing ran for three days from then on; a made-up one where all ran."""
        until = implemented + 3 * 24 * 60
        for part in sorted({row["part_no"] for row in plant.shop.tables["parts"]}):
            runs = plant.shop.find("runs", part_no=part)
            ran = any(
                row["start_at"] < until and (row["end_at"] or 1 << 40) > implemented for row in runs
            )
            if not ran:
                return part, implemented
        plant.shop.add("parts", part_no="1990", description="sample ring", mass_g=15,
                       safety_class=None)  # fmt: skip
        return "1990", implemented

    def told(self, plant: Plant) -> Weakness:
        """The three actions."""
        del plant
        return Weakness(
            "actions closed before anybody could see an effect",
            "Of three closed actions one has no evidence, one was verified on the day it was put "
            "in place, one before the part ran again.",
            refs([("closed-unverified", action) for action in self._actions]),
        )


class HandoverOneSided(Story):
    """Some changes of shift have no handover, only one side, or a gap between the two."""

    NEAR_MIN = 30

    def __init__(self) -> None:
        self._changes: list[tuple[str, int]] = []

    def on_board(self, plant: Plant) -> None:
        """One is missing, two have nobody incoming, at one the outgoing leader had left."""
        rows = sorted(plant.shop.find("handovers", area="D1"), key=lambda row: row["change_at"])
        missing, *one_sided = rows[20], rows[33], rows[47]
        plant.shop.discard("handovers", [missing])
        for row in one_sided:
            row["incoming"] = None
        early = sorted(plant.shop.find("handovers", area="W1"), key=lambda r: r["change_at"])[18]
        for stay in plant.shop.find("attendances", person_key=early["outgoing"]):
            if abs(stay["out_at"] - early["change_at"]) < self.NEAR_MIN:
                stay["out_at"] = early["change_at"] - 24
        self._changes = [(row["area"], row["change_at"]) for row in (missing, *one_sided, early)]
        self._changes.append(("F1", early["change_at"]))

    def told(self, plant: Plant) -> Weakness:
        """The changes; one leader has both finishing areas."""
        del plant
        return Weakness(
            "handover with one side",
            "In D1 one handover is missing and two have nobody incoming; in W1 and F1 the "
            "leader had left before the next one came.",
            refs([("handover-one-sided", ref(area, utc(at))) for area, at in self._changes]),
        )
