#!/usr/bin/env python3
"""An independent audit of a plan, written from docs/plan-json.md alone.

    audit.py plan.json > result.json

It reads site, deck, parts, settings and choices; of `audit` and `summary` in the file it reads
nothing. Beams are solved by a dense stiffness matrix, areas are measured on lines that are exact
for right-angled outlines, patterns are tried out one by one. Millimetres in plan, SI elsewhere.

Result, for each pour: `fails` (member, what), `checks` (the worst of each member, kind and what),
`worst` (of each kind and what), `prop_load_N`, `area_m2`, `bare_cm2`, `applied_N`, `reactions_N`,
and `not_checked`: what this program has no code for. Such a pour is never called proved.
"""
import itertools
import json
import math
import sys

import numpy as np

G = 9.80665
PSF = 4.4482216152605 / 0.3048**2
LEVEL = 1.5  # mm within which two heights are the same
ALWAYS, PLACING, DEFLECT, GROUND = range(4)  # columns of every load


# ---------------------------------------------------------------- plane

def edges_of(ring):
    return zip(ring, ring[1:] + ring[:1])


def rings_of(shapes):
    for s in shapes or []:
        yield s["outer_mm"]
        yield from s.get("holes_mm") or []


def union(spans):
    out = []
    for a, b in sorted(spans):
        if out and a <= out[-1][1]:
            out[-1][1] = max(out[-1][1], b)
        elif b > a:
            out.append([a, b])
    return out


def common(p, q):
    """Length-wise intersection of two unions of intervals."""
    out, i, j = [], 0, 0
    while i < len(p) and j < len(q):
        a, b = max(p[i][0], q[j][0]), min(p[i][1], q[j][1])
        if b > a:
            out.append([a, b])
        if p[i][1] < q[j][1]:
            i += 1
        else:
            j += 1
    return out


def total(spans):
    return sum(b - a for a, b in spans)


def chords(rings, y):
    """Intervals of x inside the rings (holes by even-odd) on the line at y, which passes no corner."""
    xs = []
    for r in rings:
        for (x1, y1), (x2, y2) in edges_of(r):
            if (y1 > y) != (y2 > y):
                xs.append(x1 + (y - y1) * (x2 - x1) / (y2 - y1))
    xs.sort()
    return [[a, b] for a, b in zip(xs[::2], xs[1::2])]


def inside(rings, p):
    n = 0
    for r in rings:
        for (x1, y1), (x2, y2) in edges_of(r):
            if (y1 > p[1]) != (y2 > p[1]) and x1 + (p[1] - y1) * (x2 - x1) / (y2 - y1) > p[0]:
                n += 1
    return n % 2 == 1


def to_segment(p, a, b):
    ax, ay, bx, by = *a, *b
    l2 = (bx - ax) ** 2 + (by - ay) ** 2
    t = 0 if l2 == 0 else max(0, min(1, ((p[0] - ax) * (bx - ax) + (p[1] - ay) * (by - ay)) / l2))
    return math.hypot(p[0] - ax - t * (bx - ax), p[1] - ay - t * (by - ay))


def to_border(rings, p):
    return min((to_segment(p, a, b) for r in rings for a, b in edges_of(r)), default=math.inf)


def area(ring):
    return 0.5 * sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in edges_of(ring))


def shapes_area(shapes):
    return sum(abs(area(s["outer_mm"])) - sum(abs(area(h)) for h in s.get("holes_mm") or []) for s in shapes or [])


def clip(ring, convex):
    """The part of ring inside a convex counterclockwise ring."""
    out = ring
    for (ax, ay), (bx, by) in edges_of(convex):
        side = [(bx - ax) * (y - ay) - (by - ay) * (x - ax) for x, y in out]
        nxt = []
        for i, p in enumerate(out):
            q, s, t = out[(i + 1) % len(out)], side[i], side[(i + 1) % len(out)]
            if s >= 0:
                nxt.append(p)
            if (s > 0 > t) or (s < 0 < t):
                k = s / (s - t)
                nxt.append([p[0] + k * (q[0] - p[0]), p[1] + k * (q[1] - p[1])])
        out = nxt
        if not out:
            return []
    return out


def box(ring):
    xs, ys = [p[0] for p in ring], [p[1] for p in ring]
    return min(xs), min(ys), max(xs), max(ys)


def apart(p, q):
    return p[0] >= q[2] or q[0] >= p[2] or p[1] >= q[3] or q[1] >= p[3]


def lines_through(rings, fine):
    """Rows (y, height) that cut the rings between all their corners, fine where a border slants."""
    ys = sorted({round(p[1], 4) for r in rings for p in r})
    slanted = []
    for r in rings:
        for (x1, y1), (x2, y2) in edges_of(r):
            if abs(x2 - x1) > 1e-6 and abs(y2 - y1) > 1e-6:
                slanted.append((min(y1, y2), max(y1, y2)))
    slanted = union(slanted)
    for a, b in zip(ys, ys[1:]):
        n = 1
        if common([[a, b]], slanted):
            n = max(1, math.ceil((b - a) / fine))
        for i in range(n):
            yield a + (i + 0.5) * (b - a) / n, (b - a) / n


# ---------------------------------------------------------------- beams

