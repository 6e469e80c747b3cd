"""The pairs that mate in a mount: what goes into what, the room between, and the printer's figure that governs it.

Styles draw a pair, and checks judge it, by its row here and by nothing else, so that a test piece with the pairs that
have a figure of the printer measures what mounts are drawn with. What was measured for one pair stands in the
printer's ``fits_mm`` and changes that pair alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from mounts.inputs.printer import Pair, Printer

Figure = Literal["slip_fit_mm", "moving_fit_mm", "hole_upright_mm", "hole_lying_mm"]
"""What a printer's profile says of its fits."""

Counted = Literal["a side", "in width", "on the diameter"]


@dataclass(frozen=True)
class Fit:
    """A pair that mates.

    Attributes:
        name: of the pair.
        inside: what goes in.
        outside: what it goes into.
        counted: how its room is counted.
        why: what the room is for.
        air: the printer's figure for the room between them in the hand; None: ``own_mm`` is all.
        closes: the printer's figure by which the outer one comes out narrower than it is drawn; None: there is room for
            that in the air, or it is drilled.
        own_mm: room that is the same with any printer.
    """

    name: str
    inside: str
    outside: str
    counted: Counted
    why: str
    air: Figure | None = None
    closes: Figure | None = None
    own_mm: float = 0.0

    @property
    def figures(self) -> tuple[Figure, ...]:
        """The printer's figures that govern the pair."""
        return tuple(figure for figure in (self.air, self.closes) if figure)

    @property
    def key(self) -> str:
        """The name as it stands in ``fits_mm`` of a printer and in a file of answers."""
        return self.name.replace(",", "").replace(" ", "-")

    @property
    def measured(self) -> Figure | None:
        """The figure that a test piece tells of the pair; None where nothing is to be told.

        Where the outer one closes up, it is by how much: the air in the hand stays what the drive was solved for.
        """
        return (self.closes or self.air) if self.key in get_args(Pair) else None

    def measured_mm(self, printer: Printer) -> float:
        """What ``measured`` is for the pair: its own figure, or the shared one."""
        return self._of(printer, self.measured) if self.measured else 0.0

    def air_mm(self, printer: Printer) -> float:
        """Room between them in the hand, mm, counted as ``counted`` says."""
        return self._of(printer, self.air) if self.air else self.own_mm

    def closes_mm(self, printer: Printer) -> float:
        """How much narrower than it is drawn the outer one comes out, mm, counted as ``counted`` says."""
        return self._of(printer, self.closes) if self.closes else 0.0

    def _of(self, printer: Printer, figure: Figure) -> float:
        shared = float(getattr(printer, figure))
        return float(printer.fits_mm.get(self.key, shared)) if figure == self.measured else shared  # type: ignore[call-overload]


