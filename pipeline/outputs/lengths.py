"""Lengths as the lab writes them: numbers for cells, text for forms and drawings."""

from dataclasses import dataclass

from pipeline import units

LENGTH_DECIMALS = {"mm": 1, "cm": 2, "in": 2}
THICKNESS_DECIMALS = {"mm": 1, "cm": 2, "in": 3}
INCH_FRACTION_FORMAT = "# ??/32"


@dataclass(frozen=True)
class Lengths:
    """How lengths are shown in one unit: mm, cm or in."""

    unit: str

    def value(self, length_mm: float | None) -> float | None:
        """A length in the lab's unit, for a cell whose heading names the unit."""
        return None if length_mm is None else units.from_mm(length_mm, self.unit)

    def text(self, length_mm: float) -> str:
        """A length with its unit: `287.5 mm`, `28.75 cm`, `11 5/16 in`."""
        return units.inch_text(length_mm) if self.unit == "in" else f"{self.bare(length_mm)} {self.unit}"

    def bare(self, length_mm: float) -> str:
        """A length without its unit: `287.5`, `28.75`, `11 5/16`."""
        if self.unit == "in":
            return units.inch_text(length_mm).removesuffix(" in")
        shown = f"{units.from_mm(length_mm, self.unit):.{LENGTH_DECIMALS[self.unit]}f}"
        return shown.rstrip("0").rstrip(".") if "." in shown else shown

    def pair(self, first_mm: float, second_mm: float) -> str:
        """Two lengths as a size: `212.5 × 297 mm`."""
        return f"{self.bare(first_mm)} × {self.text(second_mm)}"

    def thickness(self, thickness_mm: float) -> str:
        """A thickness with its unit; inches as decimals, since 1/32 in is coarse for a fore edge."""
        shown = units.from_mm(thickness_mm, self.unit)
        return f"{shown:.{THICKNESS_DECIMALS[self.unit]}f} {self.unit}"

    @property
    def number_format(self) -> str:
        """Number format of a cell with a length."""
        return INCH_FRACTION_FORMAT if self.unit == "in" else "0.0" if self.unit == "mm" else "0.00"

    @property
    def thickness_format(self) -> str:
        """Number format of a cell with a thickness."""
        return "0." + "0" * THICKNESS_DECIMALS[self.unit]
