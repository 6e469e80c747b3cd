"""Room 4: the only room that imports CadQuery at its top. Dimensions in, solids out.

CadQuery and its binding import vtk, to show shapes in it, and nlopt, to solve the constraints of sketches: a third of
the time until the kernel is ready. Neither is asked for here, so while CadQuery is imported both are empty; whoever
imports them afterwards gets the true ones.
"""

import sys
from importlib.abc import Loader, MetaPathFinder
from importlib.machinery import ModuleSpec
from types import ModuleType

_UNUSED = ("vtk", "vtkmodules", "nlopt")


class _Empty(ModuleType):
    """A module in which every name is a class without anything in it."""

    def __getattr__(self, name: str) -> type:
        if name.startswith("__"):
            raise AttributeError(name)
        return type(name, (), {})


class _Emptied(MetaPathFinder, Loader):
    """Finds unused packages, and whatever is in them, as empty ones."""

    def find_spec(self, name: str, path: object = None, target: object = None) -> ModuleSpec | None:
        package = name.partition(".")[0]
        known = package not in _UNUSED or (package != name and not isinstance(sys.modules.get(package), _Empty))
        return None if known else ModuleSpec(name, self, is_package=True)

    def create_module(self, spec: ModuleSpec) -> ModuleType:
        return _Empty(spec.name)

    def exec_module(self, module: ModuleType) -> None:
        pass


def _import_kernel() -> None:
    sys.meta_path.insert(0, emptied := _Emptied())
    try:
        import cadquery  # noqa: F401
    finally:
        sys.meta_path.remove(emptied)
        for name in [name for name, module in sys.modules.items() if isinstance(module, _Empty)]:
            del sys.modules[name]


_import_kernel()
