"""How grooves hang together and what wood they leave, at one setting of their widths.

Grooves that touch are one body; wood that hangs together is one field. Bodies and fields
lie in one another by turns: the field outside holds bodies, in their holes lie fields, in which
bodies may lie again.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracer.geometry.together import together
from tracer.report.mesh import Mesh

Array = NDArray[np.float64]
Ints = NDArray[np.intp]
Bools = NDArray[np.bool_]

BURIED = -1

OUTSIDE = -1
"""Stands for the body round the wood outside, which there is none of."""


@dataclass(frozen=True, eq=False)
class Bodies:
    """Bodies of grooves and fields of wood; both numbered from 0.

    Attributes
    ----------
    mesh : the triangulation.
    common : squared radius (mm^2) added to each node's weight.
    of_node : (n,) body of each real node; BURIED where its disc is all under others.
    of_triangle : (k,) field of each triangle whose middle is in the wood, else -1.
    """

    mesh: Mesh
    common: float
    of_node: Ints
    of_triangle: Ints

    @cached_property
    def outside(self) -> int:
        """The field that the made-up points lie in."""
        far = (self.mesh.triangles >= self.mesh.real).any(axis=1)
        return int(self.of_triangle[far].max())

    @cached_property
    def touching(self) -> Ints:
        """All different pairs (body, field) that touch (p, 2)."""
        wood = np.flatnonzero(self.of_triangle >= 0)
        corners = self.mesh.triangles[wood].ravel()
        field = np.repeat(self.of_triangle[wood], 3)
        real = np.append(self.of_node, [BURIED] * 4)[corners] != BURIED
        fields = int(self.of_triangle.max()) + 1
        keys = np.unique(self.of_node[corners[real]] * fields + field[real])
        return np.column_stack([keys // fields, keys % fields])

    @cached_property
    def nest(self) -> "Nest":
        """What lies in what."""
        bodies, fields = int(self.of_node.max()) + 1, int(self.of_triangle.max()) + 1
        nest = Nest(np.full(bodies, OUTSIDE), np.full(fields, OUTSIDE), np.zeros(fields, dtype=np.intp))
        in_field: dict[int, list[int]] = {}
        at_body: dict[int, list[int]] = {}
        for body, field in self.touching.tolist():
            in_field.setdefault(field, []).append(body)
            at_body.setdefault(body, []).append(field)
        for body, field, holes in _inward(self.outside, in_field, at_body):
            nest.field_of[body] = field
            for hole in holes:
                nest.body_of[hole] = body
                nest.depth[hole] = nest.depth[field] + 1
        return nest

    @cached_property
    def radius(self) -> Array:
        """Of each node's disc (n,), mm; 0 for the made-up ones."""
        radius = np.sqrt(np.maximum(self.mesh.weights + self.common, 0.0))
        radius[self.mesh.real :] = 0.0
        return radius

    @cached_property
    def clearance(self) -> Array:
        """Distance (k,) from each triangle's centre to the nearest groove's edge, mm; in grooves <= 0."""
        mesh, radius = self.mesh, self.radius
        if not mesh.weights.any():
            clear: Array = np.sqrt(np.maximum(mesh.powers, 0.0)) - radius[0]
            return clear
        d = mesh.centres[:, None] - mesh.nodes[mesh.triangles]
        least: Array = (np.hypot(d[..., 0], d[..., 1]) - radius[mesh.triangles]).min(axis=1)
        return least


@dataclass(frozen=True, eq=False)
class Nest:
    """What lies in what.

    Attributes
    ----------
    field_of : (bodies,) field that each body lies in.
    body_of : (fields,) body whose hole each field is, OUTSIDE for the field outside.
    depth : (fields,) how many rings lie round each field.
    """

    field_of: Ints
    body_of: Ints
    depth: Ints

    @cached_property
    def rank(self) -> Ints:
        """How deep rings nest inside each body (bodies,): 0 where none lies in its holes."""
        rank = np.zeros(len(self.field_of), dtype=np.intp)
        for body in np.argsort(-self.depth[self.field_of], kind="stable").tolist():
            round_it = int(self.body_of[self.field_of[body]])
            if round_it != OUTSIDE:
                rank[round_it] = max(rank[round_it], rank[body] + 1)
        return rank


def find_bodies(mesh: Mesh, common: float) -> Bodies:
    """Return what hangs together where each node's disc has the squared radius weight + `common` (mm^2)."""
    shut = mesh.gates <= common
    real = (mesh.sides < mesh.real).all(axis=1)
    of_node = together(mesh.sides[shut & real], mesh.real)
    if mesh.weights.any():
        of_node = _without_buried(of_node, mesh, mesh.sides[shut & real])
    wood = mesh.powers > common
    of_triangle = np.full(len(mesh.triangles), -1, dtype=np.intp)
    number = np.cumsum(wood) - 1
    of_triangle[wood] = together(number[mesh.beside[~shut]], int(wood.sum()))
    return Bodies(mesh, common, of_node, of_triangle)


def _without_buried(of_node: Ints, mesh: Mesh, shut: Ints) -> Ints:
    """Number the bodies anew without discs of unlike size that are all under others.

    Such a node has no triangle, or only ones so far off that it touches nothing there.
    """
    touches = np.zeros(len(mesh.nodes), dtype=bool)
    touches[shut] = True
    shown = np.zeros(len(mesh.nodes), dtype=bool)
    shown[mesh.triangles] = True
    for one, other in ((0, 1), (1, 0)):
        i, j = mesh.sides[:, one], mesh.sides[:, other]
        d = mesh.nodes[i] - mesh.nodes[j]
        under = (d**2).sum(axis=1) - mesh.weights[j] < -mesh.weights[i]
        shown[i[under & ~touches[i]]] = False
    numbered = np.full(len(of_node), BURIED)
    shown = shown[: mesh.real]
    numbered[shown] = np.unique(of_node[shown], return_inverse=True)[1]
    return numbered


def _inward(
    outside: int, in_field: dict[int, list[int]], at_body: dict[int, list[int]]
) -> Iterator[tuple[int, int, list[int]]]:
    """Yield each body with the field it lies in and those in its holes, from the outside in."""
    seen: set[int] = set()
    fields = [outside]
    for field in fields:
        for body in in_field.get(field, []):
            if body not in seen:
                seen.add(body)
                holes = [other for other in at_body[body] if other != field]
                fields += holes
                yield body, field, holes
