"""Solve the problem of the stringer lines (docs/layout.md) as a mixed-integer
program with HiGHS, by scipy.optimize.milp. It shares no code with the layout:
it reads the numbers of a problem and nothing else.

Usage: lines.py PROBLEMS.json > ANSWERS.json
"""
import json
import math
import sys
import time

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_matrix

EPS = 1e-6


def solve(cost, rows, lo, hi, upper):
    """min cost x, lo <= rows x <= hi, 0 <= x <= upper, x whole."""
    r, c, v = zip(*[(i, j, a) for i, row in enumerate(rows) for j, a in row.items()])
    m = csr_matrix((v, (r, c)), shape=(len(rows), len(cost)))
    res = milp(cost, constraints=LinearConstraint(m, lo, hi), integrality=np.ones(len(cost)),
               bounds=Bounds(0, upper), options={"mip_rel_gap": 0, "time_limit": 600})
    if res.status != 0:
        return math.inf, None
    return res.fun, res.x


def between_cost(p, k, reach):
    """Props between the first and last of a piece: some are graded."""
    graded = 0
    if p["grade_props_apart_mm"] > 0:
        graded = min(k, math.ceil(reach / p["grade_props_apart_mm"] - EPS) - 1)
    return (k - graded) * p["cost_of_an_intermediate_prop"] + graded * p["cost_of_a_grade_prop"]


def pieces(p, reaches, less):
    """Every way to lay one piece: (grid steps it bridges, cost)."""
    out = []
    for s in p["stringers"]:
        most = s["length_mm"] - less
        for k, r in enumerate(reaches or []):
            reach = min(most, r)
            steps = math.floor(reach / p["grid_mm"] + EPS)
            if steps >= 1:
                out.append((steps, s["cost"] + between_cost(p, k, reach)))
    return out


def lapped_cost(p, level, length, known):
    """The cheapest two or more lapping pieces over a run, by an integer program:
    how many of each piece bridge it, one at each end."""
    n = math.ceil(length / p["grid_mm"] - EPS)
    key = (level, n)
    if key in known:
        return known[key]
    l = p["levels"][level]
    lap, half = p["lap_mm"], p["stringer_past_joist_mm"]
    end = pieces(p, l["outer_reach_mm"], lap / 2 + half)
    mid = pieces(p, l["inner_reach_mm"], lap)
    grade = p["cost_of_a_grade_prop"]
    if not end:
        known[key] = math.inf
        return math.inf
    cost = [c for _, c in end] + [c + grade for _, c in mid]
    reach = {i: float(r) for i, (r, _) in enumerate(end + mid)}
    ends = {i: 1.0 for i in range(len(end))}
    best, _ = solve(np.array(cost), [reach, ends], [n, 2], [np.inf, 2], np.array([2.0] * len(end) + [200.0] * len(mid)))
    known[key] = best + grade  # the prop in the lap of the two end pieces; each mid piece brings one
    return known[key]


def run_cost(p, run, level, known):
    length, room = run["first_to_last_joist_mm"], run["room_mm"]
    half, grade = p["stringer_past_joist_mm"], p["cost_of_a_grade_prop"]
    need = length + 2 * half
    only = p["levels"][level]["only"]
    i = math.ceil(length / p["pitch_mm"] - EPS)
    alone = only[i] if i < len(only) else -1
    best = math.inf
    for s in p["stringers"]:
        if need <= s["length_mm"] <= room:
            if alone >= 0:
                best = s["cost"] + between_cost(p, alone, length)
            break
    if p["stringers"][0]["length_mm"] <= room:
        best = min(best, lapped_cost(p, level, length, known))
    if best == math.inf and need <= p["stringers"][-1]["length_mm"] and (need > 400 or p["stringers_cut_to_length"]) and alone >= 0:
        best = p["stringers"][0]["cost"] + p["cost_of_a_cut"] + between_cost(p, alone, length)
    if best == math.inf:
        return (1 + round(length / p["pitch_mm"])) * p["cost_of_an_end_alone"]
    return best + 2 * grade


