"""The report of a layout, ``layout-report/1``: a summary, a row a mount, the bed-loads, what to buy."""

from __future__ import annotations

from typing import Literal

from pydantic import ConfigDict, Field

from mounts.checks.model import Check
from mounts.drive.model import PulseWidths
from mounts.inputs.model import Model
from mounts.mesh import Role

Outcome = Literal["pass", "warn", "fail", "no design", "not built"]
GOOD: tuple[Outcome, ...] = ("pass", "warn")
ROLES: dict[Role, str] = {"frame": "brackets and frames", "scenery": "scenery"}
"""What lies on a plate, in words."""


class Bought(Model):
    """Something to buy or to have at hand, for all mounts together."""

    item: str
    size: str
    quantity: int


class PartFile(Model):
    """A printed part of a mount."""

    name: str
    file: str
    mass_g: float
    print_minutes: float | None = None
    cooling_minutes: float = 0.0
    size_mm: tuple[float, float, float]
    volume_mm3: float
    role: Role = "frame"


class MountRow(Model):
    """One mount of the layout: how it came out, and the figures to build it with."""

    id: str
    verdict: Outcome = Field(description="worst of its checks, its place on the board included")
    reasons: tuple[str, ...] = Field((), description="why it failed, a line each")
    warnings: tuple[str, ...] = Field((), description="what its checks warn of, its place on the board included")
    style: str
    mirror: bool
    servo: str
    scale: str
    printer: str
    filament: str
    board: str = Field(description="a board of the layout, or the profile")
    board_mm: float
    copies: int
    channels: tuple[int, ...] = Field((), description="outputs of the controller, one a copy")
    together: str | None = Field(None, description="name of what it moves at once with")
    family: str | None
    x_mm: float | None
    y_mm: float | None
    heading_deg: float | None
    arm_hole_mm: float | None = None
    wire_mm: float | None = None
    wire_cut_mm: float | None = None
    pivot_to_horn_mm: float | None = None
    travel_mm: float | None = None
    force_n: float | None = None
    force_after_slack_n: float | None = None
    pulse_us: PulseWidths | None = None
    mass_g: float | None = Field(None, description="of one copy")
    print_minutes: float | None = Field(None, description="of one copy, its parts on one plate")
    parts: tuple[PartFile, ...] = ()
    tried_by: str | None = Field(
        None, description="mount of its kind that is printed and fitted first, itself perhaps; null: none is"
    )
    site_checks: tuple[Check, ...] = Field((), description="neighbour, framing, board-edge")
    files: dict[str, str] = Field(default_factory=dict, description="path from the layout's folder → SHA-256")
    made_from: str = Field(description="the mount's content key")


class PlateRow(Model):
    """One bed-load: parts of one printer, one filament and one colour."""

    file: str
    try_first: bool = Field(description="it holds mounts to be fitted before the rest is printed, one of each kind")
    role: Role = Field(description="of its parts: frame, brackets included, or scenery; each has a colour of its own")
    printer: str
    filament: str
    objects: tuple[str, ...] = Field(description="as named in the file: mount, part and copy")
    height_mm: float
    mass_g: float
    hours: float
    over_limit: bool = Field(False, description="its one part takes longer than a plate should")

    @property
    def what_for(self) -> str:
        """Why it is printed, in words: ``try first, scenery``."""
        return ("try first, " if self.try_first else "") + ROLES[self.role]


class TryFirst(Model):
    """What is to be printed and fitted before the rest."""

    mounts: int
    plates: int
    mass_g: float
    hours: float


class LayoutSummary(Model):
    """The whole batch in figures; copies are counted."""

    mounts: int
    made: int = Field(description="mounts to print, copies counted, failed ones not")
    passed: int
    warned: int
    failed: int
    plates: int
    mass_g: float
    hours: float
    longest_plate_hours: float = Field(description="0: there is no plate")
    try_first: TryFirst | None = Field(description="null: it would be all there is")
    hours_rule: str = Field(description="the settings that grams and hours hold for, of each printer")


class LayoutReport(Model):
    """A batch: the same bytes for the same layout, however many workers built it and whatever was cached."""

    model_config = ConfigDict(validate_by_name=True, validate_by_alias=True)

    schema_: Literal["layout-report/1"] = Field(alias="schema")
    name: str
    summary: LayoutSummary
    mounts: tuple[MountRow, ...]
    max_hours: float | None = Field(description="that a plate was to take at most")
    plates: tuple[PlateRow, ...]
    not_on_plates: tuple[str, ...] = Field(description="objects that no bed takes with their brim")
    hardware: tuple[Bought, ...] = Field(description="for all mounts to print")
    files: dict[str, str] = Field(
        description="bed-loads, book, contact sheet, controller's sheets: path from the folder → SHA-256"
    )
    cautions: tuple[str, ...] = Field(description="of all mounts together, each once")
    profiles: dict[str, str] = Field(description="profile files named by path → SHA-256")
    made_from: str = Field(description="SHA-256 over layout file, profiles and this program")
    seal: str = Field("", description="SHA-256 of this file with the seal left empty")