class Beam:
    """A prismatic beam on rigid supports, by the stiffness matrix of its nodes.

    lines: (a, b, [4 loads per length]); points: (x, [4 loads]); lengths in metres.
    held: the supports that hold down too, by number; the others only push.
    """

    def __init__(self, start, end, supports, ei, lines, points, held=()):
        self.supports, self.ei, self.held = sorted(supports), ei, set(held)
        xs = [start, end] + self.supports
        for x in sorted([l[i] for l in lines for i in (0, 1)] + [p[0] for p in points]):
            x = min(max(x, start), end)
            if min(abs(x - y) for y in xs) > 1e-3:
                xs.append(x)
        self.x = np.array(sorted(set(xs)))
        if len(self.x) < 2:
            raise ValueError("a beam of no length")
        n, ns = len(self.x), len(self.supports)
        self.len = np.diff(self.x)
        sup = np.array(self.supports)
        self.node_of = [int(np.argmin(abs(self.x - s))) for s in sup]

        def group(x):  # a load over a support goes with the span to its right
            return int(np.searchsorted(sup, x + 1e-9, side="right"))

        # columns: always, deflection, ground, then the placing load of each group
        w, p = np.zeros((3 + ns + 1, n - 1)), np.zeros((3 + ns + 1, n))

        def put(target, i, g, load):
            target[0, i] += load[ALWAYS]
            target[1, i] += load[DEFLECT]
            target[2, i] += load[GROUND]
            target[3 + g, i] += load[PLACING]

        near = lambda x: int(np.argmin(abs(self.x - x)))
        for a, b, load in lines:
            i, j = near(a), near(b)
            load = np.asarray(load, float) * (b - a)
            if i == j:
                put(p, i, group(self.x[i]), load)
                continue
            for e in range(i, j):
                put(w, e, group((self.x[e] + self.x[e + 1]) / 2), load / (self.x[j] - self.x[i]))
        for x, load in points:
            put(p, near(x), group(min(max(x, start), end)), load)
        live = [0, 1, 2] + [3 + g for g in range(ns + 1) if w[3 + g].any() or p[3 + g].any()]
        self.w, self.p = w[live], p[live]
        self.groups = len(live) - 3
        self._solved = {}
        self.k = np.zeros((2 * n, 2 * n))
        self.f = np.zeros((2 * n, len(live)))
        for e, l in enumerate(self.len):
            k = ei / l**3 * np.array([[12, 6*l, -12, 6*l], [6*l, 4*l*l, -6*l, 2*l*l],
                                      [-12, -6*l, 12, -6*l], [6*l, 2*l*l, -6*l, 4*l*l]])
            d = slice(2 * e, 2 * e + 4)
            self.k[d, d] += k
            self.f[d] += np.outer([l / 2, l * l / 12, l / 2, -l * l / 12], self.w[:, e])
        self.f[0::2] += self.p.T

    def solve(self, on):
        """Displacements and reactions of every column with the supports in `on`."""
        if on not in self._solved:
            fixed = [2 * self.node_of[i] for i in on]
            free = [i for i in range(len(self.k)) if i not in set(fixed)]
            u = np.zeros_like(self.f)
            u[free] = np.linalg.solve(self.k[np.ix_(free, free)], self.f[free])
            r = np.zeros((len(self.supports), self.f.shape[1]))
            r[list(on)] = (self.f - self.k @ u)[fixed]
            self._solved[on] = u, r
        return self._solved[on]

    def settle(self, c):
        """The supports in use under the combination c of the columns, and their reactions; None when it tips.

        Least energy with reactions that are not negative, found as non-negative least squares are: from a
        state that is possible, one support comes in where the beam sinks deepest, and those go out
        whose reaction would turn negative on the way.
        """
        ns, every = len(self.supports), tuple(range(len(self.supports)))
        force = (self.f @ c)[0::2]
        tol = 1e-6 * (1 + abs(force).sum())
        rr = self.solve(every)[1] @ c
        if all(rr[i] >= -tol or i in self.held for i in every):
            return every, rr
        if self.held:
            on = tuple(sorted(self.held))
            now = self.solve(on)[1] @ c
        else:
            at = self.middle(c)
            if at is None:
                return None
            k = int(np.searchsorted(self.supports, at))
            if at < self.supports[0] - 1e-6 or at > self.supports[-1] + 1e-6:
                return None
            k = min(max(k, 1), ns - 1)
            on = (k - 1, k)
            now = np.maximum(self.solve(on)[1] @ c, 0)
        for _ in range(10 * ns + 10):
            u, r = self.solve(on)
            new = r @ c
            out = [i for i in on if i not in self.held and new[i] < -tol]
            if out and len(on) > 2:
                i = min(out, key=lambda i: now[i] / (now[i] - new[i]))
                now = now + now[i] / (now[i] - new[i]) * (new - now)
                now[i] = 0
                on = tuple(k for k in on if k != i)
                continue
            now, d = new, (u @ c)[0::2]
            sunk = [i for i in every if i not in on and d[self.node_of[i]] > 1e-9 * self.x[-1]]
            if not sunk:
                return on, now
            on = tuple(sorted(on + (max(sunk, key=lambda i: d[self.node_of[i]]),)))
        raise ValueError("the supports of a beam do not settle")

    def middle(self, c):
        """Where the resultant of the loads acts; None when it does not act downward."""
        w, p = (c @ self.w) * self.len, c @ self.p
        if w.sum() + p.sum() <= 0:
            return None
        return (w @ (self.x[:-1] + self.len / 2) + p @ self.x) / (w.sum() + p.sum())

    def inner(self, c, rr):
        """Shear and moment at the left of every element, and the load on it."""
        v = np.concatenate([[0], np.cumsum((c @ self.w) * self.len)])
        jump = -(c @ self.p)
        for i, k in enumerate(self.node_of):
            jump[k] += rr[i]
        vl = np.cumsum(jump)[:-1] - v[:-1]
        w = c @ self.w
        m = np.concatenate([[0], np.cumsum(vl * self.len - w * self.len**2 / 2)])
        return vl, m, w

    def effects(self, c, rr):
        vl, m, w = self.inner(c, rr)
        vr = vl - w * self.len
        shear = max(abs(vl).max(), abs(vr).max())
        moment = abs(m).max()
        cross = (vl * vr < 0)
        if cross.any():
            moment = max(moment, abs(m[:-1][cross] + vl[cross] ** 2 / (2 * w[cross])).max())
        return moment, shear

    def combos(self):
        """All patterns of up to 11 groups; of more, those that are worst for one effect while all supports
        hold, and what one group more or less makes of them."""
        k = self.groups
        if k <= 11:
            pats = np.array(list(itertools.product((0, 1), repeat=k)), float).reshape(2**k, k)
        else:
            u, r = self.solve(tuple(range(len(self.supports))))
            eff = [r[i, 3:] for i in range(len(r))]
            cols = [self.inner(np.eye(3 + k)[3 + g], r[:, 3 + g]) for g in range(k)]
            v, m = np.array([q[0] for q in cols]), np.array([q[1] for q in cols])
            eff += list(v.T) + list(m.T)
            rows = {tuple((s * e > 0).astype(int)) for e in eff for s in (1, -1)}
            rows |= {(1,) * k, (0,) * k}
            rows |= {t[:i] + (1 - t[i],) + t[i + 1:] for t in rows for i in range(k)}
            pats = np.array(sorted(rows), float)
        return np.hstack([np.ones((len(pats), 1)), np.zeros((len(pats), 2)), pats])

    def worst(self):
        """Greatest moment, shear, reactions and pull of all patterns. A beam that tips in one of them is
        fixed down at its first and last support in all."""
        combos = [(c, self.settle(c)) for c in self.combos()]
        if any(r is None for _, r in combos):
            self.held |= {0, len(self.supports) - 1}
            combos = [(c, self.settle(c)) for c, _ in combos]
        moment = shear = 0.0
        top, low = np.full(len(self.supports), -np.inf), np.full(len(self.supports), np.inf)
        for c, (_, rr) in combos:
            m, v = self.effects(c, rr)
            moment, shear = max(moment, m), max(shear, v)
            top, low = np.maximum(top, rr), np.minimum(low, rr)
        return moment, shear, np.maximum(top, 0), max(0, -low.min())

    def reactions(self, c):
        return self.settle(np.asarray(c, float))[1]

    def column(self, i):
        return self.reactions(np.eye(len(self.w))[i])

    def full(self):
        return self.reactions([1, 0, 0] + [1] * self.groups)

    def deflections(self):
        """(span or twice the overhang, deflection) of each, everything loaded, from the level of the supports.
        Spans are those between supports that are not lifted off. An end that lifts does not sag."""
        c = np.eye(len(self.w))[1]
        on, _ = self.settle(c)
        u, w = self.solve(on)[0] @ c, c @ self.w
        t = np.linspace(0, 1, 33)
        sup = [self.supports[i] for i in on]
        bounds, out = [self.x[0]] + sup + [self.x[-1]], {}
        for e, l in enumerate(self.len):
            d = ((1 - 3*t**2 + 2*t**3) * u[2*e] + l * (t - 2*t**2 + t**3) * u[2*e+1]
                 + (3*t**2 - 2*t**3) * u[2*e+2] + l * (t**3 - t**2) * u[2*e+3]
                 + w[e] * l**4 / (24 * self.ei) * (t * (1 - t))**2)
            s = int(np.searchsorted(sup, self.x[e] + l / 2))
            over = s in (0, len(sup))
            span = (bounds[s + 1] - bounds[s]) * (2 if over else 1)
            out[s] = span, max(out.get(s, (0, 0))[1], d.max() if over else abs(d).max())
        return list(out.values())

    def applied(self, i):
        return float(self.w[i] @ self.len + self.p[i].sum())


# ---------------------------------------------------------------- resistances

def si(value):
    if not value["known"]:
        raise ValueError("a value that is not known is used")
    return value["si"]