class Lines:
    def __init__(self, p):
        self.p = p
        self.runs_known, self.line_known = {}, {}

    def level(self, band):
        return max(0, math.ceil(band / self.p["level_step_mm"] - EPS))

    def line(self, y, level):
        """Cost of a line at y that carries so many levels."""
        p = self.p
        if "widest_band_mm" in p and (level - 1) * p["level_step_mm"] >= p["widest_band_mm"]:
            return math.inf
        i = math.floor((y - p["runs_from_mm"]) / p["grid_mm"] + EPS)
        i = min(max(i, 0), len(p["runs"]) - 1)
        runs = p["runs"][i] or []
        key = (tuple((r["first_to_last_joist_mm"], r["room_mm"]) for r in runs), p["missed"][i], level)
        if key not in self.line_known:
            self.line_known[key] = p["missed"][i] * p["cost_of_an_end_alone"] + sum(run_cost(p, r, level, self.runs_known) for r in runs)
        return self.line_known[key]

    def unserved(self, a, b):
        """Ends whose window lies strictly between two lines, each at its cost."""
        n = 0
        for e in self.p["ends"]:
            if e["at_mm"] + e["window_from_mm"] > a + EPS and e["at_mm"] + e["window_to_mm"] < b - EPS:
                n += e["weight"]
        return n * self.p["cost_of_an_end_alone"]

    def past(self, y, upper):
        p = self.p
        d = min(max(p["deck_to_mm"] - y if upper else y - p["deck_from_mm"], 0), p["stub_mm"])
        return d - min(d, p["working_strip_mm"]) * (1 - p["working_strip_load_share"])

    def uncarried(self, a, b):
        """Joists between two heights that no line carries."""
        p = self.p
        i0 = max(0, round((a - p["runs_from_mm"]) / p["grid_mm"]))
        i1 = max(i0, min(len(p["crossing"]), round((b - p["runs_from_mm"]) / p["grid_mm"])))
        return sum(p["crossing"][i0:i1]) * p["grid_mm"] / p["longest_bay_mm"][0] * p["cost_of_an_end_alone"]

    def stock(self, length):
        p = self.p
        n = math.ceil(length / p["grid_mm"] - EPS)
        fit = [s["cost"] for s in p["joists"] if s["length_mm"] >= n * p["grid_mm"] - EPS]
        if fit:
            return min(fit)
        return 2 * p["joists"][-1]["cost"] + p["cost_of_an_end_alone"]

    def cut(self, s, y):
        return s["from_mm"] + self.p["stub_mm"] < y < s["to_mm"] - self.p["stub_mm"]

    def joists(self, y, u):
        """What joists between two lap lines cost, strip by strip."""
        p, half = self.p, self.p["lap_mm"] / 2
        total = 0.0
        for s in p["strips"]:
            a, b, n = s["from_mm"], s["to_mm"], s["count"]
            if self.cut(s, y):
                start = y - half
            elif y >= b - p["stub_mm"] and y > a:
                continue  # ended before
            else:
                start = a
                if u <= a + p["stub_mm"]:
                    continue  # too near to its start: begins with the next segment
            if u < b - p["stub_mm"]:
                total += n * self.stock(u + half - start)
                if self.cut(s, y):
                    total += n * self.off_row(u, half)
            else:
                total += n * self.stock(b - start)
        return total

    def off_row(self, y, tail):
        """Extra for a joist where no border of sheet rows falls into the lap."""
        p = self.p
        if tail >= p["sheet_row_mm"]:
            return 0.0
        off = math.fmod(y - p["deck_from_mm"], p["sheet_row_mm"])
        off = min(abs(off), p["sheet_row_mm"] - abs(off))
        if off <= tail - 20:
            return 0.0
        return p["joists"][-1]["cost"] * p["pitch_mm"] / p["sheet_length_mm"]

    def program(self):
        """The integer program: arcs between lap lines, and one level for each line."""
        p = self.p
        ys = p["lines_may_lie_at_mm"]
        cost, rows = [], []
        var = lambda c: cost.append(c) or len(cost) - 1
        n = len(ys)
        flow = [dict() for _ in ys]       # in - out = 0
        lev = [dict() for _ in ys]        # level by segments - level chosen = 0
        one = {}
        longest = p["joists"][-1]["length_mm"]
        for t, y in enumerate(ys):
            s = var(self.unserved(-math.inf, y) + self.uncarried(ys[0], y - math.floor(p["stub_mm"] / p["grid_mm"]) * p["grid_mm"]))
            flow[t][s], one[s] = 1.0, 1.0
            lev[t][s] = float(self.level(self.past(y, False)))
            e = var(self.unserved(y, math.inf) + self.uncarried(y + math.floor(p["stub_mm"] / p["grid_mm"]) * p["grid_mm"], ys[-1]))
            flow[t][e] = -1.0
            lev[t][e] = float(self.level(self.past(y, True)))
            self.first, self.last = getattr(self, "first", []) + [s], getattr(self, "last", []) + [e]
        top = [0] * n
        for t in range(n):
            for u in range(t + 1, n):
                d = ys[u] - ys[t]
                if d < p["least_distance_of_lap_lines_mm"] - EPS:
                    continue
                if d > math.floor(longest / p["grid_mm"]) * p["grid_mm"] + EPS:
                    break
                j = None
                for m in range(1, 5):
                    bay = d / m
                    if bay > p["longest_bay_mm"][m - 1] or bay < p["least_bay_mm"]:
                        continue
                    c = 0.0
                    for i in range(1, m + 1):
                        y = ys[t] + i * bay
                        c += self.unserved(y - bay, y)
                        if i < m:
                            c += self.line(y, self.level(bay * p["inner_share"][m - 1]))
                    if c == math.inf:
                        continue
                    if j is None:
                        j = self.joists(ys[t], ys[u])
                    w = self.level(bay * p["lap_share"][m - 1] / 2)
                    x = var(c + j)
                    flow[t][x], flow[u][x] = -1.0, 1.0
                    lev[t][x] = lev[u][x] = float(w)
                    top[t], top[u] = max(top[t], w), max(top[u], w)
        pick = []
        for t, y in enumerate(ys):
            most = 2 * max(top[t], self.level(p["stub_mm"]))
            visited = {self.first[t]: -1.0}
            for x, a in flow[t].items():
                if a > 0 and x != self.first[t]:
                    visited[x] = -1.0
            for w in range(0, min(most, len(p["levels"]) - 1) + 1):
                c = self.line(y, w)
                if c < math.inf:
                    z = var(c)
                    lev[t][z] = lev[t].get(z, 0.0) - float(w)
                    visited[z] = 1.0
            pick.append(visited)
        # A first line is not the last: at least two lines.
        for t in range(n):
            rows.append({self.first[t]: 1.0, self.last[t]: 1.0})
        lo, hi = [0.0] * n, [1.0] * n
        for group in (flow, lev, pick):
            for r in group:
                rows.append(r)
                lo.append(0.0), hi.append(0.0)
        rows.append(one)
        lo.append(1.0), hi.append(1.0)
        best, _ = solve(np.array(cost), rows, np.array(lo), np.array(hi), np.ones(len(cost)))
        return best, len(cost)


def main():
    out = []
    for p in json.load(open(sys.argv[1])):
        start = time.process_time()
        best, n = Lines(p).program()
        out.append({"cost": best, "seconds": time.process_time() - start, "variables": n})
    json.dump(out, sys.stdout)


main()
