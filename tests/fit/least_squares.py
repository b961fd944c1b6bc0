"""What a general-purpose numerical library fits to given points: one JSON object {"cases": […]} on standard output.

    least_squares.py

Library: SciPy (PyPI), its make_lsq_spline, LSQUnivariateSpline and LSQBivariateSpline (FITPACK's splines of Dierckx), and
for fairness and constraints numpy.linalg.lstsq and solve on systems built from SciPy's design matrices.
Each case holds its own data, so that an answer can never be read beside other data. Weights are those of our fit, of
squared distances; SciPy's multiply distances, hence the square roots.
"""
import json
import random

import numpy as np
from scipy.interpolate import BSpline, LSQBivariateSpline, LSQUnivariateSpline, make_lsq_spline

draw = random.Random(20)


def short(x, digits=6):
    return round(x, digits)


def knots_of(degree, inner):
    """Clamped over [0, 2], uneven inner knots, one of them double from degree 3 on."""
    at = sorted(short(draw.uniform(0.15, 1.85), 4) for _ in range(inner))
    if degree >= 3 and inner > 1:
        at[1] = at[0]
    return [0.0] * (degree + 1) + at + [2.0] * (degree + 1)


def parameters(knots, degree, per):
    """`per` uneven parameters in every span, ends among them."""
    breaks = sorted(set(knots))
    all_of = [0.0, 2.0]
    for a, b in zip(breaks, breaks[1:]):
        all_of += [short(a + (b - a) * (i + draw.uniform(0.1, 0.9)) / per, 7) for i in range(per)]
    return sorted(set(all_of))


def curve_case(degree, inner):
    knots = knots_of(degree, inner)
    t = parameters(knots, degree, degree + 3)
    points = [[short(120 * x + draw.uniform(-2, 2)), short(40 * np.sin(2 * x) + draw.uniform(-1, 1)), short(draw.uniform(-9, 9))] for x in t]
    weights = [short(draw.uniform(0.2, 4.0)) for _ in t]
    spline = make_lsq_spline(np.array(t), np.array(points), np.array(knots), k=degree, w=np.sqrt(weights))
    case = {"kind": "curve", "by": "make_lsq_spline", "degree": degree, "knots": knots, "t": t, "points": points, "weights": weights}
    case["control"] = spline.c.tolist()
    if degree <= 5 and len(set(knots)) == inner + 2:
        one = LSQUnivariateSpline(t, [p[1] for p in points], knots[degree + 1 : -degree - 1], w=np.sqrt(weights), k=degree)
        case["second_coordinate_by_univariate"] = one.get_coeffs().tolist()
    return case


def scatter(ku, kv, pu, pv, per):
    """A jittered point in every cell of a fine division of the spans."""
    us, vs = parameters(ku, pu, per), parameters(kv, pv, per)
    all_of = []
    for u in us:
        for v in vs:
            all_of.append((short(min(2, max(0, u + draw.uniform(-0.01, 0.01))), 7), short(min(2, max(0, v + draw.uniform(-0.01, 0.01))), 7)))
    return all_of


def height(u, v):
    return short(30 * np.cos(1.1 * u) * np.sin(0.7 * v + 0.2) + draw.uniform(-0.5, 0.5))


def surface_case(pu, pv, inner):
    ku, kv = knots_of(min(pu, 2), inner), knots_of(min(pv, 2), inner)
    ku = [0.0] * (pu + 1) + [k for k in ku if 0 < k < 2] + [2.0] * (pu + 1)
    kv = [0.0] * (pv + 1) + [k for k in kv if 0 < k < 2] + [2.0] * (pv + 1)
    uv = scatter(ku, kv, pu, pv, max(pu, pv) + 2)
    z = [height(u, v) for u, v in uv]
    weights = [short(draw.uniform(0.2, 4.0)) for _ in uv]
    u, v = np.array([p[0] for p in uv]), np.array([p[1] for p in uv])
    fit = LSQBivariateSpline(u, v, np.array(z), ku[pu + 1 : -pu - 1], kv[pv + 1 : -pv - 1], w=np.sqrt(weights), bbox=[0, 2, 0, 2], kx=pu, ky=pv)
    return {
        "kind": "scattered", "by": "LSQBivariateSpline", "degrees": [pu, pv], "knots_u": ku, "knots_v": kv,
        "uv": uv, "z": z, "weights": weights, "control_z": fit.get_coeffs().tolist(),
    }