def panel(part, s, strong):
    """Moment, shear and EI of a sheet per metre of width."""
    if part.get("apa"):
        a, d = part["apa"], ("par" if strong else "perp")
        cd = min(1, s["load_duration"] / 1.25) if a["duration_in_stress"] else s["load_duration"]
        return (si(a["F_b_Pa"]) * cd * si(a[f"KS_{d}_m3_per_m"]), si(a["F_s_Pa"]) * cd * si(a[f"IbQ_{d}_m2_per_m"]),
                si(a["E_e_Pa"]) * si(a[f"I_{d}_m4_per_m"]))
    a, d, t = part["ec5_panel"], ("Par" if strong else "Perp"), si(part["depth_m"])
    k = si(a["Kmod"]) / si(a["GammaM"]) / (1.15 if s["class_b2"] else 1)
    return si(a["Fm" + d]) * k * t * t / 6, 2 / 3 * si(a["Fr" + d]) * k * t, si(a["E" + d]) * t**3 / 12


def timber_beam(part, s):
    """Moment, shear, support reaction and EI of an EN 13377 beam."""
    b = part["i_beam"]
    k = si(b["Kmod"]) / si(b["GammaM"])
    k = k / si(b["GammaF"]) if s["basis"] == "us" else k / (1.15 if s["class_b2"] else 1)
    return si(b["Mk"]) * k, si(b["Vk"]) * k, si(b["Rk"]) * k, si(b["EI"])


def steel_prop(part, length, s):
    """Resistance of a prop at its extension, m."""
    p = part["prop"]
    lmax, rated = si(p["Longest"]), part.get("rated")
    if rated and rated["Load"]["known"] and s["basis"] == "us":
        return si(rated["Load"])
    kn = {"A": lambda: min(51 * lmax / length**2, 44), "B": lambda: min(68 * lmax / length**2, 51),
          "C": lambda: min(102 * lmax / length**2, 59.5), "D": lambda: 34, "E": lambda: 51}
    if p["Class"] in kn:
        r = 1000 * kn[p["Class"]]()
        return r / s["prop_divisor"] if s["basis"] == "us" else r / 1.1 / (1.15 if s["class_b2"] else 1)
    if rated and rated["Load"]["known"]:
        return 1.35 * si(rated["Load"])
    return None


# ---------------------------------------------------------------- the pour

