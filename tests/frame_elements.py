"""A corotational plane frame and a frame in space for tests: second models of a bent wire, from its drawn line alone.

Plane: two-node beams with a rigid-body rotation of their own (any handbook of nonlinear finite elements; Crisfield's
form), Newton's method with load steps. Space: linear stiffness and geometric stiffness, least eigenvalue.
Nothing of it comes from ``mounts``.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import scipy.linalg
import scipy.sparse
import scipy.sparse.linalg

AXIAL = 200.0  # EA over EI, 1/mm²: 16/d² of a round wire is 16 to 100; stiffer changes nothing


def resampled(line, step_mm):
    """The polyline (n, 2) with its long straights divided."""
    points = [line[0]]
    for start, end in pairwise(line):
        count = max(1, int(np.ceil(np.hypot(*(end - start)) / step_mm)))
        points += [start + (end - start) * k / count for k in range(1, count + 1)]
    return np.array(points)


def pressed(line, stiffness, shortening, *, steps=8, hinge_first=True):
    """Load along x of a frame held at both ends as hinges, its last node moved by −shortening; and the bent line.

    Args:
        line: (n, 2) mm.
        stiffness: EI, N·mm².
        shortening: mm, negative draws it out.
        steps: of the load; four times as many where it does not come to rest.
        hinge_first: False clamps the first node.
    """
    line = resampled(np.asarray(line, dtype=float), 2.5)
    n = len(line)
    steps_xy = np.diff(line, axis=0)
    lengths, headings = np.hypot(*steps_xy.T), np.arctan2(steps_xy[:, 1], steps_xy[:, 0])
    u = np.zeros(3 * n)
    held = [0, 1, 3 * n - 3, 3 * n - 2] + ([] if hinge_first else [2])
    free = np.setdiff1d(np.arange(3 * n), held)
    dofs = np.column_stack([3 * np.arange(n - 1) + k for k in range(6)])
    rows, columns = np.repeat(dofs, 6, axis=1).ravel(), np.tile(dofs, (1, 6)).ravel()
    for share in np.linspace(0, 1, steps + 1)[1:]:
        u[3 * n - 3] = -shortening * share
        for _ in range(60):
            force, stiff = _assembled(line, lengths, headings, u, stiffness)
            if np.abs(force[free]).max() < 1e-9 * AXIAL * stiffness:
                break
            matrix = scipy.sparse.csc_matrix((stiff.ravel(), (rows, columns)), shape=(3 * n, 3 * n))
            u[free] -= scipy.sparse.linalg.spsolve(matrix[free][:, free], force[free])
        else:
            if steps > 100:
                raise AssertionError("the frame did not come to rest")
            return pressed(line, stiffness, shortening, steps=4 * steps, hinge_first=hinge_first)
    bent = line + u.reshape(-1, 3)[:, :2]
    return -float(_assembled(line, lengths, headings, u, stiffness)[0][3 * n - 3]), bent


def _assembled(line, lengths, headings, u, stiffness):
    """Nodal forces (3n,) and element stiffnesses (n − 1, 6, 6)."""
    at = line + u.reshape(-1, 3)[:, :2]
    turn = u.reshape(-1, 3)[:, 2]
    span = np.diff(at, axis=0)
    now = np.hypot(*span.T)
    # the chord's turn since rest, whole turns left out
    chord = np.arctan2(span[:, 1], span[:, 0]) - headings
    chord = (chord + np.pi) % (2 * np.pi) - np.pi
    first, second = turn[:-1] - chord, turn[1:] - chord
    c, s = span[:, 0] / now, span[:, 1] / now
    axial = AXIAL * stiffness * (now - lengths) / lengths
    m1 = stiffness / lengths * (4 * first + 2 * second)
    m2 = stiffness / lengths * (2 * first + 4 * second)
    zero, one = np.zeros_like(c), np.ones_like(c)
    r = np.stack([-c, -s, zero, c, s, zero], axis=1)
    z = np.stack([s, -c, zero, -s, c, zero], axis=1)
    b1 = -z / now[:, None]
    rows = np.stack(
        [
            r,
            b1 + np.stack([zero, zero, one, zero, zero, zero], axis=1),
            b1 + np.stack([zero, zero, zero, zero, zero, one], axis=1),
        ],
        axis=1,
    )
    local = np.zeros((len(c), 3, 3))
    local[:, 0, 0] = AXIAL * stiffness / lengths
    local[:, 1, 1] = local[:, 2, 2] = 4 * stiffness / lengths
    local[:, 1, 2] = local[:, 2, 1] = 2 * stiffness / lengths
    k = np.swapaxes(rows, 1, 2) @ local @ rows
    k += (axial / now)[:, None, None] * (z[:, :, None] * z[:, None, :])
    k += ((m1 + m2) / now**2)[:, None, None] * (r[:, :, None] * z[:, None, :] + z[:, :, None] * r[:, None, :])
    f = axial[:, None] * r + m1[:, None] * rows[:, 1] + m2[:, None] * rows[:, 2]
    force = np.zeros(len(u))
    for k_dof in range(6):
        np.add.at(force, 3 * np.arange(len(c)) + k_dof, f[:, k_dof])
    return force, k


def folding_load(line, stiffness, *, poisson=0.3):
    """Least compression along x that a wire in space, held by hinges at both ends, loses its stability under, N.

    Both ends are held in place, the first also against turning about the wire; the last may slide along x.
    """
    line = resampled(np.asarray(line, dtype=float), 2.5)
    n = len(line)
    nodes = np.column_stack([line, np.zeros(n)])
    stiff, geometric = np.zeros((6 * n, 6 * n)), np.zeros((6 * n, 6 * n))
    for i in range(n - 1):
        along = nodes[i + 1] - nodes[i]
        length = float(np.linalg.norm(along))
        ex = along / length
        turn = np.kron(np.eye(4), np.array([ex, np.cross([0, 0, 1.0], ex), [0, 0, 1.0]]))
        k, g = np.zeros((12, 12)), np.zeros((12, 12))
        _pair(k, 0, 6, AXIAL * stiffness / length)
        _pair(k, 3, 9, stiffness / (1 + poisson) / length)
        for sideways, bending, sign in ((1, 5, 1), (2, 4, -1)):
            at = np.ix_([sideways, bending, sideways + 6, bending + 6], [sideways, bending, sideways + 6, bending + 6])
            a, b, c, d = 12 / length**3, sign * 6 / length**2, 4 / length, 2 / length
            k[at] += stiffness * np.array([[a, b, -a, b], [b, c, -b, d], [-a, -b, a, -b], [b, d, -b, c]])
            p, q, r, t = 6 / 5 / length, sign / 10, 2 * length / 15, -length / 30
            g[at] += -ex[0] * np.array([[p, q, -p, q], [q, r, -q, t], [-p, -q, p, -q], [q, t, -q, r]])
        at = np.ix_(range(6 * i, 6 * i + 12), range(6 * i, 6 * i + 12))
        stiff[at] += turn.T @ k @ turn
        geometric[at] += turn.T @ g @ turn
    held = [0, 1, 2, 3, 6 * n - 5, 6 * n - 4]
    free = np.setdiff1d(np.arange(6 * n), held)
    inverse = scipy.linalg.eigh(-geometric[np.ix_(free, free)], stiff[np.ix_(free, free)], eigvals_only=True)
    return float(1 / inverse.max())


def _pair(matrix, one, other, value):
    matrix[one, one] += value
    matrix[other, other] += value
    matrix[one, other] -= value
    matrix[other, one] -= value
