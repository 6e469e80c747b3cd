"""Room 4: the only room that imports CadQuery at its top. Dimensions in, solids out.

CadQuery's binding imports all of vtk so that its classes are known before a shape is shown in them. CadQuery itself
imports the few modules of it that it uses, and no shape is shown here: without the others the kernel is ready in four
fifths of the time.
"""

import sys
from types import ModuleType

if "vtk" not in sys.modules:
    sys.modules["vtk"] = ModuleType("vtk")
    try:
        import cadquery  # noqa: F401
    finally:
        del sys.modules["vtk"]
