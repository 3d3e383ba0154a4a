"""What a sheet of the inventory is, and what one of its columns may hold."""

from dataclasses import dataclass
from typing import Literal

from pipeline.contracts.fields import FIELDS, Field

InputKind = Literal[
    "id", "text", "length", "thickness", "number", "whole", "yes_no", "word", "contents", "hazards",
    "openings", "date", "days",
]  # fmt: skip
InputValue = str | float | bool | None


@dataclass(frozen=True, kw_only=True)
class InputColumn:
    """One column of a sheet (or one setting of Campaign). `most` and `default_key` name policy keys."""

    name: str
    kind: InputKind
    required: bool = False
    default: InputValue = None
    default_key: str = ""
    is_positive: bool = False
    at_most: float | None = None
    most: str = ""
    least: str = ""
    words: tuple[str, ...] = ()
    meaning: str = ""

    @property
    def clean_name(self) -> str:
        """Name of the column in the clean tables: lengths end in _mm."""
        return f"{self.name}_mm" if self.kind == "length" else self.name

    @property
    def field(self) -> Field | None:
        """The register's entry, or None where the cleaned form has another shape."""
        return FIELDS.get(self.clean_name)

    @property
    def allowed(self) -> tuple[str, ...]:
        """Words a coded column may hold; none for other kinds."""
        if self.kind != "word":
            return ()
        return self.words or (self.field.one_of if self.field else ())

    @property
    def description(self) -> str:
        """What the column means, in words."""
        return self.meaning or (self.field.meaning if self.field else self.name)


@dataclass(frozen=True, kw_only=True)
class InputSheet:
    """One sheet: its name, what a row is, its columns. `when_absent` says what stands in for it.

    `starter` names the policy's starter set that stands in for a sheet of supplies or staff, where the sheets it
    belongs to (`STARTER_GROUPS`) are absent too.
    """

    name: str
    row_is: str
    columns: tuple[InputColumn, ...]
    required: bool = False
    when_absent: str = ""
    starter: str = ""
    key: str = ""

    def column(self, name: str) -> InputColumn:
        """A column by its name. Raises KeyError when the sheet has none such."""
        for column in self.columns:
            if column.name == name:
                return column
        raise KeyError(name)
