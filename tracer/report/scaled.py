"""What was worked out for a figure, for the same figure at another size."""

from dataclasses import replace

import numpy as np

from tracer.geometry import affine
from tracer.model.layout import Layout
from tracer.report.mesh import Mesh
from tracer.report.network import Network
from tracer.report.samples import Samples


def scaled_layout(layout: Layout, times: float) -> Layout:
    """Return the layout with all its pieces so many times as large, about the board's corner."""
    scale = affine.scaling(times)
    pieces = [replace(piece, matrix=affine.compose(scale, piece.matrix)) for piece in layout.pieces]
    return replace(layout, pieces=tuple(pieces))


def scaled_samples(samples: Samples, times: float) -> Samples:
    """Return the samples of the figure so many times as large: the same ones, farther apart."""
    return replace(
        samples,
        points=samples.points * times,
        along=samples.along * times,
        totals=samples.totals * times,
        swept=samples.swept * times**2,
    )


def scaled_mesh(mesh: Mesh, times: float) -> Mesh:
    """Return the triangulation of the figure so many times as large, its discs growing with it."""
    square = times**2
    return replace(
        mesh,
        nodes=mesh.nodes * times,
        weights=mesh.weights * square,
        centres=mesh.centres * times,
        powers=mesh.powers * square,
        gates=mesh.gates * square,
    )


def scaled_network(network: Network, times: float) -> Network:
    """Return the network with its points apart and its lengths so many times as large.

    The edges still name the strokes as they were: numbers and places on them do not change.
    """
    return replace(network, points=network.points * times, lengths=np.asarray(network.lengths * times))
