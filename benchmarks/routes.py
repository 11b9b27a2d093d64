"""Plunges, retraced length, turning, order and time of the routes: `python -m benchmarks.routes`."""

import statistics
import time
from collections.abc import Callable, Iterator
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

import tracer
from tracer.geometry import bezier
from tracer.job import Job
from tracer.model.layout import Layout
from tracer.model.plan import Leg, Run
from tracer.pipeline import lay_out
from tracer.report import retrace, trails
from tracer.report import runs as routes
from tracer.report.hops import find_hops
from tracer.report.network import Network, build_network
from tracer.report.order import carrying_over, in_order
from tracer.report.samples import sample
from tracer.report.shortest import Ways

Array = NDArray[np.float64]

ART = Path(__file__).parents[1] / "sample_art"
BOARD = Job(board=(420.0, 300.0, 19.0))
SOLVER_SECONDS = 10.0
ORIGIN = np.zeros(2)


def main() -> None:
    """Print the tables."""
    print("Order of scattered runs on 300 x 300 mm; mm carried, ratio to the solver's in 10 s; bar 1.12")
    print(f"{'runs':>5}{'nearest':>9}{'ours':>8}{'solver':>8}{'ratio':>7}{'ms':>7}")
    for count, seed in ((100, 0), (101, 1), (200, 2), (201, 3), (300, 4), (301, 5)):
        _order_row(scattered(count, seed))
    network = _network(_layout("hare-page.jpg"))[1]
    print("\nRetraced length where many nodes are odd; all pairs offered, and near ones; bar 1 % over")
    print(f"{'odd':>5}{'all, mm':>10}{'ms':>7}{'near, mm':>10}{'ms':>7}{'over':>8}")
    for one in (network, *(mesh(size, size) for size in (300, 500, 800))):
        _retrace_row(one)
    print("\nTurning at nodes, degrees; least: the best pairing at each node, were all trails to come of it")
    heads = f"{'over 150':>10}{'right back, not at a free end':>31}"
    print(f"{'':12}{'plunges':>8}{'degrees':>9}{'least':>8}{'over':>7}{heads}")
    for name, again in (("no retracing", False), ("retracing", True)):
        _turning_row(name, network, again=again)
    print("\nProcessor time on the hare (median of 5, warm); bar 150 ms in all")
    _times(_layout("hare-page.jpg"))


def scattered(count: int, seed: int) -> Array:
    """Return ends (n, 2, 2) of runs, wood mm; with odd seeds both ends of a run are near each other."""
    ends = np.random.default_rng(seed).random((count, 2, 2)) * 300
    ends[:, 1] = np.where(seed % 2, ends[:, 0] + 0.2 * (ends[:, 1] - ends[:, 0]), ends[:, 1])
    return ends


def straight_runs(ends: Array) -> list[Run]:
    """Return a straight run between each two ends."""
    return [
        Run(k, k, (Leg(k, 0.0, 1.0, retraced=False, curves=bezier.from_polyline(points)),))
        for k, points in enumerate(ends, start=1)
    ]


def solved(ends: Array, start: Array, *, seconds: float) -> float:
    """Return the mm carried from `start` on in the order and directions that OR-Tools finds in `seconds`.

    Each run is two nodes, one a direction, of which one is visited; guided local search.
    """
    from ortools.constraint_solver import pywrapcp, routing_enums_pb2

    came = np.vstack([start, ends.reshape(-1, 2)])
    left = np.vstack([start, ends[:, ::-1].reshape(-1, 2)])
    far = np.hypot(*(left[:, None] - came[None]).transpose(2, 0, 1))
    far[:, 0] = 0.0  # the tour ends where the last run does
    manager = pywrapcp.RoutingIndexManager(len(came), 1, 0)
    model = pywrapcp.RoutingModel(manager)
    model.SetArcCostEvaluatorOfAllVehicles(
        model.RegisterTransitMatrix(np.rint(far * 1000).astype(int).tolist())
    )
    for run in range(len(ends)):
        model.AddDisjunction([manager.NodeToIndex(2 * run + side) for side in (1, 2)], 10**8, 1)
    settings = pywrapcp.DefaultRoutingSearchParameters()
    settings.first_solution_strategy = routing_enums_pb2.FirstSolutionStrategy.PATH_CHEAPEST_ARC
    settings.local_search_metaheuristic = routing_enums_pb2.LocalSearchMetaheuristic.GUIDED_LOCAL_SEARCH
    settings.time_limit.FromMilliseconds(int(seconds * 1000))
    return float(model.SolveWithParameters(settings).ObjectiveValue()) / 1000


