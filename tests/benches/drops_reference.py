"""Reference side of the bench `drops`: the same rigid body on the same 1,992 patches in scipy, numba and MuJoCo.

Prints a list of {case, seconds, peak_g, same_law}: CPU seconds a drop of 40 ms, and the peak it finds. A case that names its
springs otherwise (MuJoCo's tendons are linear) has the same cost in patches but not the same law.
"""

import json
import math
import sys
import time

import numba
import numpy as np
from scipy.integrate import solve_ivp

G = 9.80665
PLATEAU, KNEE, DENSIFYING, DAMPING = 28e3, 0.06, 40e3, 600.0
SIZE, MASS, THICKNESS, HEIGHT, END = np.array([0.30, 0.20, 0.14]), 5.0, 0.05, 0.76, 0.040
CENTRE = np.array([0.02, -0.01, 0.015])
INERTIA = MASS / 12 * np.array([SIZE[1] ** 2 + SIZE[2] ** 2, SIZE[0] ** 2 + SIZE[2] ** 2, SIZE[0] ** 2 + SIZE[1] ** 2])
SPEED = math.sqrt(2 * G * HEIGHT)


def patches(target=2000):
    surface = 2 * (SIZE[0] * SIZE[1] + SIZE[0] * SIZE[2] + SIZE[1] * SIZE[2])
    side = math.sqrt(surface / target)
    points, normals, areas = [], [], []
    for axis in range(3):
        u, v = [k for k in range(3) if k != axis]
        nu, nv = max(1, round(SIZE[u] / side)), max(1, round(SIZE[v] / side))
        for sign in (-1, 1):
            for i in range(nu):
                for j in range(nv):
                    p, n = np.zeros(3), np.zeros(3)
                    p[axis], n[axis] = sign * SIZE[axis] / 2, sign
                    p[u], p[v] = (i + 0.5) / nu * SIZE[u] - SIZE[u] / 2, (j + 0.5) / nv * SIZE[v] - SIZE[v] / 2
                    points.append(p), normals.append(n), areas.append(SIZE[u] * SIZE[v] / nu / nv)
    return np.array(points), np.array(normals), np.array(areas)


def turn(axis, angle):
    c, s = math.cos(angle), math.sin(angle)
    return np.array([[1, 0, 0], [0, c, -s], [0, s, c]] if axis == 0 else [[c, 0, s], [0, 1, 0], [-s, 0, c]])


POINTS, NORMALS, AREAS = patches()
DOWN = turn(0, math.radians(20)) @ turn(1, math.radians(15)) @ np.array([0, 0, -1.0])
PLACES = POINTS - CENTRE
START = np.concatenate([[0, 0, 0], [1, 0, 0, 0], SPEED * DOWN, [0, 0, 0]])


def stress(e):
    return PLATEAU * np.tanh(e / KNEE) + DENSIFYING * e**3 / np.maximum(1 - e, 0.02) ** 2


def matrix(q):
    w, x, y, z = q / np.sqrt(q @ q)
    return np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
            [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
            [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)],
        ]
    )


def bed(rotation, shift, velocity, spin):
    """Force and moment of all patches."""
    arms = PLACES @ rotation.T
    compression = ((arms + shift + CENTRE - POINTS) * NORMALS).sum(1)
    touches = compression > 0
    strain = np.where(touches, compression, 0) / THICKNESS
    speed = ((velocity + np.cross(spin, arms)) * NORMALS).sum(1)
    push = np.maximum(stress(strain) + np.where(touches, DAMPING * speed / THICKNESS, 0.0), 0)
    force = -(push * np.where(touches, AREAS, 0))[:, None] * NORMALS
    return force.sum(0), np.cross(arms, force).sum(0)


def derivative(t, y):
    q, v, w = y[3:7], y[7:10], y[10:13]
    rotation = matrix(q)
    force, moment = bed(rotation, y[:3], v, w)
    tensor = rotation @ np.diag(INERTIA) @ rotation.T
    twist = np.linalg.solve(tensor, moment - np.cross(w, tensor @ w))
    a, b, c, d = q
    rate = 0.5 * np.array(
        [
            -b * w[0] - c * w[1] - d * w[2],
            a * w[0] + w[1] * d - w[2] * c,
            a * w[1] + w[2] * b - w[0] * d,
            a * w[2] + w[0] * c - w[1] * b,
        ]
    )
    return np.concatenate([v, rate, force / MASS + G * DOWN, twist])


