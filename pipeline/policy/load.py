"""The policy: the shipped figures with the lab's own laid over them, checked, as tables of schema policy.

A policy file is TOML. Each key holds a number or a word, or `{ value = ..., basis = "..." }`. The last part of a key
ends in its unit. A lab's file names only what it changes; it may add hazards, content words and enclosures.
"""

import difflib
import hashlib
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from importlib.resources import files
from pathlib import Path
from typing import NamedTuple

from pipeline.errors import FileProblemError, Finding, InventoryRefusedError
from pipeline.policy.keys import MAY_BE_ADDED, key_problem, unit_of

LAB_BASIS = "the lab's own figure"
ENCLOSURE_PARTS = ("inner_width_mm", "inner_height_mm", "inner_depth_mm", "price")


class Fault(NamedTuple):
    """What is wrong with one key of the lab's file."""

    key: str
    code: str
    message: str
    action: str


@dataclass(frozen=True)
class Entry:
    """One policy key: its value (a number or a word) and where the figure comes from."""

    key: str
    value: float | str
    basis: str

    @property
    def unit(self) -> str:
        """Unit of the value, told by the end of the key."""
        return unit_of(self.key)


@dataclass(frozen=True)
class Policy:
    """The effective policy, in the order of the shipped file."""

    entries: tuple[Entry, ...]

    def text(self) -> str:
        """The policy as a TOML file that loads back to the same policy."""
        lines = ["# The policy this plan was made with: shipped figures with the lab's own laid over them."]
        section = ""
        for entry in self.entries:
            head, _, last = entry.key.rpartition(".")
            if head != section:
                lines += ["", f"[{head}]"]
                section = head
            value = _toml_text(entry.value) if isinstance(entry.value, str) else f"{entry.value:.15g}"
            lines.append(f"{last} = {{ value = {value}, basis = {_toml_text(entry.basis)} }}")
        return "\n".join(lines) + "\n"

    def sha256(self) -> str:
        """Hash of the effective policy."""
        return hashlib.sha256(self.text().encode()).hexdigest()

    def number(self, key: str) -> float:
        """A figure of the policy. Raises KeyError when the key is unknown or holds a word."""
        for entry in self.entries:
            if entry.key == key and not isinstance(entry.value, str):
                return float(entry.value)
        raise KeyError(key)


def load_policy(lab_file: Path | None = None) -> Policy:
    """The effective policy. Raises InventoryRefusedError with a finding for every faulty key of the lab's file."""
    shipped = {entry.key: entry for entry in _entries(_parse(_shipped_text(), "default.toml"), basis="")}
    if lab_file is None:
        return Policy(tuple(shipped.values()))
    text = _read(lab_file)
    own = list(_entries(_parse(text, lab_file.name), basis=LAB_BASIS))
    faults = [fault for entry in own if (fault := _fault(entry, shipped)) is not None]
    merged = shipped | {entry.key: entry for entry in own}
    ordered = sorted(merged.values(), key=lambda entry: _place(entry.key, shipped))
    faults = faults or list(_gaps(ordered))
    if faults:
        raise InventoryRefusedError([_finding(lab_file.name, text, fault) for fault in faults])
    return Policy(tuple(ordered))


def with_figures(policy: Policy, figures: Mapping[str, float], *, source: str) -> Policy:
    """The policy with some figures changed; `source` says where they come from, in basis and findings.

    Raises InventoryRefusedError with a finding for every figure that may not be so.
    """
    known = {entry.key: entry for entry in policy.entries}
    own = [replace(known[key], value=value, basis=source) for key, value in figures.items()]
    faults = [fault for entry in own if (fault := _fault(entry, known)) is not None]
    entries = tuple((known | {entry.key: entry for entry in own}).values())
    faults = faults or list(_gaps(list(entries)))
    if faults:
        raise InventoryRefusedError([_finding(source, "", fault) for fault in faults])
    return Policy(entries)


def _shipped_text() -> str:
    return (files("pipeline.policy") / "default.toml").read_text(encoding="utf-8")


