"""What a policy key may be: its unit, its bounds, and which keys a lab may add."""

import math
import re

from pipeline.contracts.fields import MECHANISMS, SKILLS

MAY_BE_ADDED = re.compile(
    r"hazard\.\w+\.(" + "|".join(MECHANISMS) + r")_rate_per_century"
    r"|content\.\w+\.(vulnerability_frac|is_photograph|is_silver|is_ph_sensitive)"
    r"|enclosure\.\w+\.(inner_width_mm|inner_height_mm|inner_depth_mm|price|lead_days|max_slack_mm|max_depth_slack_mm)"
)
"""Keys a lab's file may add: hazards, content words, enclosures."""

UNITS = {
    "_per_century": "per century",
    "_frac": "share, 0 to 1",
    "_deg": "degrees",
    "_mm": "mm",
    "_um": "um",
    "_pct": "per cent",
    "_years": "years",
    "_grade": "grade, 1 to 3",
    "_gpa": "GPa",
    "_g_cm3": "g/cm3",
    "_gsm": "g/m2",
    "_mnm": "mN m",
    "_days": "days",
    "_hour": "hour of the day",
    "_benefit": "page-equivalents",
    "_sheets": "sheets",
    "_count": "count",
    "_minutes": "minutes",
    "_price": "campaign currency",
    "_ph": "pH",
    "_m2": "m2",
    "_hours": "hours",
    "_factor": "factor",
}
"""Unit told by the end of a key's last part."""

WHOLE_NAMES = {
    "factor": "factor",
    "weight": "page-equivalents per page",
    "minutes": "minutes",
    "minutes_low": "minutes",
    "minutes_high": "minutes",
    "price": "campaign currency",
    "skill": "word",
    "description": "word",
    "ph": "pH",
    "pack_quantity": "sheets or rolls a pack",
    "hours_per_week": "hours a week",
    "hourly_rate": "campaign currency an hour",
    "buffer": "word",
    "adsorbent": "word",
    "pat": "word",
    "sulphur_free": "word",
    "lignin_free": "word",
    "surface": "word",
    "grain_rule": "word",
    "paper_id": "word",
    "form": "word",
    "grain": "word",
}
"""Unit of a last part that is a whole name of its own."""


def unit_of(key: str) -> str:
    """Unit of a policy key. Raises ValueError when its name does not end in a unit."""
    last = key.rsplit(".", 1)[-1]
    if last in WHOLE_NAMES:
        return WHOLE_NAMES[last]
    if last.startswith("is_"):
        return "1 yes, 0 no"
    for ending, unit in UNITS.items():
        if last.endswith(ending):
            return unit
    raise ValueError(f"policy key {key} does not end in a unit")


def key_problem(key: str, value: float | str, *, is_word: bool) -> tuple[str, str] | None:
    """What is wrong with a key's value and what to do, or None."""
    if is_word:
        return _word_problem(key, value)
    if isinstance(value, str):
        return f"{key} is {value!r}, which is no number", f"write a number ({unit_of(key)})"
    if not math.isfinite(value) or value < 0:
        return f"{key} is {value:g}", "write a number that is 0 or more"
    most = _most(key)
    if most is not None and value > most:
        return f"{key} is {value:g}, above {most:g}", f"write a number from 0 to {most:g} ({unit_of(key)})"
    if key.endswith("_years") and value == 0:
        return f"{key} is 0", "write at least 1 year"
    return None


def _word_problem(key: str, value: float | str) -> tuple[str, str] | None:
    if not isinstance(value, str):
        return f"{key} is {value:g}, which is no word", "write a word in quotation marks"
    if key.endswith(".skill") and value not in SKILLS:
        return f"{key} is {value!r}", f"write one of {', '.join(SKILLS)}"
    return None


def _most(key: str) -> float | None:
    """Greatest value of a key, or None. A rate is at most 1: the dearest hazard loses a page a century."""
    last = key.rsplit(".", 1)[-1]
    if last.endswith("_frac") and not key.startswith("rate_spread."):
        return 1
    if last.endswith("_per_century") or last.startswith("is_"):
        return 1
    bounds = {"_grade": 3, "_pct": 100, "_deg": 90, "_ph": 14, "_hour": 23}
    return next((most for ending, most in bounds.items() if last.endswith(ending)), None)
