"""Normal and reverse by what a person sees at the layout."""

from __future__ import annotations

from typing import NamedTuple

from mounts.design import Design
from mounts.drive.model import RockingWireDrive


class Ends(NamedTuple):
    """What the tie bar does at each end of the swing."""

    normal: str
    reverse: str


def ends(design: Design) -> Ends:
    """For a housing by its style's name; for a bracket by the three notches in its plate's edge, on the side of +y."""
    if isinstance(design.drive, RockingWireDrive):
        side = "the side where the plate has three notches"
        return Ends(f"the tie bar is pushed away from {side}", f"the tie bar is pushed to {side}")
    name = design.spec.style
    return Ends(f"the rod pushes the tie bar away from the {name}", f"the rod pulls the tie bar towards the {name}")
