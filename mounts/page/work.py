"""What the worker beside the page does: one mount at a time, given up where it is told to, solids never sent back."""

from __future__ import annotations

import io
import zipfile
from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass
from multiprocessing.connection import Connection
from typing import Literal

from mounts.errors import BuildError, InputError, NoDesign
from mounts.inputs.spec import MountSpec
from mounts.mesh import PartMesh
from mounts.report.model import Report


@dataclass(frozen=True)
class Order:
    """A mount to make.

    Attributes:
        number: of the order.
        what: ``show``: parts and checks; ``files``: everything that ``mounts make`` writes, as a zip.
        spec: what was asked, resolved.
    """

    number: int
    what: Literal["show", "files"]
    spec: MountSpec


@dataclass(frozen=True)
class Parts:
    """The parts of a mount as they are printed, before anything is checked."""

    meshes: tuple[PartMesh, ...]


@dataclass(frozen=True)
class Checked:
    """The report of a mount whose files are not made."""

    report: Report


@dataclass(frozen=True)
class Zipped:
    """Every file of a mount."""

    content: bytes


@dataclass(frozen=True)
class Failed:
    """Why there is nothing, as a line."""

    line: str


@dataclass(frozen=True)
class GivenUp:
    """A newer order made this one needless."""


Result = Parts | Checked | Zipped | Failed | GivenUp
GivenBack = tuple[int, Result]
"""Number of an order and what came of it; of an order that is shown ``Parts`` come before ``Checked``."""


class _Needless(Exception):
    pass


class _Inbox:
    """Orders and the numbers of those that are needless, as they come through the pipe."""

    def __init__(self, pipe: Connection) -> None:
        self.pipe = pipe
        self.orders: deque[Order] = deque()
        self.needless: set[int] = set()

    def next(self) -> Order:
        while not self.orders:
            self._take()
        return self.orders.popleft()

    def look(self, order: Order) -> None:
        """Takes what has come; raises where the order in hand is needless by now."""
        while self.pipe.poll():
            self._take()
        if order.number in self.needless:
            raise _Needless

    def _take(self) -> None:
        came: Order | int = self.pipe.recv()
        if isinstance(came, Order):
            self.orders.append(came)
        else:
            self.needless.add(came)


def work(pipe: Connection) -> None:
    """Takes orders until the page is gone."""
    from mounts.batch.crew import begin_work

    begin_work()
    import mounts.pipeline  # before the first order: libraries take seconds to load
    import mounts.solid.tessellate  # noqa: F401
    from mounts.solid.threads import use_one_thread

    use_one_thread()
    inbox = _Inbox(pipe)
    while True:
        try:
            order = inbox.next()
        except (EOFError, OSError):
            return
        pipe.send((order.number, _done(order, inbox)))
        inbox.needless.discard(order.number)


def zipped(files: Mapping[str, bytes]) -> bytes:
    """Files by name as a zip; the same files give the same bytes."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as pack:
        for name in sorted(files):
            entry = zipfile.ZipInfo(name)  # the time of every entry is that of the format's beginning
            entry.compress_type = zipfile.ZIP_DEFLATED
            pack.writestr(entry, files[name])
    return out.getvalue()


def _done(order: Order, inbox: _Inbox) -> Result:
    try:
        inbox.look(order)
        if order.what == "files":
            from mounts.pipeline import make_mount

            made = make_mount(order.spec, picture=True, paper="a4", progress=lambda stage: inbox.look(order))
            return Zipped(zipped(made.files))
        return _shown(order, inbox)
    except _Needless:
        return GivenUp()
    except NoDesign as fault:
        return Failed(f"no design: {fault}")
    except BuildError as fault:
        return Failed(f"build: {fault}")
    except InputError as fault:
        return Failed(str(fault))
    except Exception as fault:
        text = " ".join(str(fault).split())
        return Failed(f"bug: {type(fault).__name__}: {text}; 'mounts make --debug' of it shows where")


def _shown(order: Order, inbox: _Inbox) -> Result:
    from mounts.pipeline import check_mount, design_mount, model_mount, pin_costs
    from mounts.report import model

    designed = design_mount(order.spec)
    inbox.look(order)
    meshes = tuple(mesh for mesh, _ in model_mount(designed)[1])
    inbox.pipe.send((order.number, Parts(meshes)))
    checks = []
    for check in check_mount(designed, meshes):
        inbox.look(order)
        checks.append(check)
    report = model.of(designed.design, designed.options, designed.spread, meshes, checks, {}, {}, "")
    inbox.look(order)
    return Checked(report.model_copy(update={"costs_of_pins": pin_costs(designed.design)}))