def grid_case(pu, pv, inner):
    case = surface_case(pu, pv, inner)
    us, vs = parameters(case["knots_u"], pu, pu + 2), parameters(case["knots_v"], pv, pv + 2)
    z = [[height(u, v) for v in vs] for u in us]
    wu, wv = [short(draw.uniform(0.2, 4.0)) for _ in us], [short(draw.uniform(0.2, 4.0)) for _ in vs]
    u, v = np.repeat(us, len(vs)), np.tile(vs, len(us))
    w = np.outer(wu, wv).ravel()
    fit = LSQBivariateSpline(
        u, v, np.array(z).ravel(), case["knots_u"][pu + 1 : -pu - 1], case["knots_v"][pv + 1 : -pv - 1],
        w=np.sqrt(w), bbox=[0, 2, 0, 2], kx=pu, ky=pv,
    )
    return {
        "kind": "grid", "by": "LSQBivariateSpline", "degrees": [pu, pv], "knots_u": case["knots_u"], "knots_v": case["knots_v"],
        "u": us, "v": vs, "z": z, "weights_u": wu, "weights_v": wv, "control_z": fit.get_coeffs().tolist(),
    }


def collocation(knots, degree, t, order=0):
    """Basis functions (or their derivatives) at t, from SciPy's own B-splines one by one."""
    count = len(knots) - degree - 1
    columns = []
    for j in range(count):
        c = np.zeros(count)
        c[j] = 1.0
        s = BSpline(np.array(knots), c, degree)
        columns.append((s.derivative(order) if order else s)(np.array(t)) if order <= degree else np.zeros(len(t)))
    return np.array(columns).T


def fair_case(pu, pv, inner, factor, aspect, locked):
    case = surface_case(pu, pv, inner)
    ku, kv, uv = case["knots_u"], case["knots_v"], case["uv"]
    nu, nv = len(ku) - pu - 1, len(kv) - pv - 1

    def rows(u, v, du=0, dv=0):
        a, b = collocation(ku, pu, u, du), collocation(kv, pv, v, dv)
        return (a[:, :, None] * b[:, None, :]).reshape(len(u), nu * nv)

    w = np.array(case["weights"]) / sum(case["weights"])
    data = rows([p[0] for p in uv], [p[1] for p in uv])
    hessian = data.T @ (w[:, None] * data)
    right = data.T @ (w * np.array(case["z"]))
    # Thin-plate energy over a rectangle of area 1, sides as aspect to 1; parameters run over [0, 2] in both directions.
    x, wx = np.polynomial.legendre.leggauss(12)
    for a, b in zip(sorted(set(ku)), sorted(set(ku))[1:]):
        for c, d in zip(sorted(set(kv)), sorted(set(kv))[1:]):
            u, v = (a + b) / 2 + (b - a) / 2 * x, (c + d) / 2 + (d - c) / 2 * x
            area = np.outer(wx * (b - a) / 4, wx * (d - c) / 4).ravel()
            uu, vv = np.repeat(u, len(v)), np.tile(v, len(u))
            for du, dv, size in ((2, 0, 1 / aspect**2), (1, 1, 2.0), (0, 2, aspect**2)):
                e = rows(uu, vv, du, dv) * 4.0
                hessian += factor * size * e.T @ (area[:, None] * e)
    # The first row of control points locked, and the height and slope at one inner place, by Lagrange multipliers.
    equations, values = [], []
    if locked:
        for j in range(nv):
            row = np.zeros(nu * nv)
            row[j] = 1.0
            equations.append(row)
            values.append(short(draw.uniform(-20, 20)))
        equations += [rows([1.3], [0.7])[0], rows([1.3], [0.7], 1, 0)[0]]
        values += [12.5, -31.0]
    c = np.array(equations).reshape(len(values), nu * nv)
    system = np.block([[hessian, c.T], [c, np.zeros((len(values), len(values)))]])
    solution = np.linalg.solve(system, np.concatenate([right, values]))
    case.update({"kind": "fair", "by": "numpy on SciPy's B-splines", "factor": factor, "aspect": aspect})
    case.update({"locked": values[:nv] if locked else [], "control_z": solution[: nu * nv].tolist()})
    return case


cases = [curve_case(degree, inner) for degree in range(1, 8) for inner in (0, 3)]
cases += [surface_case(pu, pv, inner) for pu, pv, inner in ((1, 1, 2), (2, 3, 2), (3, 3, 1), (4, 2, 1), (5, 5, 0), (5, 4, 1))]
cases += [grid_case(pu, pv, inner) for pu, pv, inner in ((1, 2, 2), (3, 3, 2), (5, 5, 1))]
cases += [fair_case(3, 2, 2, 1e-3, 1.0, False), fair_case(5, 4, 1, 1e-5, 2.2, True), fair_case(2, 5, 1, 1e-2, 0.7, True)]
import scipy  # noqa: E402

print(json.dumps({"library": f"SciPy {scipy.__version__}", "cases": cases}, indent=None, separators=(",", ":")))
