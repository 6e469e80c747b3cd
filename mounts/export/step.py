"""STEP: the whole mount in the mount frame, to be opened and changed in another CAD program."""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from mounts.errors import BuildError

if TYPE_CHECKING:
    from mounts.solid.part import Part

_NO_DATE = "1970-01-01T00:00:00"  # ISO 10303-21 asks for a time stamp; a real one would change the bytes
_OCCURRENCE = re.compile(rb"(NEXT_ASSEMBLY_USAGE_OCCURRENCE\(\s*')\d+(')")


def render_step(parts: Sequence[Part], name: str) -> bytes:
    """A STEP file (AP214, mm) with a product for each part, under an assembly where there are several.

    Args:
        parts: solids in the mount frame; the file keeps their order.
        name: the mount's id; products are called ``name`` and ``name-part``, as the STL files are.

    Raises:
        BuildError: the kernel could not write a part.
    """
    from OCP.APIHeaderSection import APIHeaderSection_MakeHeader
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.Interface import Interface_Static
    from OCP.STEPCAFControl import STEPCAFControl_Writer
    from OCP.STEPControl import STEPControl_StepModelType
    from OCP.TCollection import TCollection_ExtendedString, TCollection_HAsciiString
    from OCP.TDataStd import TDataStd_Name
    from OCP.TDocStd import TDocStd_Document
    from OCP.TopLoc import TopLoc_Location
    from OCP.XCAFApp import XCAFApp_Application
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    application = XCAFApp_Application.GetApplication_s()
    document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
    application.InitDocument(document)
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    assembly = shapes.NewShape() if len(parts) > 1 else None
    for part in parts:
        label = shapes.NewShape()
        shapes.SetShape(label, part.solid.wrapped)
        called = TCollection_ExtendedString(f"{name}-{part.name}" if part.name else name, True)
        TDataStd_Name.Set_s(label, called)
        if assembly is not None:
            component = shapes.AddComponent(assembly, label, TopLoc_Location())
            TDataStd_Name.Set_s(component, called)
    if assembly is not None:
        TDataStd_Name.Set_s(assembly, TCollection_ExtendedString(f"{name}-assembly", True))
        shapes.UpdateAssemblies()

    writer = STEPCAFControl_Writer()
    writer.SetNameMode(True)
    Interface_Static.SetCVal_s("xstep.cascade.unit", "MM")
    Interface_Static.SetCVal_s("write.step.unit", "MM")
    Interface_Static.SetCVal_s("write.step.schema", "AP214IS")
    Interface_Static.SetIVal_s("write.surfacecurve.mode", 0)  # readers find where an edge runs in a face by themselves
    if not writer.Transfer(document, STEPControl_StepModelType.STEPControl_AsIs):
        raise BuildError("could not write the STEP file; report the design as a bug")
    header = APIHeaderSection_MakeHeader(writer.Writer().Model())
    header.SetName(TCollection_HAsciiString(name))
    header.SetTimeStamp(TCollection_HAsciiString(_NO_DATE))
    header.SetAuthorValue(1, TCollection_HAsciiString(""))
    header.SetOrganizationValue(1, TCollection_HAsciiString(""))
    header.SetOriginatingSystem(TCollection_HAsciiString("turnout-mounts"))
    stream = io.BytesIO()
    if writer.WriteStream(stream) != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise BuildError("could not write the STEP file; report the design as a bug")
    return _renumber_occurrences(stream.getvalue())


def _renumber_occurrences(step: bytes) -> bytes:
    """Occurrences counted from 1 in each file; the kernel counts on through all files of the process."""
    count = 0

    def numbered(found: re.Match[bytes]) -> bytes:
        nonlocal count
        count += 1
        return b"%s%d%s" % (found[1], count, found[2])

    return _OCCURRENCE.sub(numbered, step)
