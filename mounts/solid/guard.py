"""Turns what the kernel refuses, and what it says nothing about, into a BuildError that names the step."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import cadquery as cq
from OCP.BRep import BRep_Tool
from OCP.TopLoc import TopLoc_Location
from OCP.TopTools import TopTools_MapOfShape

from mounts.errors import BuildError

_KERNEL_PACKAGES = ("OCP", "cadquery")


def one_solid(shape: cq.Shape | cq.Workplane, step: str, sound: cq.Shape | None = None) -> cq.Solid:
    """The single valid solid that a step must have left.

    A cut that removes everything, and a union that stays in two pieces, raise nothing and call
    themselves valid: the kernel's silence proves nothing, so each part ends here.

    Args:
        shape: what the last boolean gave, any frame, mm; of a workplane, all that is on its stack.
        step: the step as an infinitive phrase, "join the wall to the plate".
        sound: a body that was checked before, of a thousand faces, say; those that are in the solid as they were are
            not looked at again.

    Raises:
        BuildError: not exactly one solid, or it is invalid, or its volume is not positive.
    """
    solid = one_body(shape, step)
    if not (solid.isValid() if sound is None else _is_valid_beside(sound, solid)):
        raise BuildError(f"could not {step}; the step left a body that is not valid")
    if solid.Volume() <= 0:
        raise BuildError(f"could not {step}; the step left a body of {solid.Volume():.3f} mm³")
    return solid


def _is_valid_beside(sound: cq.Shape, solid: cq.Solid) -> bool:
    """Whether it closes, and what it does not share with another body is valid, wherever both stand."""
    there, shared = TopLoc_Location(), TopTools_MapOfShape()
    for face in sound.Faces():
        shared.Add(face.wrapped.Located(there))
    others = [face for face in solid.Faces() if not shared.Contains(face.wrapped.Located(there))]
    closes = all(BRep_Tool.IsClosed_s(shell.wrapped) for shell in solid.Shells())
    return closes and cq.Compound.makeCompound(others).isValid()


def one_body(shape: cq.Shape | cq.Workplane, step: str) -> cq.Solid:
    """The single solid that a step must have left, valid or not; arguments and error as of ``one_solid``."""
    pieces = shape.vals() if isinstance(shape, cq.Workplane) else [shape]
    solids = [solid for piece in pieces if isinstance(piece, cq.Shape) for solid in piece.Solids()]
    if len(solids) != 1:
        left = "nothing" if not solids else f"{len(solids)} separate bodies"
        raise BuildError(f"could not {step}; the step left {left} where one body is needed")
    return solids[0]


@contextmanager
def kernel_step(step: str, hint: str) -> Iterator[None]:
    """Names the step in which the kernel gives up.

    Args:
        step: the step as an infinitive phrase, "round the plate corners to 6 mm".
        hint: what the reader may change, "use a smaller corner_mm".

    Raises:
        BuildError: an exception of the kernel (OCP) or a ValueError that CadQuery raised itself was
            caught; its text is the cause. Any other exception is a mistake of ours and passes.
    """
    try:
        yield
    except Exception as fault:
        if not _comes_from_kernel(fault):
            raise
        raise BuildError(f"could not {step}; {hint}") from fault


def _comes_from_kernel(fault: Exception) -> bool:
    """An exception class of OCP, or a ValueError whose innermost Python frame is the kernel's façade."""
    if _is_kernel_module(type(fault).__module__):
        return True
    if not isinstance(fault, ValueError) or fault.__traceback__ is None:
        return False
    frame = fault.__traceback__
    while frame.tb_next is not None:
        frame = frame.tb_next
    return _is_kernel_module(str(frame.tb_frame.f_globals.get("__name__", "")))


def _is_kernel_module(name: str) -> bool:
    return name.partition(".")[0] in _KERNEL_PACKAGES
