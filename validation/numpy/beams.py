"""Solve continuous beams by finite elements, for comparison with internal/beam.

Written to be unlike the Go solver: one dense stiffness matrix over all nodes
(two unknowns each: deflection w, downward, and slope), cubic elements with
consistent nodal loads, rigid supports by striking out their unknown, nodes at
every support, load end and probe. Push-only supports are found by trying every
choice of lifted ones. Equations are solved in double precision and refined in
extended precision, since fine meshes are badly conditioned.

stdin:  JSON list of {start, end, ei, supports: [{x, k, push}], loads: [{from, to, w1, w2, p}], probes: [x]}
stdout: JSON list of {reactions, moments, shears, deflections} (at the probes, which
        must not lie where a point load or support is), or null where nothing holds the beam
"""

import itertools
import json
import sys

import numpy as np

LD = np.longdouble


def element(ei, h):
    """Stiffness of an element for (w1, slope1, w2, slope2)."""
    return ei / h**3 * np.array(
        [
            [12, 6 * h, -12, 6 * h],
            [6 * h, 4 * h * h, -6 * h, 2 * h * h],
            [-12, -6 * h, 12, -6 * h],
            [6 * h, 2 * h * h, -6 * h, 4 * h * h],
        ],
        dtype=LD,
    )


def consistent(qa, qb, h):
    """Nodal loads of an intensity that runs linearly from qa to qb."""
    return np.array(
        [
            h * (7 * qa + 3 * qb) / 20,
            h * h * (3 * qa + 2 * qb) / 60,
            h * (3 * qa + 7 * qb) / 20,
            -h * h * (2 * qa + 3 * qb) / 60,
        ],
        dtype=LD,
    )


class Mesh:
    def __init__(self, beam):
        self.a, self.b, self.ei = LD(beam["start"]), LD(beam["end"]), LD(beam["ei"])
        self.supports, self.loads = beam["supports"], beam["loads"]
        places = {self.a, self.b}
        places.update(LD(s["x"]) for s in self.supports)
        places.update(LD(x) for x in beam["probes"])
        for load in self.loads:
            places.update(x for x in (LD(load["from"]), LD(load["to"])) if self.a <= x <= self.b)
        self.x = sorted(places)
        self.node = {x: i for i, x in enumerate(self.x)}
        n = 2 * len(self.x)
        self.k = np.zeros((n, n), dtype=LD)
        self.f = np.zeros(n, dtype=LD)
        self.fe = []
        for i, (xa, xb) in enumerate(zip(self.x, self.x[1:])):
            h = xb - xa
            qa, qb = self.intensity(xa, xb)
            fe = consistent(qa, qb, h)
            self.fe.append(fe)
            self.f[2 * i : 2 * i + 4] += fe
            self.k[2 * i : 2 * i + 4, 2 * i : 2 * i + 4] += element(self.ei, h)
        for load in self.loads:
            if load["from"] == load["to"]:
                self.f[2 * self.node[LD(load["from"])]] += LD(load["p"])

    def intensity(self, xa, xb):
        qa = qb = LD(0)
        for load in self.loads:
            u, v = LD(load["from"]), LD(load["to"])
            if u < v and u <= xa and xb <= v:
                slope = (LD(load["w2"]) - LD(load["w1"])) / (v - u)
                qa += LD(load["w1"]) + slope * (xa - u)
                qb += LD(load["w1"]) + slope * (xb - u)
        return qa, qb

    def displacements(self, used):
        k = self.k.copy()
        free = np.ones(len(self.f), dtype=bool)
        for s in used:
            at = 2 * self.node[LD(s["x"])]
            if s["k"] > 0:
                k[at, at] += LD(s["k"])
            else:
                free[at] = False
        kk, ff = k[np.ix_(free, free)], self.f[free]
        scale = 1 / np.sqrt(np.diag(kk))
        kk, ff = kk * np.outer(scale, scale), ff * scale
        low = np.linalg.inv(kk.astype(float))
        u = np.zeros(len(ff), dtype=LD)
        for _ in range(12):
            u += (low @ (ff - kk @ u).astype(float)).astype(LD)
        full = np.zeros(len(self.f), dtype=LD)
        full[free] = u * scale
        return full

    def reactions(self, u, used):
        pull = self.f - self.k @ u  # what the supports must add, upward
        return [pull[2 * self.node[LD(s["x"])]] if s in used else LD(0) for s in self.supports]

    def solution(self):
        """Displacements and reactions with the supports that push."""
        loose = [s for s in self.supports if s["push"]]
        size = sum(abs(v) for v in self.f[::2])
        for count in range(len(loose) + 1):
            for lifted in itertools.combinations(loose, count):
                used = [s for s in self.supports if s not in lifted]
                if len(used) < 2:
                    continue
                u = self.displacements(used)
                r = self.reactions(u, used)
                deep = max(abs(u[::2]))
                pushes = all(v >= -1e-9 * size for v, s in zip(r, self.supports) if s["push"])
                clear = all(u[2 * self.node[LD(s["x"])]] <= 1e-9 * deep for s in lifted)
                if pushes and clear:
                    return u, r
        return None, None


def solve(beam):
    mesh = Mesh(beam)
    u, r = mesh.solution()
    if u is None:
        return None
    out = {"reactions": [float(v) for v in r], "moments": [], "shears": [], "deflections": []}
    for x in beam["probes"]:
        i = mesh.node[LD(x)]
        e = min(i, len(mesh.x) - 2)
        end = element(mesh.ei, mesh.x[e + 1] - mesh.x[e]) @ u[2 * e : 2 * e + 4] - mesh.fe[e]
        # end holds the downward forces and the moments in the sense of the
        # slope that the neighbours put on the element.
        shear, moment = (-end[0], end[1]) if e == i else (end[2], -end[3])
        out["moments"].append(float(moment))
        out["shears"].append(float(shear))
        out["deflections"].append(float(u[2 * i]))
    return out


json.dump([solve(b) for b in json.load(sys.stdin)], sys.stdout)