class Pour:
    def __init__(self, doc, pour):
        self.s, self.choices, self.parts = doc["settings"], doc["choices"], doc["parts"]
        self.site = pour["site"]
        self.deck = {k: v or [] for k, v in pour["deck"].items()}
        self.fields = {f["name"]: f for f in self.deck["fields"]}
        self.zones = {z["name"]: z for z in self.site["zones"]}
        self.checks, self.fails, self.skipped = {}, [], set()
        self.us = self.s["basis"] == "us"
        if any(z.get("room") for z in self.zones.values()) or any(f.get("kind") for f in self.deck["edge_forms"]):
            self.skipped.add("side and step forms, and the decks beside them")
        if any(self.site.get(k) for k in ("joints", "keep", "forbid")):
            self.skipped.add("joints, kept and forbidden parts")
        self.fall = self.site.get("fall")
        if self.fall:
            self.skipped.add("all but heights, lengths and settings under a soffit that falls")

    def check(self, member, kind, what, value, limit):
        ratio = value / limit if limit > 0 else (999 if value > 0 else 0)
        key = (member, kind, what)
        if key not in self.checks or ratio > self.checks[key][2]:
            self.checks[key] = (value, limit, ratio)

    def fail(self, member, what):
        self.fails.append({"member": member, "what": what})

    def part(self, pid):
        return self.parts[pid]

    # loads

    def loads(self):
        """Per zone [always, placing, deflection, ground] in Pa, and the strip's by the zone of the field."""
        s, f = self.s, 1 if self.us else 1.35
        fq = 1 if self.us else 1.5
        mass, area_of = {}, {}
        for sh in self.deck["sheets"]:
            z = self.fields[sh["field"]]["zone"]
            a, p = abs(shapes_area([sh["shape"]])) * 1e-6, self.part(sh["part"])
            area_of[z] = area_of.get(z, 0) + a
            mass[z] = mass.get(z, 0) + a * si(p["mass_kg"]) / si(p["length_m"]) / si(p["width_m"])
        for m in self.deck["joists"] + self.deck["stringers"]:
            z, p = self.fields[m["field"]]["zone"], self.part(m["part"])
            mass[z] = mass.get(z, 0) + math.dist(m["from_mm"], m["to_mm"]) * 1e-3 * si(p["mass_kg"]) / si(p["length_m"])
        self.zone_load, self.strip_load, self.raw, self.forms_total = {}, {}, {}, 0.0
        for name, z in self.zones.items():
            forms = max(s["form_allowance_Pa"], G * mass.get(name, 0) / area_of[name] if area_of.get(name) else 0)
            dc = s["concrete_N_per_m3"] * z["thickness_mm"] / 1000
            if self.us:
                cart = s["motor_carts"]
                live = max(s["live_Pa"], (75 if cart else 50) * PSF)
                live = max(live, (125 if cart else 100) * PSF - forms - dc)
            else:
                live = max(s["live_Pa"], 750) + min(max(0.1 * dc, 750), 1750)
            without = s["deflection_concrete_only"]
            self.raw[name] = forms, dc, live
            self.forms_total += forms * area_of.get(name, 0)
            self.zone_load[name] = np.array([f * forms, fq * (dc + live), forms + dc + (0 if without else live),
                                             forms + dc + live])
            ls = s["strip_live_Pa"]
            self.strip_load[name] = np.array([f * forms, fq * ls, forms + (0 if without else ls), forms + ls])

    # who carries whom

    def span_of(self, m):
        return math.dist(m["from_mm"], m["to_mm"])

    def along(self, m, p):
        """Distance of p along the member from its beginning, and to its left."""
        (ax, ay), (bx, by) = m["from_mm"], m["to_mm"]
        l = self.span_of(m)
        ux, uy = (bx - ax) / l, (by - ay) / l
        return (p[0] - ax) * ux + (p[1] - ay) * uy, (p[1] - ay) * ux - (p[0] - ax) * uy

    def props_under(self, m, kind):
        p = self.part(m["part"])
        b, under = 1000 * si(p["width_m"]), m["top_mm"] - 1000 * si(p["depth_m"])
        out = []
        for q in self.deck["props"]:
            if q["under"] != kind or abs(q["seat_mm"] - under) > LEVEL:
                continue
            t, side = self.along(m, q["at_mm"])
            if t < 15 or t > self.span_of(m) - 15:
                continue
            wide = self.part(q["head"])["head"]["SeatWide"]
            half = max(b, 1000 * wide["si"] if wide["known"] else 0) / 2
            if abs(side) <= half + 2:
                out.append((t, q, side))
        return sorted(out, key=lambda o: o[0])

    def crossing(self, j, s):
        """Where a stringer holds a joist: distance along each, or None."""
        pj, ps = self.part(j["part"]), self.part(s["part"])
        if abs(j["top_mm"] - 1000 * si(pj["depth_m"]) - s["top_mm"]) > LEVEL:
            return None
        (ax, ay), (bx, by) = j["from_mm"], j["to_mm"]
        (cx, cy), (dx, dy) = s["from_mm"], s["to_mm"]
        det = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
        if abs(det) < 1e-6 * self.span_of(j) * self.span_of(s):
            return None
        t = ((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / det * self.span_of(j)
        u = ((cx - ax) * (by - ay) - (cy - ay) * (bx - ax)) / det * self.span_of(s)
        half = 500 * si(pj["width_m"])
        if t < 20 or t > self.span_of(j) - 20 or u < half or u > self.span_of(s) - half:
            return None
        return t, u

    def support_stringers(self):
        self.str_sup = {}
        for s in self.deck["stringers"]:
            self.str_sup[s["id"]] = self.props_under(s, "stringer")
        self.on_prop = {}
        for s in self.deck["stringers"]:
            for t, q, side in self.str_sup[s["id"]]:
                self.on_prop.setdefault(q["id"], []).append((s["id"], side))

    def spans_at(self, sup, t):
        return bool(sup) and sup[0] - 1e-6 <= t <= sup[-1] + 1e-6

    def support_joists(self):
        """Of each joist the supports: (place along, [(what, place along that)])."""
        self.joist_sup = {}
        for j in self.deck["joists"]:
            hits = []
            for s in self.deck["stringers"]:
                c = self.crossing(j, s)
                if c:
                    hits.append((c[0], "stringer", s, c[1]))
            for t, q, _ in self.props_under(j, "joist"):
                hits.append((t, "prop", q, 0))
            hits.sort(key=lambda h: h[0])
            groups = []
            for h in hits:
                first = groups[-1][0] if groups else None
                if first and (h[0] - first[0] < 10 or h[1] == "stringer" == first[1] and
                              h[0] - first[0] < 1600 * si(self.part(h[2]["part"])["width_m"])):
                    groups[-1].append(h)
                else:
                    groups.append([h])
            sup = []
            for g in groups:
                carry = [h for h in g if h[1] == "prop" or
                         self.spans_at([x[0] for x in self.str_sup[h[2]["id"]]], h[3])] or g
                sup.append((sum(h[0] for h in carry) / len(carry), carry))
            self.joist_sup[j["id"]] = sup

    # sheets

    def field_axes(self, f):
        a = math.radians(f["joist_direction_deg"])
        c, s = math.cos(a), math.sin(a)
        clean = lambda v: round(v, 6)
        return lambda p: [clean(p[0] * s - p[1] * c), clean(p[0] * c + p[1] * s)]

    def walk_sheets(self):
        self.joist_line = {j["id"]: [] for j in self.deck["joists"]}
        self.joist_point = {j["id"]: [] for j in self.deck["joists"]}
        self.sheet_total = np.zeros(4)
        self._beams, self._reach = {}, {}
        joists = {}
        for name, f in self.fields.items():
            turn, rows = self.field_axes(f), []
            for j in self.deck["joists"]:
                a, b = turn(j["from_mm"]), turn(j["to_mm"])
                flip = a[1] > b[1]
                lo, hi = (b, a) if flip else (a, b)
                if hi[1] - lo[1] <= 0 or abs(hi[0] - lo[0]) > math.tan(math.radians(2)) * (hi[1] - lo[1]):
                    if j["field"] == name:
                        self.fail(j["id"], "joist out of its field's direction")
                    continue
                rows.append((j, lo, hi, flip, 1000 * si(self.part(j["part"])["width_m"])))
            joists[name] = turn, rows
        for sh in self.deck["sheets"]:
            self.one_sheet(sh, *joists[sh["field"]])

    def one_sheet(self, sh, turn, joists):
        f = self.fields[sh["field"]]
        zone, p = self.zones[f["zone"]], self.part(sh["part"])
        if abs(sh["top_mm"] - zone["soffit_mm"]) > LEVEL:
            self.fail(sh["id"], "not at the soffit")
        under = sh["top_mm"] - 1000 * si(p["depth_m"])
        rings = [[turn(q) for q in r] for r in rings_of([sh["shape"]])]
        zr = [[turn(q) for q in r] for r in rings_of(zone["shapes"])]
        u0, v0, u1, v1 = box(rings[0])
        mine = [j for j in joists if abs(j[0]["top_mm"] - under) <= LEVEL and j[1][1] - 301 < v1 and
                j[2][1] + 301 > v0 and min(j[1][0], j[2][0]) - j[4] < u1 and max(j[1][0], j[2][0]) + j[4] > u0]
        past = self.reach(sh, f)
        # rows of the sheet between which nothing changes
        cut = {v0, v1}
        add = lambda v: cut.add(round(min(max(v, v0), v1), 3))
        slant = []
        for r in rings + zr:
            for a, b in edges_of(r):
                lo, hi = min(a[1], b[1]), max(a[1], b[1])
                if hi < v0 or lo > v1 or max(a[0], b[0]) < u0 or min(a[0], b[0]) > u1:
                    continue
                add(a[1]), add(b[1])
                if abs(a[0] - b[0]) > 0.5 and hi - lo > 0.5:
                    slant.append([max(lo, v0), min(hi, v1)])
        for j, lo, hi, _, w in mine:
            for v in (lo[1], hi[1], lo[1] - past, hi[1] + past):
                add(v)
            for _, o, _, _, _ in mine:  # midway in a gap between joists end to end
                if hi[1] < o[1] < hi[1] + 2 * past and abs(o[0] - hi[0]) < 1.1 * w:
                    add((hi[1] + o[1]) / 2)
        slant = union(slant)
        vs = sorted(cut)
        strips = []
        for a, b in zip(vs, vs[1:]):
            if b - a < 0.2:
                continue
            n = math.ceil((b - a) / 40) if common([[a, b]], slant) else 1
            for i in range(n):
                lo, hi = a + i * (b - a) / n, a + (i + 1) * (b - a) / n
                mid = (lo + hi) / 2
                for ua, ub in chords(rings, mid):
                    if ub - ua > 0.5:
                        strips.append(self.strip(f, zr, mine, past, lo, hi, ua, ub))
        self.judge(sh, f, p, strips)

    def strip(self, f, zr, mine, past, lo, hi, ua, ub):
        """One strip: its supports, loads and beam."""
        mid = (lo + hi) / 2
        zl, sl = self.zone_load[f["zone"]], self.strip_load[f["zone"]]
        wet = common([[ua, ub]], chords(zr, mid))
        lines, x = [], ua
        for a, b in wet:
            if a > x:
                lines.append((x, a, sl))
            lines.append((a, b, zl))
            x = b
        if x < ub:
            lines.append((x, ub, sl))
        self.sheet_total += sum((b - a) * l for a, b, l in lines) * (hi - lo) * 1e-6
        hits = []
        for j, jl, jh, flip, w in mine:
            if lo < jl[1] - past - 0.5 or hi > jh[1] + past + 0.5:
                continue
            c = jl[0] + (jh[0] - jl[0]) * (min(max(mid, jl[1]), jh[1]) - jl[1]) / (jh[1] - jl[1])
            contact = min(ub, c + w / 2) - max(ua, c - w / 2)
            inside = ua >= c - w / 2 - 1 and ub <= c + w / 2 + 1
            if contact < min(self.choices["sheet_bearing_mm"], w / 2) - 0.01 and not inside:
                continue
            at = min(max(c, ua), ub)
            if ub < c - 1 or ua > c + 1:
                at = (min(ub, c + w / 2) + max(ua, c - w / 2)) / 2
            short = max(0, hi - jh[1], jl[1] - lo)
            hits.append((at, c, w, j, jl, jh, flip, short))
        # First those that end here go where another at the same place runs on, then the rest are joined.
        hits = [h for h in hits if h[7] < 0.5 or not any(
            o[7] < 0.5 and abs(o[1] - h[1]) < 1.1 * h[2] for o in hits)]
        hits.sort(key=lambda h: h[1])
        groups = []
        for h in hits:
            if groups and h[1] - sum(g[1] for g in groups[-1]) / len(groups[-1]) < 1.1 * h[2]:
                groups[-1].append(h)
            else:
                groups.append([h])
        sup = []
        for g in groups:
            sup.append((sum(h[0] for h in g) / len(g), g))
        return dict(lo=lo, hi=hi, ua=ua, ub=ub, lines=lines, sup=sup, q=np.max([l for *_, l in lines], axis=0))

    def solved(self, lines, xs, ua, ub, ei):
        """Effects of a strip per metre of width, kept for its likes."""
        key = (round(ub - ua, 2), tuple(round(x - ua, 2) for x in xs), round(ei, 3),
               tuple((round(a - ua, 2), round(b - ua, 2)) + tuple(l) for a, b, l in lines))
        if key not in self._beams:
            b = Beam(0, (ub - ua) / 1000, [(x - ua) / 1000 for x in xs], ei,
                     [((p - ua) / 1000, (q - ua) / 1000, l) for p, q, l in lines], [], held=range(len(xs)))
            always, full = b.column(0), b.full()
            react = np.array([always, full - always, b.column(1), b.column(2)]).T
            self._beams[key] = b.worst()[:2], b.deflections(), react
        return self._beams[key]

    def sheet_limit(self, span):
        lim, top = span / self.s["deflection_span"], self.s["deflection_max_sheet_m"]
        return min(lim, top) if top else lim

    def reach(self, sh, f):
        """How far past the end of a joist, mm, its sheet may reach on along it."""
        key = sh["part"], f["zone"]
        if key not in self._reach:
            holds = lambda c: all(v <= l for _, v, l in self.reach_checks(
                self.zone_load[f["zone"]], c / 1000, *panel(self.part(sh["part"]), self.s, False)))
            lo, hi = 0.0, 300.0
            if holds(hi):
                lo = hi
            for _ in range(40):
                mid = (lo + hi) / 2
                lo, hi = (mid, hi) if holds(mid) else (lo, mid)
            self._reach[key] = lo
        return self._reach[key]

    def reach_checks(self, q, c, m, v, ei):
        """Ratios of an overhang c (m) per metre of width."""
        full = q[ALWAYS] + q[PLACING]
        return [("bending along the joists", full * c * c / 2, m), ("rolling shear along the joists", full * c, v),
                ("deflection along the joists", q[DEFLECT] * c**4 / (8 * ei), self.sheet_limit(2 * c))]

    def judge(self, sh, f, p, strips):
        sid = sh["id"]
        across = abs((sh["grain_deg"] - f["joist_direction_deg"]) % 180 - 90) <= 5
        M, V, EI = panel(p, self.s, across)
        weak = panel(p, self.s, False)
        marks = []
        for st in strips:
            st["own"], xs = [], [x for x, _ in st["sup"]]
            marks += [(x, v) for x in xs for v in (st["lo"], st["hi"])]
            if len(xs) >= 2:
                (m, v), defl, st["react"] = self.solved(st["lines"], xs, st["ua"], st["ub"], EI)
                st["own"] += [("bending", m, M), ("rolling shear", v, V)]
                st["own"] += [("deflection", d, self.sheet_limit(l)) for l, d in defl]
            elif len(xs) == 1:
                c = max(st["ub"] - xs[0], xs[0] - st["ua"]) / 1000
                q = st["q"]
                full = q[ALWAYS] + q[PLACING]
                st["own"] += [("bending", full * c * c / 2, M), ("rolling shear", full * c, V),
                              ("deflection", q[DEFLECT] * c**4 / (8 * EI), self.sheet_limit(2 * c))]
                st["react"] = np.array([sum((b - a) / 1000 * l for a, b, l in st["lines"])])
            else:
                st["react"] = None
            st["good"] = all(v <= 1.0005 * l for _, v, l in st["own"])
        carried = [s for s in strips if s["sup"]]
        if not carried:
            self.fail(sid, "rests on nothing")
            return
        for st in strips:
            if st["sup"]:
                hang = self.hang(st, strips, p, f)
                checks = st["own"]
                if hang:  # instead of what the strip cannot do by itself
                    broken = {w for w, v, l in checks if v > 1.0005 * l}
                    checks = [c for c in checks if c[0] not in broken] + hang
                short = max(min(h[7] for h in g) for _, g in st["sup"]) / 1000
                if short > 0.0005:
                    checks = checks + self.reach_checks(self.zone_load[f["zone"]], short, *weak)
                self.hand(st, st["react"])
            else:
                checks = self.bridge(sid, st, carried, weak)
            for what, value, limit in checks:
                self.check(sid, "sheet", what, value, limit)
        self.tipping(sid, strips, marks)

    def beside(self, st, o):
        return min(st["ub"], o["ub"]) - max(st["ua"], o["ua"]) > 0.5

    def hang(self, st, strips, p, f):
        """Checks of a strip that does not hold by itself when it hangs, the weak way, on one beside it that
        has joists on both sides of its longest bay; None when there is none or it need not."""
        if st["good"]:
            return None
        at = [st["ua"]] + [x for x, _ in st["sup"]] + [st["ub"]]
        x = max(((b - a) * (2 if i in (0, len(at) - 2) else 1), (a + b) / 2)
                for i, (a, b) in enumerate(zip(at, at[1:])))[1]
        best = math.inf
        for o in strips:
            if o is st or not o["good"] or len(o["sup"]) < 2 or not o["sup"][0][0] <= x <= o["sup"][-1][0]:
                continue
            i = next(k for k in range(len(o["sup"]) - 1) if x <= o["sup"][k + 1][0])
            short = max(min(h[7] for h in g) for _, g in o["sup"][i:i + 2])
            if o["lo"] >= st["hi"] - 0.5:
                best = min(best, short + o["lo"] - st["lo"])
            elif o["hi"] <= st["lo"] + 0.5:
                best = min(best, short + st["hi"] - o["hi"])
        if best > 300:
            return None
        c = self.reach_checks(self.zone_load[f["zone"]], best / 1000, *panel(p, self.s, False))
        return c if all(v <= 1.0005 * l for _, v, l in c) else None

    def bridge(self, sid, st, carried, weak):
        """A strip on no joist: along the joists to the carried strips before and after it."""
        below = [o for o in carried if o["hi"] <= st["lo"] + 0.5 and self.beside(st, o)]
        above = [o for o in carried if o["lo"] >= st["hi"] - 0.5 and self.beside(st, o)]
        b = max(below, key=lambda o: o["hi"], default=None)
        a = min(above, key=lambda o: o["lo"], default=None)
        load = sum((y - x) / 1000 * l for x, y, l in st["lines"]) * (st["hi"] - st["lo"]) / 1000
        q = st["q"]
        full = q[ALWAYS] + q[PLACING]
        M, V, EI = weak
        if a and b:
            l = (a["lo"] - b["hi"]) / 1000
            self.pass_on(b, st, load / 2), self.pass_on(a, st, load / 2)
            return [("bending along the joists", full * l * l / 8, M), ("rolling shear along the joists", full * l / 2, V),
                    ("deflection along the joists", 5 * q[DEFLECT] * l**4 / (384 * EI), self.sheet_limit(l))]
        o = a or b
        if not o:
            self.fail(sid, "part of the sheet rests on nothing")
            return []
        self.pass_on(o, st, load)
        far = (o["lo"] - st["lo"] if o is a else st["hi"] - o["hi"]) / 1000
        return self.reach_checks(q, far, *weak)

    def pass_on(self, o, st, load):
        """The load of a strip on no joist goes to the joists of a carried one: those on both sides of its middle."""
        x, sup = (st["ua"] + st["ub"]) / 2, o["sup"]
        at = [s[0] for s in sup]
        width = (o["hi"] - o["lo"]) / 1000
        react = np.zeros((len(sup), 4))
        i = next((k for k in range(len(at) - 1) if at[k] <= x <= at[k + 1]), None)
        if i is None:
            react[0 if x < at[0] else -1] = load / width
        else:
            t = (x - at[i]) / (at[i + 1] - at[i])
            react[i], react[i + 1] = (1 - t) * load / width, t * load / width
        self.hand(o, react)

    def hand(self, st, react):
        """Reactions per metre of width go down to the joists as line loads. Where joists side by side begin or
        end their spans under the strip, the load changes from one to the other."""
        for (x, g), r in zip(st["sup"], react):
            place = lambda h, v: (h[5][1] - v) if h[6] else (v - h[4][1])
            held = lambda h: [s[0] for s in self.joist_sup[h[3]["id"]]]
            cuts = {st["lo"], st["hi"]}
            for h in g if len(g) > 1 else []:
                for t in held(h)[:1] + held(h)[-1:]:
                    v = h[5][1] - t if h[6] else t + h[4][1]
                    if st["lo"] < v < st["hi"]:
                        cuts.add(v)
            cuts = sorted(cuts)
            for lo, hi in zip(cuts, cuts[1:]):
                span = [h for h in g if self.spans_at(held(h), place(h, (lo + hi) / 2))] or g
                for h in span:
                    self.put_on(h[3], *sorted((place(h, lo), place(h, hi))), np.asarray(r) / len(span))

    def put_on(self, j, a, b, r):
        """A line load r per metre between two places along a joist."""
        l = self.span_of(j)
        n = r * (b - a) / 1000
        a, b = min(max(a, 0), l), min(max(b, 0), l)
        if b - a > 1:
            self.joist_line[j["id"]].append((a / 1000, b / 1000, 1000 * n / (b - a)))
        else:  # past the joist's end: it hangs on the end
            self.joist_point[j["id"]].append((a / 1000, n))

    def tipping(self, sid, strips, marks):
        w = [(((s["ua"] + s["ub"]) / 2, (s["lo"] + s["hi"]) / 2), (s["ub"] - s["ua"]) * (s["hi"] - s["lo"])) for s in strips]
        t = sum(a for _, a in w)
        mid = [sum(c[i] * a for c, a in w) / t for i in (0, 1)]
        us = sorted({round(x, 1) for x, _ in marks})
        if len(us) == 1:
            if max(us[0] - min(s["ua"] for s in strips), max(s["ub"] for s in strips) - us[0]) > 120 + 0.5:
                self.fail(sid, "tips: on one joist alone")
            return
        hull = convex(marks)
        if len(hull) >= 3 and any((b[0]-a[0])*(mid[1]-a[1]) - (b[1]-a[1])*(mid[0]-a[0]) < -1e-6 * math.dist(a, b)
                                  for a, b in edges_of(hull)):
            self.fail(sid, "tips: its middle is outside its supports")

    # members

    def member_limit(self, span):
        lim, top = span / self.s["deflection_span"], self.s["deflection_max_beam_m"]
        return min(lim, top) if top else lim

    def member(self, m, kind, places, shares, lines, points):
        """Checks of a joist or stringer; its worst reactions by support as [4 loads]. shares: how many carry at each."""
        p = self.part(m["part"])
        if len(places) < 2 or places[-1] - places[0] < 1:
            self.fail(m["id"], f"{kind} has not two supports")
            return [np.zeros(4)] * len(places)
        if not p.get("i_beam"):
            self.skipped.add(f"{kind} of sawn timber")
            M = V = R = None
            t = p.get("nds") or p.get("ec5_timber")
            ei = si(t["E"] if "E" in t else t["E0mean"]) * si(p["width_m"]) * si(p["depth_m"])**3 / 12
        else:
            M, V, R, ei = timber_beam(p, self.s)
        beam = Beam(0, self.span_of(m) / 1000, [x / 1000 for x in places], ei, lines, points)
        moment, shear, top, pull = beam.worst()
        always = np.clip(beam.column(0), 0, top)
        if M:
            self.check(m["id"], kind, "bending", moment, M)
            self.check(m["id"], kind, "shear", shear, V)
            self.check(m["id"], kind, "reaction", max(top / shares), R)
            for l, d in beam.deflections():
                self.check(m["id"], kind, "deflection", d, self.member_limit(l))
        if pull > 0.5:
            self.check(m["id"], kind, "hold-down", pull, self.choices["hold_down_N"])
        return list(np.array([always, top - always, beam.column(1), beam.column(2)]).T)

    def walk_joists(self):
        self.str_point = {s["id"]: [] for s in self.deck["stringers"]}
        self.prop_load = {q["id"]: np.zeros(4) for q in self.deck["props"]}
        self.head_moment = {q["id"]: 0.0 for q in self.deck["props"]}
        for j in self.deck["joists"]:
            sup = self.joist_sup[j["id"]]
            react = self.member(j, "joist", [s[0] for s in sup], [len(s[1]) for s in sup], self.joist_line[j["id"]], self.joist_point[j["id"]])
            for (_, carry), r in zip(sup, react):
                for t, what, who, place in carry:
                    if what == "stringer":
                        self.str_point[who["id"]].append((place / 1000, r / len(carry)))
                    else:
                        self.prop_load[who["id"]] += r / len(carry)
                        side = self.along(j, who["at_mm"])[1]
                        self.head_moment[who["id"]] += side * (r[ALWAYS] + r[PLACING])
                        self.on_prop.setdefault(who["id"], []).append((j["id"], side))

    def walk_stringers(self):
        for s in self.deck["stringers"]:
            sup = self.str_sup[s["id"]]
            react = self.member(s, "stringer", [x[0] for x in sup], [1] * len(sup), [], self.str_point[s["id"]])
            for (_, q, side), r in zip(sup, react):
                self.prop_load[q["id"]] += r
                sign = 1 if tuple(s["to_mm"]) > tuple(s["from_mm"]) else -1  # one side of the line for all on this head
                self.head_moment[q["id"]] += sign * side * (r[ALWAYS] + r[PLACING])

    def walk_props(self):
        self.ground_sum = 0.0
        for q in self.deck["props"]:
            p, h, load = self.part(q["part"]), self.part(q["head"]), self.prop_load[q["id"]]
            self.ground_sum += load[GROUND]
            strength = load[ALWAYS] + load[PLACING]
            own = (1 if self.us else 1.35) * G * (si(p["mass_kg"]) + si(h["mass_kg"]))
            total_load = strength + own
            load[ALWAYS] += own
            length = q["length_mm"] / 1000
            a = p.get("prop")
            if not a:
                self.skipped.add("props of sawn timber")
            else:
                lo, hi = si(a["Shortest"]), si(a["Longest"])
                if not lo - 1e-4 <= length <= hi + 1e-4:
                    self.fail(q["id"], "extension out of range")
                r = steel_prop(p, length, self.s)
                if r is None:
                    self.fail(q["id"], "prop without a resistance")
                else:
                    self.check(q["id"], "prop", "load", total_load, r)
                self.setting(q, a)
            self.heights(q, p, h)
            beams = self.on_prop.get(q["id"], [])
            if len(beams) > h["head"]["Beams"]:
                self.fail(q["id"], "more beams on the head than it takes")
            wide = h["head"]["SeatWide"]
            if strength > 1 and wide["known"]:
                self.check(q["id"], "head", "eccentricity", abs(self.head_moment[q["id"]]) / strength / 1000, wide["si"] / 4)

    def setting(self, q, a):
        if q.get("hole"):
            back = 1000 * (si(a["Shortest"]) + (q["hole"] - 1) * si(a["HolePitch"])) + (q.get("thread_mm") or 0)
            if abs(back - q["length_mm"]) > LEVEL:
                self.fail(q["id"], "pin hole and thread do not give the length")
            if not -LEVEL <= (q.get("thread_mm") or 0) <= 1000 * si(a["Thread"]) + LEVEL:
                self.fail(q["id"], "thread beyond its travel")
        elif a["HolePitch"]["known"] and a["HolePitch"]["si"] > 0:
            self.fail(q["id"], "no pin hole given")

    def heights(self, q, p, h):
        base = self.site["base_mm"] + (1000 * si(self.part(q["sill"])["depth_m"]) if q.get("sill") else 0)
        if abs(base - q["base_mm"]) > LEVEL:
            self.fail(q["id"], "base height")
        wedge = 1000 * si(self.part(q["wedge"])["depth_m"]) if q.get("wedge") else 0
        want = q["seat_mm"] - q["base_mm"] - 1000 * si(h["head"]["Height"]) - wedge - (q.get("taper_mm") or 0)
        if abs(want - q["length_mm"]) > LEVEL:
            self.fail(q["id"], "length does not fill the height")
        drop = h["head"]["Drop"]
        if drop["known"]:
            for j in self.deck["joists"]:
                d, b = (si(self.part(j["part"])[k]) for k in ("depth_m", "width_m"))
                self.check(q["id"], "clearance", "tipping a joist out when the head is dropped",
                           math.hypot(d, b) - d, drop["si"])

    # a soffit that falls: planes and lengths in space, from places and heights alone

    def soffit_at(self, zone, at):
        (x, y), (gx, gy) = self.fall["at_mm"], self.fall["rise"]
        return self.zones[zone]["soffit_mm"] + (at[0] - x) * gx + (at[1] - y) * gy

    def walk_fall(self):
        gx, gy = self.fall["rise"]
        plumb = math.sqrt(1 + gx * gx + gy * gy)  # depth plumb of what is 1 deep square to the slope
        depth = lambda pid: 1000 * si(self.part(pid)["depth_m"])
        skin = {s["field"]: depth(s["part"]) for s in self.deck["sheets"]}
        deep = {"joist": {}, "stringer": {}}
        for s in self.deck["sheets"]:
            zone = self.fields[s["field"]]["zone"]
            ring, rises = s["shape"]["outer_mm"], s.get("rises_mm") or []
            if len(rises) != len(ring):
                self.fail(s["id"], "no heights of its corners")
            for q, r in zip(ring, rises):
                if abs(s["top_mm"] + r - self.soffit_at(zone, q)) > LEVEL:
                    self.fail(s["id"], "not in the soffit")
            if not s["cut"] and len(ring) == 4:
                a, b = (math.dist([*ring[i], rises[i]], [*ring[i + 1], rises[i + 1]]) for i in (0, 1))
                want = sorted(1000 * si(self.part(s["part"])[k]) for k in ("length_m", "width_m"))
                if any(abs(v - w) > 1 for v, w in zip(sorted((a, b)), want)):
                    self.fail(s["id"], "not of the size of its part")
        for role, over in (("joist", lambda m: skin[m["field"]]), ("stringer", lambda m: skin[m["field"]] + deep["joist"][m["field"]])):
            for m in self.deck[role + "s"]:
                zone = self.fields[m["field"]]["zone"]
                rise = m.get("rise_mm", 0)
                for at, top in ((m["from_mm"], m["top_mm"]), (m["to_mm"], m["top_mm"] + rise)):
                    if abs(top - (self.soffit_at(zone, at) - over(m) * plumb)) > LEVEL:
                        self.fail(m["id"], "not in its layer")
                l, want = math.dist([*m["from_mm"], 0], [*m["to_mm"], rise]), 1000 * si(self.part(m["part"])["length_m"])
                if l > want + 1 or not m.get("sawn") and l < want - 1:
                    self.fail(m["id"], f"{l:.1f} mm long, its part {want:.1f} mm")
                deep[role][m["field"]] = depth(m["part"])
        for q in self.deck["props"]:
            p, h, f = self.part(q["part"]), self.part(q["head"]), self.deck["fields"][0]["name"]
            zone = self.fields[f]["zone"]
            layers = skin[f] + deep["joist"][f] + (deep["stringer"][f] if q["under"] == "stringer" else 0)
            if abs(q["seat_mm"] - (self.soffit_at(zone, q["at_mm"]) - layers * plumb)) > LEVEL:
                self.fail(q["id"], "its seat is not where the stringer is")
            if plumb > math.sqrt(1 + 0.01 ** 2):
                seat = [500 * h["head"][k]["si"] for k in ("SeatLong", "SeatWide")]
                if q.get("taper_mm", 0) < max(abs(gx), abs(gy)) * min(seat):  # whichever way it lies, at least this
                    self.fail(q["id"], "no wedge cut to the slope on its head")
            self.heights(q, p, h)
            if p.get("prop"):
                self.setting(q, p["prop"])
                lo, hi = (1000 * si(p["prop"][k]) for k in ("Shortest", "Longest"))
                if not lo - 0.1 <= q["length_mm"] <= hi + 0.1:
                    self.fail(q["id"], "extension out of range")

    # cover and clashes

    def cover(self):
        need = list(rings_of(self.site["slab"])), list(rings_of(self.site["strip"]))
        sheets = [(list(rings_of([s["shape"]])),) for s in self.deck["sheets"]]
        boxes = [box(r[0][0]) for r in sheets]
        every = need[0] + need[1] + [r for s in sheets for r in s[0]]
        self.area = shapes_area(self.site["slab"]) * 1e-6
        bare = over = 0.0
        for y, h in lines_through(every, 8):
            want = union(chords(need[0], y) + chords(need[1], y))
            have = [c for s, b in zip(sheets, boxes) if b[1] < y < b[3] for c in chords(s[0], y)]
            one = union([list(c) for c in have])
            bare += h * (total(want) - total(common(want, one)))
            over += h * (total(have) - total(one))
        self.bare = bare / 100
        if self.bare > 50:
            self.fail("deck", f"bare: {self.bare:.0f} cm2")
        if over / 100 > 50:
            self.fail("deck", f"sheets on one another: {over / 100:.0f} cm2")

    def plank(self, m):
        (ax, ay), (bx, by) = m["from_mm"], m["to_mm"]
        l, h = self.span_of(m), 500 * si(self.part(m["part"])["width_m"])
        nx, ny = -(by - ay) / l * h, (bx - ax) / l * h
        return [[ax - nx, ay - ny], [bx - nx, by - ny], [bx + nx, by + ny], [ax + nx, ay + ny]]

    def clashes(self):
        blocks = [(b["name"], b["kind"], b["outline_mm"], box(b["outline_mm"])) for b in self.site["blocks"] or []]
        for layer in ("joists", "stringers"):
            ms = [(m, self.plank(m)) for m in self.deck[layer]]
            ms = [(m, r, box(r)) for m, r in ms]
            for m, r, bb in ms:
                others = [(n, o) for n, _, o, ob in blocks if not apart(bb, ob)]
                if self.span_of(m) > 1000 * si(self.part(m["part"])["length_m"]) + 1.5:
                    self.fail(m["id"], "longer than its part")
                z = self.fields[m["field"]]["zone"]
                lies = [s["outer_mm"] for other in self.zones.values() for s in other["shapes"] if self.deeper(other, z)]
                for n, o in others + [("another zone", o) for o in lies if not apart(bb, box(o))]:
                    if abs(area(clip(o, r))) > 100:
                        self.fail(m["id"], f"runs into {n}")
            for (m, r, bb), (n, s, ob) in itertools.combinations(ms, 2):
                if not apart(bb, ob) and abs(m["top_mm"] - n["top_mm"]) < 100 and abs(area(clip(r, s))) > 100:
                    self.fail(m["id"], f"runs into {n['id']}")
        for s in self.deck["sheets"]:
            rings = list(rings_of([s["shape"]]))
            for n, _, o, ob in blocks:
                if not apart(box(rings[0]), ob):
                    a = sum(h * total(common(chords(rings, y), chords([o], y))) for y, h in lines_through(rings + [o], 4))
                    if a > 1000:
                        self.fail(s["id"], f"runs into {n}")
        stand = list(rings_of(self.site.get("stand")))
        for i, q in enumerate(self.deck["props"]):
            at = q["at_mm"]
            for n, kind, o, _ in blocks:
                if kind in ("column", "wall") and (inside([o], at) or to_border([o], at) < 40 - 0.01):
                    self.fail(q["id"], f"stands in {n}")
            for o in self.deck["props"][i + 1:]:
                if max(abs(at[0] - o["at_mm"][0]), abs(at[1] - o["at_mm"][1])) < 90 - 0.01:
                    self.fail(q["id"], f"stands in {o['id']}")
            for m in self.deck["stringers"] if q["under"] == "joist" else []:
                p = self.part(m["part"])
                if q["seat_mm"] > m["top_mm"] - 1000 * si(p["depth_m"]) + LEVEL and \
                        to_segment(at, m["from_mm"], m["to_mm"]) < 500 * si(p["width_m"]) + 40 - 0.1:
                    self.fail(q["id"], f"runs into {m['id']}")
            if stand and not self.site["on_ground"] and (
                    not inside(stand, at) or to_border(stand, at) < self.choices["edge_of_stand_mm"] - 0.1):
                self.fail(q["id"], "stands too near an edge or on nothing")
            for o in self.site.get("clear") or []:
                if inside([o], at) or to_border([o], at) < 75 - 1.01:
                    self.fail(q["id"], "stands in a place kept clear")

    def deeper(self, zone, own):
        return zone["soffit_mm"] < self.zones[own]["soffit_mm"] - LEVEL

    # edges and sideways

    def edge_forms(self):
        for e in self.site["edges"] or []:
            if e["kind"] == "wall":
                continue
            mid = [(a + b) / 2 for a, b in zip(e["from_mm"], e["to_mm"])]
            high = min(self.site["zones"], key=lambda z: to_border(list(rings_of(z["shapes"])), mid))["thickness_mm"]
            edge = {"from_mm": e["from_mm"], "to_mm": e["to_mm"]}
            l, got = self.span_of(edge), []
            for f in self.deck["edge_forms"]:
                (a, da), (b, db) = self.along(edge, f["from_mm"]), self.along(edge, f["to_mm"])
                if abs(da) <= 10 and abs(db) <= 10 and not f.get("kind") and f["height_mm"] >= high - LEVEL:
                    got.append(sorted((min(max(a, 0), l), min(max(b, 0), l))))
            if l - total(union(got)) > 5:
                self.fail("deck", f"edge without a form from {e['from_mm']} to {e['to_mm']}")
        for f in self.deck["edge_forms"]:
            if f["kickers"] < math.ceil(self.span_of(f) / f["kicker_pitch_mm"] - 1e-3) + 1:
                self.fail(f["id"], "too few kickers")

    def sideways(self):
        s, x0 = self.s, [math.inf, math.inf, -math.inf, -math.inf]
        for r in rings_of(self.site["slab"]):
            b = box(r)
            x0 = [min(x0[0], b[0]), min(x0[1], b[1]), max(x0[2], b[2]), max(x0[3], b[3])]
        concrete = sum(shapes_area(self.zones[n]["shapes"]) * 1e-6 * dc for n, (_, dc, _) in self.raw.items())
        dead = concrete + self.forms_total
        for i, axis in enumerate("xy"):
            edge = s["lateral_edge_N_per_m"] * (x0[3 - i] - x0[1 - i]) / 1000
            if self.us:
                load = max(s["lateral_share"] * dead, edge)
            else:
                load = max(s["lateral_share"] * self.sheet_total[GROUND], edge + 0.01 * self.sheet_total[GROUND])
            hold = 0.0
            for t in self.deck["ties"]:
                by = [b for b in self.site["blocks"] or [] if b["name"] == t["block"] and b["ties"]]
                if not any(inside([b["outline_mm"]], t["at_mm"]) or to_border([b["outline_mm"]], t["at_mm"]) <= 300 for b in by):
                    self.fail(t["id"], "tie at nothing that holds")
                elif axis in t["directions"]:
                    hold += self.choices["tie_load_N"]
            stand = list(rings_of(self.site.get("stand")))
            for b in self.deck["braces"]:
                d = [b["at_mm"][k] - b["foot_mm"][k] for k in (0, 1)]
                if math.hypot(*d) < 300 or (stand and not inside(stand, b["foot_mm"])):
                    self.fail(b["id"], "brace that does not hold")
                else:
                    hold += self.choices["brace_load_N"] * (d[i] / math.hypot(*d)) ** 2
            self.check("deck", "lateral", "along " + axis, load, hold)

    def run(self):
        if self.fall:
            self.prop_load, self.area, self.bare, self.applied, self.ground_sum = {}, 0.0, 0.0, 0.0, 0.0
            self.walk_fall()
            return self
        self.loads()
        self.cover()
        self.clashes()
        self.support_stringers()
        self.support_joists()
        self.walk_sheets()
        self.walk_joists()
        self.walk_stringers()
        self.walk_props()
        self.edge_forms()
        self.sideways()
        self.applied = self.sheet_total[GROUND]
        if abs(self.applied - self.ground_sum) > 0.02 * self.applied:
            self.fail("deck", f"load on the deck {self.applied:.0f} N, in the props {self.ground_sum:.0f} N")
        for (member, kind, what), (v, l, r) in self.checks.items():
            if r > 1.0005:
                self.fail(member, f"{kind} {what}: {r:.3f}")
        return self

    def result(self, name):
        worst = {}
        for (member, kind, what), (v, l, r) in self.checks.items():
            if r > worst.get(f"{kind}|{what}", (-1,))[0]:
                worst[f"{kind}|{what}"] = (r, member)
        return {
            "name": name, "holds": not self.fails and not self.skipped, "fails": self.fails,
            "not_checked": sorted(self.skipped),
            "worst": {k: {"ratio": r, "member": m} for k, (r, m) in sorted(worst.items())},
            "checks": [{"member": m, "kind": k, "what": w, "value": v, "limit": l, "ratio": r}
                       for (m, k, w), (v, l, r) in self.checks.items()],
            "prop_load_N": {q: float(v[ALWAYS] + v[PLACING]) for q, v in self.prop_load.items()},
            "area_m2": self.area, "bare_cm2": self.bare,
            "applied_N": float(self.applied), "reactions_N": float(self.ground_sum),
        }


def convex(points):
    """Convex hull, counterclockwise."""
    ps = sorted({(round(x, 3), round(y, 3)) for x, y in points})
    if len(ps) < 3:
        return ps

    def half(seq):
        out = []
        for p in seq:
            while len(out) > 1 and (out[-1][0]-out[-2][0])*(p[1]-out[-2][1]) - (out[-1][1]-out[-2][1])*(p[0]-out[-2][0]) <= 0:
                out.pop()
            out.append(p)
        return out[:-1]

    return half(ps) + half(ps[::-1])


def main(path):
    with open(path) as f:
        doc = json.load(f)
    if doc.get("schema") != "shoreward-plan/1":
        sys.exit(f"{path}: schema {doc.get('schema')!r}, this program reads shoreward-plan/1")
    pours = [Pour(doc, p).run().result(p["name"]) for p in doc["pours"] if not p.get("refused")]
    json.dump({"holds": bool(pours) and all(p["holds"] for p in pours), "pours": pours}, sys.stdout, indent=1)


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    main(sys.argv[1])
