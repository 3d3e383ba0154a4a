"""What a revision changed against the one before, and why."""

from typing import Any

import polars as pl

from pipeline.frames import Frames

Row = dict[str, Any]
NOTHING = "-"
_CAMPAIGN_WHYS = {
    "supplies budget left": "ordered since",
    "staff budget left": "worked since",
    "spares, per cent": "learned from the sheets spoiled",
    "finished": "what is left, planned anew from the work returned",
}
ORDER = ("campaign", "person", "absence", "rate", "paper", "stock", "volume")


def change_rows(frames: Frames) -> list[Row]:
    """Rows of work.changes: campaign and people first, volumes last. Empty for a first plan."""
    before = _facts(frames["work.past_facts"])
    if not before:
        return []
    after = _facts(frames["work.facts"])
    revision = frames["raw.run"]["revision"][0]
    whys = _Whys(frames)
    rows: list[Row] = []
    for key in sorted(before.keys() | after.keys(), key=lambda key: (ORDER.index(key[0]), *key)):
        was, is_now = before.get(key, NOTHING), after.get(key, NOTHING)
        if was != is_now:
            subject, subject_id, what = key
            rows.append(
                {
                    "change_no": len(rows) + 1,
                    "revision": revision,
                    "subject": subject,
                    "subject_id": subject_id,
                    "what": what,
                    "before": was,
                    "after": is_now,
                    "why": whys.of(subject, subject_id, what),
                }
            )
    return rows


def _facts(frame: pl.DataFrame) -> dict[tuple[str, str, str], str]:
    return {
        (row["subject"], row["subject_id"], row["what"]): row["after"] for row in frame.iter_rows(named=True)
    }


class _Whys:
    """Reasons by what a change is about."""

    def __init__(self, frames: Frames) -> None:
        self._learned = {
            (row["subject"], row["subject_id"]): row
            for row in frames["work.learned_rates"].filter(pl.col("is_used")).iter_rows(named=True)
        }
        self._finished = dict(frames["work.finished_volumes"].select("volume_id", "done_on").iter_rows())
        self._laid = dict(frames["work.laid_bulk"].select("volume_id", "laid_sheets_count").iter_rows())
        self._reasons = dict(frames["work.volume_plans"].select("volume_id", "reason").iter_rows())
        as_of = frames["raw.run"]["as_of"][0]
        self._counted = {
            row["supply_id"]
            for row in frames["work.past_stock"].iter_rows(named=True)
            if row["as_of"] == as_of
        }

    def of(self, subject: str, subject_id: str, what: str) -> str:
        """Why it changed, in words."""
        if subject == "volume":
            return self._volume(subject_id, what)
        found = self._learned.get(("thickness" if subject == "paper" else subject, subject_id))
        if found is not None:
            return (
                f"learned from {found['tasks_count']} returned {'volumes' if subject == 'paper' else 'tasks'}"
            )
        if subject == "stock":
            is_counted = subject_id in self._counted
            return "counted in the revised inventory" if is_counted else "ordered and used, by the returns"
        return _CAMPAIGN_WHYS.get(what, "changed in the inventory")

    def _volume(self, volume_id: str, what: str) -> str:
        if volume_id in self._finished:
            return (
                f"interleaved on {self._finished[volume_id]}, {self._laid.get(volume_id, 0)} sheets lie in it"
            )
        if volume_id in self._laid:
            return f"begun: {self._laid[volume_id]} sheets lie in it"
        return str(self._reasons.get(volume_id, "")) if what == "state" else "planned anew with what is left"
