"""Makes drop_random.json: random rigid bodies on random patches, dropped by scipy (DOP853, 1e-10).

    python drop_random.py > drop_random.json

An integration in another language by another method, of bodies nobody chose: full inertia tensors, patches that face any way,
four laws, gaps. The form is that of drop_cases.json with the outputs of the whole horizon only.
"""

import json
import math
import sys

import numpy as np
from scipy.integrate import solve_ivp

G = 9.80665
rng = np.random.default_rng(20261127)


def laws():
    return [
        {"type": "closed_cell", "s0": float(rng.uniform(8e3, 5e4)), "e0": 0.02, "p0": 101325.0, "R": 0.04},
        {"type": "stress_energy", "a": float(rng.uniform(1e4, 3e4)), "b": 3.0e-5, "e1": 0.01},
        {"type": "mindlin_tangent", "k": float(rng.uniform(1e5, 3e5)), "eb": 0.9},
        {"type": "linear", "E": float(rng.uniform(1e5, 4e5))},
    ]


def stress(law, e):
    """Of strains at or above 0, an array."""
    if law["type"] == "closed_cell":
        return law["s0"] * np.tanh(e / law["e0"]) + law["p0"] * e / (1 - law["R"] - e)
    if law["type"] == "stress_energy":
        a, b, e1 = law["a"], law["b"], law["e1"]
        return np.where(e >= e1, a / (1 - a * b * e), a / (1 - a * b * e1) * e / e1)
    if law["type"] == "mindlin_tangent":
        return 2 * law["k"] * law["eb"] / math.pi * np.tan(math.pi * e / (2 * law["eb"]))
    return law["E"] * e


def body():
    size = rng.uniform(0.08, 0.3, 3)
    mass = float(rng.uniform(1, 9))
    turn, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    spread = size**2 * rng.uniform(0.8, 1.2, 3)
    principal = mass / 12 * np.array([spread[1] + spread[2], spread[0] + spread[2], spread[0] + spread[1]])
    tensor = turn @ np.diag(principal) @ turn.T
    centre = rng.uniform(-0.1, 0.1, 3) * size
    patches = []
    for axis in range(3):
        for sign in (-1, 1):
            law, thickness = int(rng.integers(4)), float(rng.uniform(0.05, 0.09))
            tilt = rng.normal(size=3) * 0.15
            normal = tilt + 0.0
            normal[axis] = sign
            normal = normal / np.linalg.norm(normal)
            count = 5
            u, v = [k for k in range(3) if k != axis]
            for i in range(count):
                for j in range(count):
                    p = np.zeros(3)
                    p[axis] = sign * size[axis] / 2
                    p[u] = ((i + 0.5) / count - 0.5) * size[u]
                    p[v] = ((j + 0.5) / count - 0.5) * size[v]
                    area = float(rng.uniform(0.5, 1.0)) * size[u] * size[v] / count**2
                    patches.append([*p, *normal, area, thickness, float(rng.choice([0.0, 0.0, 0.002])), law])
    direction = rng.normal(size=3)
    return {
        "height": float(rng.uniform(0.2, 0.5)),
        "direction": (direction / np.linalg.norm(direction)).tolist(),
        "gravity_in_stroke": True,
        "t_end": 0.03,
        "item": {"mass": mass, "com": centre.tolist(), "inertia_com": tensor.tolist()},
        "point": {"name": "corner", "p": (size / 2).tolist()},
        "laws": laws(),
        "patches": [[float(x) for x in row[:9]] + [row[9]] for row in patches],
    }


def matrix(q):
    w, x, y, z = q / np.linalg.norm(q)
    return np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
            [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
            [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)],
        ]
    )


def drop(case):
    rows = np.array([row[:9] for row in case["patches"]])
    which = np.array([row[9] for row in case["patches"]])
    points, normals, areas, thick, gaps = rows[:, :3], rows[:, 3:6], rows[:, 6], rows[:, 7], rows[:, 8]
    centre, mass = np.array(case["item"]["com"]), case["item"]["mass"]
    tensor, down = np.array(case["item"]["inertia_com"]), np.array(case["direction"])
    places, corner = points - centre, np.array(case["point"]["p"]) - centre

    def bed(y):
        rotation = matrix(y[6:10])
        arms = places @ rotation.T
        strain = np.maximum(((y[:3] + arms - places) * normals).sum(1) - gaps, 0) / thick
        push = np.zeros(len(strain))
        for index, law in enumerate(case["laws"]):
            push[which == index] = stress(law, strain[which == index])
        force = -(areas * push)[:, None] * normals
        return force.sum(0), np.cross(arms, force).sum(0), strain.max(), rotation

    def derivative(_, y):
        force, moment, _, rotation = bed(y)
        w = y[10:13]
        q = y[6:10]
        rate = 0.5 * np.concatenate([[-q[1:] @ w], q[0] * w + np.cross(q[1:], w)])
        twist = np.linalg.solve(tensor, rotation.T @ moment - np.cross(w, tensor @ w))
        return np.concatenate([y[3:6], force / mass + G * down, rate, twist])

    speed = math.sqrt(2 * G * case["height"])
    start = np.concatenate([np.zeros(3), speed * down, [1, 0, 0, 0], np.zeros(3)])
    found = solve_ivp(derivative, (0, case["t_end"]), start, method="DOP853", rtol=1e-10, atol=1e-12, max_step=1e-5)
    peak = point = strain = travel = turn = 0.0
    for y in found.y.T:
        force, _, most, rotation = bed(y)
        w, twist = y[10:13], derivative(0, y)[10:13]
        own = np.cross(twist, corner) + np.cross(w, np.cross(w, corner))
        peak = max(peak, np.linalg.norm(force) / mass / G)
        point = max(point, np.linalg.norm(force / mass + rotation @ own) / G)
        strain, travel = max(strain, most), max(travel, np.linalg.norm(y[:3]))
        q = y[6:10] / np.linalg.norm(y[6:10])
        turn = max(turn, 2 * math.atan2(np.linalg.norm(q[1:]), abs(q[0])))
    return {
        "peak_G_cm": peak,
        "peak_G_point": point,
        "max_strain": strain,
        "max_disp_cm": travel,
        "max_rotation_deg": math.degrees(turn),
        "x_end": found.y[:3, -1].tolist(),
    }


def main():
    cases = []
    while len(cases) < 8:
        case = body()
        outputs = drop(case)
        # Beyond 0.8 a law of this list may be near its end, where the programs continue it each its own way.
        if outputs["max_strain"] < 0.8:
            cases.append({"id": f"random_{len(cases) + 1}", "input": case, "expected": {"horizon": outputs}})
    json.dump({"format": "drop-reference-1", "made_by": "drop_random.py, scipy DOP853 1e-10", "cases": cases}, sys.stdout)


if __name__ == "__main__":
    main()