POCKET = Fit(
    "pocket",
    "the servo's case",
    "the opening of its seat",
    "a side",
    air="slip_fit_mm",
    why="it goes in by hand and comes out again; screws through its ears hold it, not the opening",
)
POCKET_LEVEL = Fit(
    "pocket, level",
    "the servo's case",
    "a face of its seat that lies level in print",
    "a side",
    air="slip_fit_mm",
    why="as the pocket; a level face comes out a part of a layer higher or lower, and one that is bridged sags",
)
PIVOT = Fit(
    "pivot",
    "the wire",
    "the slot in a bracket's plate",
    "in width",
    air="moving_fit_mm",
    closes="hole_upright_mm",
    why="the wire slides and turns in it at every throw, and its slack is lost to the points; the slot's faces stand "
    "upright in print whichever way the bracket lies, so they close up as an upright hole does",
)
SHELL = Fit(
    "shell on frame",
    "the rim of a housing's frame",
    "the walls of its shell",
    "a side",
    air="slip_fit_mm",
    why="it lifts off by hand, and hangs askew on the rim by less than friction holds (check shell-holds)",
)
ROOF = Fit(
    "roof on shell",
    "the rails under a roof",
    "the walls of its shell",
    "a side",
    air="slip_fit_mm",
    why="as the shell on its frame",
)
PILOT_UPRIGHT = Fit(
    "pilot, upright",
    "a screw of the servo",
    "its hole, upright in print",
    "on the diameter",
    closes="hole_upright_mm",
    why="the screw cuts its thread in a core of 0.80 to 0.85 of its diameter, once the hole has closed up",
)
PILOT_LYING = Fit(
    "pilot, lying",
    "a screw of the servo",
    "its hole, lying in print",
    "on the diameter",
    closes="hole_lying_mm",
    why="as the upright one; what lies sags as well",
)
FIXING_UPRIGHT = Fit(
    "fixing, upright",
    "a screw into the board",
    "its hole, upright in print",
    "on the diameter",
    closes="hole_upright_mm",
    why="the air is the fixing's own clearance, of ISO 273 or a tenth of the shank, once the hole has closed up",
)
FIXING_LYING = Fit(
    "fixing, lying",
    "a screw into the board",
    "its hole, lying in print",
    "on the diameter",
    closes="hole_lying_mm",
    why="as the upright one; what lies sags as well",
)
SCREW_HEAD = Fit(
    "countersink",
    "the head of a screw into the board",
    "its countersink",
    "a side",
    own_mm=0.2,
    why="the head comes flush though its cone is a little off; common practice, no source",
)
ROD_SLOT = Fit(
    "rod's slot",
    "the push rod",
    "the slot in a shell's wall",
    "a side",
    own_mm=1.0,
    closes="hole_upright_mm",
    why="air and no guide, so wide that it is drawn as it is; the check of the wire's way has it closed up",
)
PLUG_SLOT = Fit(
    "plug's slot",
    "the servo's plug",
    "the slot in a housing's base plate",
    "a side",
    own_mm=0.4,
    why="the plug is pushed through once; common practice, no source",
)
PLUG_GAP = Fit(
    "plug's gap",
    "the servo's plug",
    "the gap between case and rib of a bracket",
    "a side",
    own_mm=0.5,
    why="the plug is drawn along the case, which is measured to a tolerance; common practice, no source",
)
PLUG_GATE = Fit(
    "plug's gate",
    "the servo's plug",
    "the opening in a shell's far wall",
    "a side",
    own_mm=0.6,
    why="the shell comes down over plug and cable; common practice, no source",
)
BOSS = Fit(
    "boss",
    "a gear boss wider than its case",
    "the posts beside it",
    "a side",
    own_mm=0.1,
    why="it passes them on its way in and touches nothing afterwards; common practice, no source",
)
TIE_BAR = Fit(
    "tie bar",
    "the wire",
    "the hole in the tie bar",
    "on the diameter",
    own_mm=0.1,
    why="the least with which it is led up through the hole; more is lost to the points; common practice, no source",
)
ARM_HOLE = Fit(
    "arm hole",
    "the wire",
    "the hole in the servo's arm",
    "on the diameter",
    own_mm=0.2,
    why="the wire turns in it; drilled where the arm's own is smaller; common practice, no source",
)
CRANK_HOLE = Fit(
    "crank's hole",
    "a lift's rod",
    "the hole in the crank of signal or boom, or the coupling to its wire",
    "on the diameter",
    own_mm=0.1,
    why="its play turns the arm by play over crank, and cranks are short; common practice, no source",
)
BOARD_HOLE = Fit(
    "board's hole",
    "the wire over its swing",
    "the hole through board and roadbed",
    "a side",
    own_mm=0.3,
    why="beside the wire's slack and what the hole may stand off; common practice, no source",
)
POST = Fit(
    "post",
    "the foot of a signal's post",
    "its seat in the flange of a drop-in",
    "in width",
    air="moving_fit_mm",
    closes="hole_upright_mm",
    why="it goes in by hand and is glued or pinned there; the seat stands upright in print and closes up",
)
CABLE_HOLE = Fit(
    "cable's hole",
    "the servo's plug",
    "the hole drilled under a housing",
    "on the diameter",
    own_mm=0.5,
    why="a hole drilled by hand is not narrower than this below its drill; common practice, no source",
)

FITS = (
    POCKET, POCKET_LEVEL, PIVOT, SHELL, ROOF, PILOT_UPRIGHT, PILOT_LYING, FIXING_UPRIGHT, FIXING_LYING, SCREW_HEAD,
    ROD_SLOT, PLUG_SLOT, PLUG_GAP, PLUG_GATE, BOSS, TIE_BAR, ARM_HOLE, CRANK_HOLE, BOARD_HOLE, POST, CABLE_HOLE,
)  # fmt: skip
"""All there are; each has a name of its own."""
