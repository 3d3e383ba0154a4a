"""One entry of the register of columns, and a short way to write each kind of entry."""

from dataclasses import dataclass
from typing import Literal

Kind = Literal["text", "int", "float", "bool", "date", "timestamp"]


@dataclass(frozen=True)
class Field:
    """Meaning, type and bounds of one column, wherever it stands."""

    name: str
    kind: Kind
    meaning: str
    at_least: float | None = None
    at_most: float | None = None
    one_of: tuple[str, ...] = ()


def text(name: str, meaning: str, *one_of: str) -> Field:
    """A column of text, of the words given if any."""
    return Field(name, "text", meaning, one_of=one_of)


def whole(name: str, meaning: str, at_least: float | None = 0, at_most: float | None = None) -> Field:
    """A column of whole numbers."""
    return Field(name, "int", meaning, at_least, at_most)


def number(name: str, meaning: str, at_least: float | None = 0, at_most: float | None = None) -> Field:
    """A column of numbers."""
    return Field(name, "float", meaning, at_least, at_most)


def flag(name: str, meaning: str) -> Field:
    """A column of yes and no."""
    return Field(name, "bool", meaning)


def day(name: str, meaning: str) -> Field:
    """A column of days."""
    return Field(name, "date", meaning)


def moment(name: str, meaning: str) -> Field:
    """A column of times."""
    return Field(name, "timestamp", meaning)
