"""The effective policy as the tables of schema policy that SQL joins to."""

import re

import polars as pl

from pipeline import units
from pipeline.contracts import TABLES
from pipeline.contracts.fields import JOINTS, MECHANISMS
from pipeline.frames import Frames
from pipeline.policy.load import Policy

JOINTS_WITH_LIMITS = tuple(joint for joint in JOINTS if joint != "split")


def policy_tables(policy: Policy) -> Frames:
    """Every table of schema policy."""
    numbers = {entry.key: float(entry.value) for entry in policy.entries if not isinstance(entry.value, str)}
    words = {entry.key: entry.value for entry in policy.entries if isinstance(entry.value, str)}
    return {
        "policy.entries": _entries(policy),
        "policy.figures": _entries(policy).filter(pl.col("value").is_not_null()).drop("text"),
        "policy.unit_factors": _unit_factors(),
        "policy.hazards": _hazards(numbers),
        "policy.severities": _graded(numbers, "severity", "factor", "policy.severities"),
        "policy.use_factors": _use_factors(numbers),
        "policy.significances": _graded(numbers, "significance", "weight", "policy.significances"),
        "policy.contents": _contents(numbers),
        "policy.efficacies": _efficacies(numbers),
        "policy.bindings": _bindings(numbers),
        "policy.rates": _rates(numbers, words),
        "policy.enclosures": _enclosures(numbers),
    }


def _entries(policy: Policy) -> pl.DataFrame:
    rows = [
        {
            "key": entry.key,
            "value": None if isinstance(entry.value, str) else entry.value,
            "text": entry.value if isinstance(entry.value, str) else None,
            "unit": entry.unit,
            "basis": entry.basis,
        }
        for entry in policy.entries
    ]
    return TABLES["policy.entries"].frame(rows)


def _unit_factors() -> pl.DataFrame:
    factors = {
        "um_per_mm": units.UM_PER_MM,
        "mm2_per_m2": units.MM2_PER_M2,
        "minutes_per_hour": float(units.MINUTES_PER_HOUR),
        "years_per_century": units.YEARS_PER_CENTURY,
        "standard_gravity_m_s2": units.STANDARD_GRAVITY_M_S2,
        "floor_guard": units.FLOOR_GUARD,
        "money_parts": float(units.MONEY_PARTS),
    }
    rows = [{"unit_factor": name, "factor": factor} for name, factor in factors.items()]
    return TABLES["policy.unit_factors"].frame(rows)


def _names(numbers: dict[str, float], head: str) -> list[str]:
    """Second parts of the keys under a head, in the order of the policy."""
    return list(dict.fromkeys(key.split(".")[1] for key in numbers if key.startswith(f"{head}.")))


def _hazards(numbers: dict[str, float]) -> pl.DataFrame:
    rows = []
    for order, hazard in enumerate(_names(numbers, "hazard"), start=1):
        for mechanism in MECHANISMS:
            rate = numbers.get(f"hazard.{hazard}.{mechanism}_rate_per_century")
            if rate is not None:
                rows.append(
                    {
                        "hazard": hazard,
                        "hazard_order": order,
                        "mechanism": mechanism,
                        "loss_rate_per_century": rate,
                    }
                )
    return TABLES["policy.hazards"].frame(rows)


def _graded(numbers: dict[str, float], head: str, last: str, table: str) -> pl.DataFrame:
    grade_column, value_column = TABLES[table].column_names
    rows = [
        {grade_column: int(grade), value_column: numbers[f"{head}.{grade}.{last}"]}
        for grade in _names(numbers, head)
    ]
    return TABLES[table].frame(rows)


def _use_factors(numbers: dict[str, float]) -> pl.DataFrame:
    rows = []
    for use in _names(numbers, "use"):
        for mechanism in MECHANISMS:
            worsened = numbers.get(f"mechanism.{mechanism}.is_worsened_by_handling", 0)
            factor = numbers[f"use.{use}.factor"] if worsened else 1.0
            rows.append({"use": use, "mechanism": mechanism, "use_factor": factor})
    return TABLES["policy.use_factors"].frame(rows)


def _contents(numbers: dict[str, float]) -> pl.DataFrame:
    flags = ("is_photograph", "is_silver", "is_ph_sensitive")
    rows = []
    for word in _names(numbers, "content"):
        row: dict[str, object] = {
            "content_word": word,
            "vulnerability_frac": numbers[f"content.{word}.vulnerability_frac"],
            "is_known_content": word not in ("unknown", "blank"),
        }
        row |= {flag: bool(numbers.get(f"content.{word}.{flag}", 0)) for flag in flags}
        rows.append(row)
    return TABLES["policy.contents"].frame(rows)


def _efficacies(numbers: dict[str, float]) -> pl.DataFrame:
    rows = []
    for key, value in numbers.items():
        match = re.fullmatch(r"efficacy\.(\w+)\.(\w+)_frac", key)
        if match:
            rows.append({"mechanism": match[1], "paper_property": match[2], "efficacy_frac": value})
    return TABLES["policy.efficacies"].frame(rows)


def _bindings(numbers: dict[str, float]) -> pl.DataFrame:
    rows = [
        {
            "binding": binding,
            "joints": joints,
            "wedge_limit_deg": numbers[f"binding.{binding}.{joints}_wedge_limit_deg"],
            "growth_frac": numbers[f"binding.{binding}.growth_frac"],
        }
        for binding in _names(numbers, "binding")
        for joints in JOINTS_WITH_LIMITS
    ]
    return TABLES["policy.bindings"].frame(rows)


def _rates(numbers: dict[str, float], words: dict[str, str]) -> pl.DataFrame:
    low, high = numbers["rate_spread.low_frac"], numbers["rate_spread.high_frac"]
    rows = []
    for task in _names(numbers, "rate"):
        minutes = numbers[f"rate.{task}.minutes"]
        rows.append(
            {
                "task": task,
                "minutes": minutes,
                "minutes_low": numbers.get(f"rate.{task}.minutes_low", minutes * low),
                "minutes_high": numbers.get(f"rate.{task}.minutes_high", minutes * high),
                "skill": words[f"rate.{task}.skill"],
            }
        )
    return TABLES["policy.rates"].frame(rows)


def _enclosures(numbers: dict[str, float]) -> pl.DataFrame:
    rows = []
    for name in _names(numbers, "enclosure"):
        head = f"enclosure.{name}"
        rows.append(
            {
                "enclosure_id": name,
                "inner_width_mm": numbers[f"{head}.inner_width_mm"],
                "inner_height_mm": numbers[f"{head}.inner_height_mm"],
                "inner_depth_mm": numbers[f"{head}.inner_depth_mm"],
                "price": numbers[f"{head}.price"],
                "on_hand": 0.0,
                "lead_days": int(numbers.get(f"{head}.lead_days", 0)),
                "max_slack_mm": numbers.get(f"{head}.max_slack_mm", numbers["rehousing.max_slack_mm"]),
                "max_depth_slack_mm": numbers.get(
                    f"{head}.max_depth_slack_mm", numbers["rehousing.max_depth_slack_mm"]
                ),
            }
        )
    return TABLES["policy.enclosures"].frame(rows)
