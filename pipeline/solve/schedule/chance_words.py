"""Rows of the finish chances and the same in words: chances and dates, no word of statistics."""

from dataclasses import dataclass
from datetime import date, timedelta

from pipeline.solve.schedule.chances import Chance
from pipeline.units import hours

CAMPAIGN, TASK, PERSON = "campaign", "task", "person"
TASK_WORDS = {
    "remove": "taking out old leaves",
    "cut_setup": "setting up the guillotine",
    "cut_lift": "cutting, each lift",
    "interleave_volume": "interleaving, each volume",
    "interleave_sheet": "interleaving, each sheet",
    "check": "checking the fore edge",
    "enclose": "putting into stock enclosures",
    "enclose_made_to_measure": "putting into enclosures made to measure",
    "fetch": "fetching",
    "return": "returning to the shelf",
}


@dataclass(frozen=True, kw_only=True)
class Subject:
    """What a row is about: all dated work (no name), a rate, or a person; its minutes; the day it is held to."""

    chance_of: str
    name: str | None
    minutes: float
    last_day: date
    chance: Chance


@dataclass(frozen=True)
class Teller:
    """Turns day numbers into dates from the campaign's first day on."""

    start: date
    tries: int

    def row(self, subject: Subject, place: int | None) -> dict[str, object]:
        """A row of work.finish_chances. `place` is that among the rates or the people."""
        chance = subject.chance
        return {
            "chance_of": subject.chance_of,
            "subject": subject.name,
            "decides_no": place,
            "tries_count": self.tries,
            "hours": hours(subject.minutes),
            "in_time_pct": chance.in_time_pct,
            "planned_date": self._date(chance.planned_day_no),
            "even_chance_date": self._date(chance.even_day_no),
            "nine_in_ten_date": self._date(chance.nine_day_no),
            "low_date": self._date(chance.low_day_no),
            "high_date": self._date(chance.high_day_no),
            "moved_days": chance.moved_days,
            "last_pct": chance.last_pct,
            "words": self.words(subject),
        }

    def words(self, subject: Subject) -> str:
        """What a row says, in a sentence or two."""
        chance = subject.chance
        if subject.chance_of == CAMPAIGN:
            return (
                f"{out_of_100(chance.in_time_pct)} that all dated work is done by {subject.last_day}, the last "
                f"day. It is done by {self._told(chance.even_day_no)} with an even chance, and by "
                f"{self._told(chance.nine_day_no)} with 9 chances in 10; with the planned minutes throughout, on "
                f"{self._told(chance.planned_day_no)}."
            )
        ends = (
            f"all work ends {self._told(chance.low_day_no)}; at high minutes {self._told(chance.high_day_no)}"
        )
        if subject.chance_of == TASK:
            name = TASK_WORDS[subject.name or ""]
            return f"{name[0].upper()}{name[1:]}: at its low minutes throughout, {ends}."
        last = chance.last_pct or 0.0
        return (
            f"{subject.name}: when all of their work takes the low minutes, {ends}. "
            f"{out_of_100(chance.in_time_pct)} to be through with it by {subject.last_day}; theirs is the last "
            f"work in {last:.0f} of 100 tries."
        )

    def _date(self, day_no: int | None) -> date | None:
        return None if day_no is None else self.start + timedelta(days=day_no)

    def _told(self, day_no: int | None) -> str:
        return "later than any day looked at" if day_no is None else str(self._date(day_no))


def out_of_100(pct: float) -> str:
    """`87 chances in 100`: 0 and 100 only where no try, or every try, was so."""
    shown = f"{pct:.0f}"
    if shown == "100" and pct < 100:
        shown = "Over 99"
    if shown == "0" and pct > 0:
        shown = "Less than 1"
    return f"{shown} {'chance' if shown.split()[-1] == '1' else 'chances'} in 100"