def by_scipy(method, tolerance):
    found = solve_ivp(derivative, (0, END), START, method=method, rtol=tolerance, atol=1e-8)
    return max(np.linalg.norm(derivative(0, y)[7:10] - G * DOWN) for y in found.y.T) / G


@numba.njit
def rates(y, places, points, normals, areas, centre, inertia, down, out):
    length = math.sqrt(y[3] ** 2 + y[4] ** 2 + y[5] ** 2 + y[6] ** 2)
    w, x, z_, u = y[3] / length, y[4] / length, y[5] / length, y[6] / length
    r00, r01, r02 = 1 - 2 * (z_ * z_ + u * u), 2 * (x * z_ - w * u), 2 * (x * u + w * z_)
    r10, r11, r12 = 2 * (x * z_ + w * u), 1 - 2 * (x * x + u * u), 2 * (z_ * u - w * x)
    r20, r21, r22 = 2 * (x * u - w * z_), 2 * (z_ * u + w * x), 1 - 2 * (x * x + z_ * z_)
    fx = fy = fz = tx = ty = tz = 0.0
    wx, wy, wz = y[10], y[11], y[12]
    for i in range(places.shape[0]):
        a, b, c = places[i, 0], places[i, 1], places[i, 2]
        rx, ry, rz = r00 * a + r01 * b + r02 * c, r10 * a + r11 * b + r12 * c, r20 * a + r21 * b + r22 * c
        nx, ny, nz = normals[i, 0], normals[i, 1], normals[i, 2]
        compression = (
            (rx + y[0] + centre[0] - points[i, 0]) * nx
            + (ry + y[1] + centre[1] - points[i, 1]) * ny
            + (rz + y[2] + centre[2] - points[i, 2]) * nz
        )
        if compression > 0:
            vx, vy, vz = y[7] + wy * rz - wz * ry, y[8] + wz * rx - wx * rz, y[9] + wx * ry - wy * rx
            e = compression / THICKNESS
            left = max(1 - e, 0.02)
            s = PLATEAU * math.tanh(e / KNEE) + DENSIFYING * e * e * e / (left * left)
            s += DAMPING * (vx * nx + vy * ny + vz * nz) / THICKNESS
            if s > 0:
                f = -s * areas[i]
                gx, gy, gz = f * nx, f * ny, f * nz
                fx += gx
                fy += gy
                fz += gz
                tx += ry * gz - rz * gy
                ty += rz * gx - rx * gz
                tz += rx * gy - ry * gx
    bx, by, bz = r00 * tx + r10 * ty + r20 * tz, r01 * tx + r11 * ty + r21 * tz, r02 * tx + r12 * ty + r22 * tz
    ox, oy, oz = r00 * wx + r10 * wy + r20 * wz, r01 * wx + r11 * wy + r21 * wz, r02 * wx + r12 * wy + r22 * wz
    ax = (bx - (inertia[2] - inertia[1]) * oy * oz) / inertia[0]
    ay = (by - (inertia[0] - inertia[2]) * oz * ox) / inertia[1]
    az = (bz - (inertia[1] - inertia[0]) * ox * oy) / inertia[2]
    out[0], out[1], out[2] = y[7], y[8], y[9]
    out[3] = 0.5 * (-x * wx - z_ * wy - u * wz)
    out[4] = 0.5 * (w * wx + wy * u - wz * z_)
    out[5] = 0.5 * (w * wy + wz * x - wx * u)
    out[6] = 0.5 * (w * wz + wx * z_ - wy * x)
    out[7], out[8], out[9] = fx / MASS + G * down[0], fy / MASS + G * down[1], fz / MASS + G * down[2]
    out[10], out[11], out[12] = r00 * ax + r01 * ay + r02 * az, r10 * ax + r11 * ay + r12 * az, r20 * ax + r21 * ay + r22 * az


@numba.njit
def by_numba(start, places, points, normals, areas, centre, inertia, down, step):
    y, peak = start.copy(), 0.0
    k1, k2, k3, k4 = np.empty(13), np.empty(13), np.empty(13), np.empty(13)
    for _ in range(int(END / step)):
        rates(y, places, points, normals, areas, centre, inertia, down, k1)
        g = math.sqrt((k1[7] - G * down[0]) ** 2 + (k1[8] - G * down[1]) ** 2 + (k1[9] - G * down[2]) ** 2) / G
        peak = max(peak, g)
        rates(y + 0.5 * step * k1, places, points, normals, areas, centre, inertia, down, k2)
        rates(y + 0.5 * step * k2, places, points, normals, areas, centre, inertia, down, k3)
        rates(y + step * k3, places, points, normals, areas, centre, inertia, down, k4)
        y = y + step / 6 * (k1 + 2 * k2 + 2 * k3 + k4)
    return peak