def _read(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise FileProblemError(f"the policy file {path} could not be read: {error}") from error


def _parse(text: str, name: str) -> dict[str, object]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        finding = Finding(
            code="policy_not_toml",
            level="error",
            sheet=name,
            message=f"this is not a policy file: {error}",
            action="mend the line, or start again from the policy.toml of an earlier plan",
        )
        raise InventoryRefusedError([finding]) from error


def _entries(tree: dict[str, object], basis: str, prefix: str = "") -> Iterator[Entry]:
    for name, node in tree.items():
        key = f"{prefix}{name}"
        if isinstance(node, dict) and "value" not in node:
            yield from _entries(node, basis, f"{key}.")
            continue
        value = node["value"] if isinstance(node, dict) else node
        own_basis = node.get("basis", basis) if isinstance(node, dict) else basis
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            value = str(value)
        yield Entry(key, value if isinstance(value, str) else float(value), str(own_basis))


def _fault(entry: Entry, shipped: dict[str, Entry]) -> Fault | None:
    if entry.key not in shipped and not MAY_BE_ADDED.fullmatch(entry.key):
        near = difflib.get_close_matches(entry.key, shipped, n=1, cutoff=0.5)
        hint = f"did you mean {near[0]}?" if near else "see the reference of policy keys"
        return Fault(entry.key, "policy_unknown_key", f"the policy has no key {entry.key}", hint)
    known = shipped.get(entry.key)
    is_word = isinstance(known.value, str) if known else entry.key.endswith(("skill", "description"))
    problem = key_problem(entry.key, entry.value, is_word=is_word)
    return Fault(entry.key, "policy_bad_value", *problem) if problem else None


def _gaps(entries: list[Entry]) -> Iterator[Fault]:
    """Parts of a table that are missing once the lab's additions are laid over the shipped policy."""
    values = {entry.key: entry.value for entry in entries}
    for key, value in values.items():
        head, _, _ = key.rpartition(".")
        if head.startswith("content.") and f"{head}.vulnerability_frac" not in values:
            yield Fault(key, "policy_gap", f"{head} has no vulnerability_frac", "add it, 0 to 1")
        if head.startswith("enclosure."):
            for part in ENCLOSURE_PARTS:
                if f"{head}.{part}" not in values:
                    action = "an enclosure needs its inner sizes and price"
                    yield Fault(key, "policy_gap", f"{head} has no {part}", action)
        if key == "size.most_clearance_mm":
            yield from _clearance_gaps(values)
        if key.endswith(".weak_wedge_limit_deg"):
            sound = values[f"{head}.sound_wedge_limit_deg"]
            if isinstance(sound, float) and isinstance(value, float) and value > sound:
                message = f"{head}: weak joints may open {value:g} deg, sound ones only {sound:g} deg"
                yield Fault(key, "policy_gap", message, "weak joints take no more than sound ones")


def _clearance_gaps(values: Mapping[str, float | str]) -> Iterator[Fault]:
    """Least, ideal and greatest clearance must follow each other."""
    parts = ("least", "ideal", "most")
    least, ideal, most = (float(values[f"size.{part}_clearance_mm"]) for part in parts)
    if not least <= ideal <= most:
        message = f"the clearances are least {least:g}, ideal {ideal:g} and most {most:g} mm"
        yield Fault("size.most_clearance_mm", "policy_gap", message, "none may be below the one before it")


def _place(key: str, shipped: dict[str, Entry]) -> tuple[int, str]:
    order = list(shipped)
    if key in shipped:
        return order.index(key), ""
    kin = [index for index, known in enumerate(order) if known.split(".")[0] == key.split(".", maxsplit=1)[0]]
    return (kin[-1] if kin else len(order)), key


def _finding(name: str, text: str, fault: Fault) -> Finding:
    line = _line_of(text, fault.key)
    return Finding(
        code=fault.code,
        level="error",
        sheet=name,
        cell=f"line {line}" if line else "",
        message=fault.message,
        action=fault.action,
    )


def _line_of(text: str, key: str) -> int:
    """Line of a key in a TOML text, 0 when it is written in a way this cannot follow."""
    section = ""
    for number, raw in enumerate(text.splitlines(), start=1):
        line = raw.split("#", 1)[0].strip()
        if line.startswith("["):
            section = line.strip("[] ") + "."
        elif "=" in line and f"{section}{line.split('=', 1)[0].strip()}" == key:
            return number
    return 0


def _toml_text(value: str) -> str:
    escaped = value.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'