def mesh(size: int, seed: int) -> Network:
    """Return a network of straight strokes between scattered points: Delaunay's, some left out."""
    from scipy.spatial import Delaunay

    from tracer.model.drawing import Joint, Stroke

    rng = np.random.default_rng(seed)
    points = rng.random((size, 2)) * 300
    pairs = {tuple(sorted((int(t[i]), int(t[i - 1])))) for t in Delaunay(points).simplices for i in range(3)}
    kept = [pair for pair in sorted(pairs) if rng.random() < 0.7]
    strokes = [
        Stroke(number, bezier.from_polyline(points[list(pair)]), closed=False, kind="line")
        for number, pair in enumerate(kept, start=1)
    ]
    members: dict[int, list[tuple[int, float]]] = {}
    for stroke, pair in zip(strokes, kept, strict=True):
        for t, node in enumerate(pair):
            members.setdefault(node, []).append((stroke.number, float(t)))
    return build_network(strokes, [Joint(points[node], tuple(met)) for node, met in members.items()])


def _layout(name: str) -> Layout:
    return lay_out({0: tracer.trace(ART / name)}, BOARD)


def _network(layout: Layout) -> tuple[Network, Network]:
    """Return the network as drawn, and with hops."""
    strokes, groove = layout.strokes, BOARD.groove
    drawn = build_network(strokes, layout.joints)
    part = {edge.stroke.number: int(drawn.parts[edge.tail]) for edge in drawn.edges}
    numbers = [stroke.number for stroke in strokes]
    parts = np.array([part[number] for number in numbers], dtype=np.intp)
    hops = find_hops(sample(strokes, groove / 4), numbers, parts, groove / 2)
    return drawn, build_network(strokes, layout.joints, hops)


def _order_row(ends: Array) -> None:
    runs = straight_runs(ends)
    began = time.process_time()
    ordered = in_order(runs, {}, ORIGIN)
    took = time.process_time() - began
    ours = float(np.hypot(*ordered[0].start)) + carrying_over(ordered)
    free, here, nearest = [*ends, *ends[:, ::-1]], ORIGIN, 0.0
    while free:
        far = np.hypot(*(np.array([one[0] for one in free]) - here).T)
        index = int(far.argmin())
        nearest, here, half = nearest + float(far[index]), free[index][1], len(free) // 2
        free = [one for k, one in enumerate(free) if k % half != index % half]
    theirs = solved(ends, ORIGIN, seconds=SOLVER_SECONDS)
    missed = "" if ours <= 1.12 * theirs else " MISSED"
    row = f"{len(ends):5}{nearest:9.0f}{ours:8.0f}{theirs:8.0f}{ours / theirs:7.3f}{took * 1000:7.0f}{missed}"
    print(row)


def _retrace_row(network: Network) -> None:
    odd = np.flatnonzero(network.degrees % 2)
    part = np.bincount(network.parts[odd]).argmax()
    odd = odd[network.parts[odd] == part]
    began = time.process_time()
    ways, nodes = Ways(network), odd.tolist()
    distance = retrace.distances([ways.leading(node)[0] for node in nodes], nodes)
    pairs = retrace.matched(distance) or []
    whole_ms = (time.process_time() - began) * 1000
    whole = sum(distance[i, j] for i, j in pairs)
    began = time.process_time()
    again = retrace.least_again(network, ways, nodes)
    near_ms, near = (time.process_time() - began) * 1000, float(network.lengths[again].sum())
    missed = "" if near <= 1.01 * whole else " MISSED"
    row = f"{len(odd):5}{whole:10.1f}{whole_ms:7.0f}{near:10.1f}{near_ms:7.0f}{near / whole - 1:8.2%}{missed}"
    print(row)


