"""How pieces stand by themselves: trimesh's stable poses, and shapely's distance to the edge of what bears."""

import math


def resting(path, scale, least_tip_deg):
    """trimesh.poses.compute_stable_poses about the centre of volume: [up, height, tilt to tip in degrees], steadiest first."""
    import numpy as np
    import shapely
    from second_opinion import load_mesh
    from trimesh import poses

    mesh = load_mesh(path, scale)
    hull = mesh.convex_hull
    centre = mesh.center_mass if mesh.is_watertight else hull.center_mass
    found, _ = poses.compute_stable_poses(hull, center_mass=centre, sigma=0.0, n_samples=1, threshold=0.0)
    answers = []
    for pose in found:
        points = hull.vertices @ pose[:3, :3].T + pose[:3, 3]
        middle = pose[:3, :3] @ centre + pose[:3, 3]
        low = points[:, 2].min()
        bearing = points[points[:, 2] < low + 1e-4 * hull.extents.max()]
        foot = shapely.convex_hull(shapely.MultiPoint(bearing[:, :2]))
        if foot.area == 0 or not foot.contains(shapely.Point(middle[:2])):
            continue
        tip = math.degrees(math.atan2(foot.exterior.distance(shapely.Point(middle[:2])), middle[2] - low))
        if tip >= float(least_tip_deg):
            answers.append([list(pose[:3, :3].T @ np.array([0.0, 0.0, 1.0])), float(middle[2] - low), tip])
    return sorted(answers, key=lambda answer: -answer[2])
