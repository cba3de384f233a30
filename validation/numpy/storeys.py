"""Loads through storeys by full matrices, apart from the program.

Reads stacks and their operations as JSON from standard input and writes, for
every operation, the load of each slab, the force of the props under it and the
gap of those that hang loose. Each operation is solved as one system of the
deflections d and the prop forces p of all slabs that stand,

    K d + p - (props above) = w - s          a row a slab
    d - (d of the slab below) - p / k = gap - p0 / k     where props touch
    p = 0                                     where they hang loose

for every choice of props that touch; the one choice in which nothing pulls and
nothing overlaps is taken.
"""

import itertools
import json
import sys

import numpy as np


def settle(levels):
    here = [i for i, l in enumerate(levels) if l["placed"]]
    pos = {i: n for n, i in enumerate(here)}
    props = [i for i in here if levels[i]["prop"]]
    n, m = len(here), len(props)
    scale = max(sum(l["w"] for l in levels), 1e-30)
    # Choices near the last one first: the solution is one, the order only saves time.
    choices = sorted(
        itertools.product([True, False], repeat=m),
        key=lambda c: sum(t != (levels[i]["gap"] == 0) for t, i in zip(c, props)),
    )
    for choice in choices:
        a, b = np.zeros((n + m, n + m)), np.zeros(n + m)
        for i in here:
            l, r = levels[i], pos[i]
            a[r, r] = l["K"]
            b[r] = l["w"] - l["s"]
        for j, (i, touch) in enumerate(zip(props, choice)):
            l, r = levels[i], n + j
            a[pos[i], r] += 1
            if l["on"] >= 0:
                a[pos[l["on"]], r] -= 1
            if not touch:
                a[r, r] = 1
                continue
            a[r, pos[i]] = 1
            if l["on"] >= 0:
                a[r, pos[l["on"]]] = -1
            a[r, r] = -l["give"]
            b[r] = l["gap"] - l["give"] * l["p"]
        # One scale for deflections and forces, for the sake of the solver.
        stiff = max([levels[i]["K"] for i in here] + [1 / levels[i]["give"] for i in props if levels[i]["give"] > 0] + [1e-30])
        if not any(levels[i]["K"] > 0 for i in here):
            stiff = 1.0
        a[:n, :n] /= stiff
        a[n:, n:] *= np.where(np.array(choice, dtype=bool).reshape(-1, 1), stiff, 1) if m else 1
        b[n:] *= np.where(np.array(choice, dtype=bool), stiff, 1) if m else 1
        try:
            x = np.linalg.solve(a, b)
        except np.linalg.LinAlgError:
            continue
        if not np.all(np.isfinite(x)):
            continue
        d = x[:n] / stiff
        good, out = True, []
        for j, (i, touch) in enumerate(zip(props, choice)):
            l = levels[i]
            u = d[pos[i]] - (d[pos[l["on"]]] if l["on"] >= 0 else 0)
            p, gap = x[n + j], l["gap"] - l["give"] * l["p"] - u
            if touch:
                gap = 0.0
            else:
                p = 0.0
            if p < -1e-10 * scale or gap * stiff < -1e-10 * scale:
                good = False
                break
            out.append((i, max(p, 0.0), max(gap, 0.0)))
        if not good:
            continue
        for i in here:
            levels[i]["s"] += levels[i]["K"] * d[pos[i]]
        for i, p, gap in out:
            levels[i]["p"], levels[i]["gap"] = p, gap
        return
    raise ValueError("no choice of props settles")


def trace(stack):
    slabs = stack["slabs"]
    levels = [dict(placed=False, w=0.0, s=0.0, K=0.0, prop=False, on=-1, give=0.0, p=0.0, gap=0.0, at=0.0) for _ in slabs]
    steps = []
    for op in stack["ops"]:
        i, t = op["slab"], op["at"]
        l, slab = levels[i], slabs[i]

        def stand(k):
            below = [j for j in range(i) if levels[j]["placed"]]
            l.update(prop=True, on=below[-1] if below else -1, give=1 / k if k else 0.0, p=0.0, gap=0.0)
            if not below and stack["ground"]:
                l["give"] += 1 / stack["ground"]

        kind = op["kind"]
        if kind == "place":
            for other in levels:
                if stack["resnug"]:
                    other["gap"] = 0.0
            l.update(placed=True, at=t, w=slab["weight"] + slab["forms"] + slab["live"])
            stand(slab["shores"])
        elif kind == "live off":
            l["w"] -= slab["live"]
        elif kind == "strip":
            l.update(w=l["w"] - slab["forms"], prop=False, p=0.0, gap=0.0)
        elif kind == "reshore":
            stand(slab["reshores"])
        elif kind == "remove":
            l.update(prop=False, p=0.0, gap=0.0)
        for other, s in zip(levels, slabs):
            age = t - other["at"]
            other["K"] = s["stiffness"] * age / (age + 48) if other["placed"] and age > 0 else 0.0
        settle(levels)
        steps.append(dict(slabs=[x["s"] for x in levels], props=[x["p"] for x in levels], gaps=[x["gap"] for x in levels]))
    return steps


json.dump([trace(s) for s in json.load(sys.stdin)], sys.stdout)