def _turning_row(name: str, network: Network, *, again: bool) -> None:
    followed = np.arange(len(network.edges))
    if again:
        followed = np.concatenate([followed, retrace.retraced_edges(network)])
    ends, directions = network.ends[followed], network.directions[followed]
    found = trails.find_trails(ends.tolist(), directions)
    turns = [turn for trail in found for turn in _turns(trail, ends, directions)]
    free = set(np.flatnonzero(network.degrees == 1).tolist())
    sharp = sum(turn > trails.SHARP and node not in free for node, turn in turns)
    steps = [(a, b) for trail in found for a, b in pairwise(trail) if followed[a.edge] == followed[b.edge]]
    back = sum(int(ends[a.edge][int(a.forward)]) not in free for a, _ in steps)
    ours, least = sum(turn for _, turn in turns), _least_turning(ends, directions)
    angles = f"{np.degrees(ours):9.0f}{np.degrees(least):8.0f}{ours / least - 1:7.1%}"
    print(f"{name:12}{len(found):8}{angles}{sharp - back:10}{back:31}")


def _turns(trail: list[trails.Step], ends: Array, directions: Array) -> Iterator[tuple[int, float]]:
    """Yield the node and the angle turned between each step and the next, also round a closed trail."""
    sides = [(0, 1) if step.forward else (1, 0) for step in trail]
    first, last = ends[trail[0].edge, sides[0][0]], ends[trail[-1].edge, sides[-1][1]]
    closing = [(len(trail) - 1, 0)] if first == last else []
    for i, j in [*pairwise(range(len(trail))), *closing]:
        into, out = -directions[trail[i].edge, sides[i][1]], directions[trail[j].edge, sides[j][0]]
        yield int(ends[trail[i].edge, sides[i][1]]), float(np.arccos(np.clip(into @ out, -1, 1)))


def _least_turning(ends: Array, directions: Array) -> float:
    """Return the least sum of angles over all pairings at each node, one left over where odd."""
    halves: dict[int, list[Array]] = {}
    for node, direction in zip(ends.ravel().tolist(), directions.reshape(-1, 2), strict=True):
        halves.setdefault(node, []).append(direction)
    return sum(_least_pairs(tuple(map(tuple, met))) for met in halves.values())


def _least_pairs(met: tuple[tuple[float, float], ...]) -> float:
    if len(met) < 2:
        return 0.0
    (x, y), rest = met[0], met[1:]
    costs = [
        float(np.arccos(np.clip(-x * a - y * b, -1, 1))) + _least_pairs(rest[:k] + rest[k + 1 :])
        for k, (a, b) in enumerate(rest)
    ]
    return min([*costs, _least_pairs(rest)] if len(met) % 2 else costs)


def _times(layout: Layout) -> None:
    strokes, groove = layout.strokes, BOARD.groove
    samples, numbers = sample(strokes, groove / 4), [stroke.number for stroke in strokes]
    drawn, joined = _network(layout)
    part = {edge.stroke.number: int(drawn.parts[edge.tail]) for edge in drawn.edges}
    parts = np.array([part[number] for number in numbers], dtype=np.intp)
    hops = find_hops(samples, numbers, parts, groove / 2)
    runs = routes.with_retracing(joined)
    steps: list[tuple[str, Callable[[], object]]] = [
        ("network", lambda: build_network(strokes, layout.joints).parts),
        ("hops", lambda: find_hops(samples, numbers, parts, groove / 2)),
        ("network with hops", lambda: build_network(strokes, layout.joints, hops).parts),
        ("runs", lambda: routes.with_retracing(joined)),
        ("order", lambda: in_order(runs, {}, ORIGIN)),
    ]
    took = {name: _median_ms(step) for name, step in steps}
    for name, ms in took.items():
        print(f"{name:20}{ms:6.0f} ms")
    total = sum(took.values())
    edges = f"{len(drawn.edges)} edges, {len(hops)} hops, {len(runs)} runs"
    print(f"{'in all':20}{total:6.0f} ms{'' if total <= 150 else ' MISSED'}   ({edges})")


def _median_ms(step: Callable[[], object]) -> float:
    times = []
    for _ in range(6):
        began = time.process_time()
        step()
        times.append(time.process_time() - began)
    return statistics.median(times[1:]) * 1000


if __name__ == "__main__":
    main()