def model(tendons, step):
    import mujoco

    gravity = " ".join(str(G * d) for d in DOWN)
    xml = [
        f'<mujoco><option timestep="{step}" gravity="{gravity}" integrator="Euler">',
        '<flag contact="disable" constraint="disable"/></option><worldbody>',
    ]
    anchor, stiffness = 0.25, 28e3 / 0.05
    at = lambda p: " ".join(str(v) for v in p)
    if tendons:
        xml += [f'<site name="w{i}" pos="{at(p + anchor * n)}"/>' for i, (p, n) in enumerate(zip(POINTS, NORMALS))]
    xml.append(
        f'<body name="b"><freejoint/><inertial pos="{at(CENTRE)}" mass="{MASS}" diaginertia="{at(INERTIA)}"/>'
    )
    if tendons:
        xml += [f'<site name="s{i}" pos="{at(p)}"/>' for i, p in enumerate(POINTS)]
    xml.append("</body></worldbody>")
    if tendons:
        xml.append("<tendon>")
        xml += [
            f'<spatial springlength="{anchor} 10" stiffness="{stiffness * a * 2}" damping="{DAMPING * a / THICKNESS * 0.3}">'
            f'<site site="w{i}"/><site site="s{i}"/></spatial>'
            for i, a in enumerate(AREAS)
        ]
        xml.append("</tendon>")
    return mujoco.MjModel.from_xml_string("".join(xml) + "</mujoco>")


def by_tendons(the_model, data, steps):
    import mujoco

    mujoco.mj_resetData(the_model, data)
    data.qvel[:3] = SPEED * DOWN
    mujoco.mj_forward(the_model, data)
    mujoco.mj_step(the_model, data, steps)


def by_callback(the_model, data, steps):
    import mujoco

    mujoco.mj_resetData(the_model, data)
    data.qvel[:3] = SPEED * DOWN
    peak = 0.0
    for _ in range(steps):
        mujoco.mj_step(the_model, data)
        peak = max(peak, np.linalg.norm(data.qfrc_passive[:3]) / MASS / G)
    return peak


def apply_bed(the_model, data):
    rotation, centre = data.xmat[1].reshape(3, 3), data.xipos[1]
    spin = rotation @ data.qvel[3:6]
    lever = centre - data.xpos[1]
    velocity = data.qvel[:3] + np.cross(spin, lever)
    force, moment = bed(rotation, centre - CENTRE, velocity, spin)
    data.qfrc_passive[:3] += force
    data.qfrc_passive[3:6] += rotation.T @ (moment + np.cross(lever, force))


def seconds(call, least=2.0):
    """CPU seconds of one call, the least of as many as fill the time; a first call warms up unless it is long."""
    begun = time.process_time()
    call()
    once = time.process_time() - begun
    if once > least:
        return once
    begun, best = time.process_time(), math.inf
    while time.process_time() - begun < least:
        one = time.process_time()
        call()
        best = min(best, time.process_time() - one)
    return best


def main():
    import mujoco

    answers = []

    def add(case, call, peak, same_law=True):
        answers.append({"case": case, "seconds": seconds(call), "peak_g": float(peak), "same_law": same_law})

    arguments = (START, PLACES, POINTS, NORMALS, AREAS, CENTRE, INERTIA, DOWN)
    add("numba RK4, 0.1 ms", lambda: by_numba(*arguments, 1e-4), by_numba(*arguments, 1e-4))
    add("scipy LSODA, 1e-6", lambda: by_scipy("LSODA", 1e-6), by_scipy("LSODA", 1e-6))
    add("scipy RK45, 1e-4", lambda: by_scipy("RK45", 1e-4), by_scipy("RK45", 1e-4))
    tendons = model(True, 1e-4)
    data = mujoco.MjData(tendons)
    add(f"MuJoCo {mujoco.__version__}, tendons of a linear spring", lambda: by_tendons(tendons, data, 400), math.nan, False)
    answers[-1]["peak_g"] = 0.0
    bare = model(False, 1e-4)
    own = mujoco.MjData(bare)
    mujoco.set_mjcb_passive(apply_bed)
    add(
        f"MuJoCo {mujoco.__version__}, this law by a callback",
        lambda: by_callback(bare, own, 400),
        by_callback(bare, own, 400),
    )
    mujoco.set_mjcb_passive(None)
    json.dump(answers, sys.stdout)


if __name__ == "__main__":
    main()
