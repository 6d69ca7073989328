"""A phone's camera over the bench: pinhole, Brown, and a smooth lens field beyond it. World to camera as in OpenCV."""
import cv2
import numpy as np


def look_at(centre, target, turn):
    """World to camera rotation; `turn`: how far the picture's right lies from the world's x axis, radians."""
    f = np.asarray(target, float) - centre
    f /= np.linalg.norm(f)
    right = np.array([np.cos(turn), np.sin(turn), 0.0])
    right = right - right @ f * f
    right /= np.linalg.norm(right)
    return np.stack([right, np.cross(f, right), f])


def random_camera(rng, axis, length, kind, megapixels=None):
    """kind 'walk': close, part of the rod, often tilted. 'one': from above, most of it."""
    mp = megapixels or rng.choice([12.2, 8, 16, 5, 3, 2], p=[0.5, 0.25, 0.08, 0.1, 0.05, 0.02] if kind == 'walk' else [0.6, 0.28, 0.08, 0.04, 0, 0])
    portrait = rng.random() < (0.2 if kind == 'walk' else 0.1)
    w = int(np.sqrt(mp * 1e6 * 4 / 3)) // 2 * 2
    h = int(w * 3 / 4) // 2 * 2
    if portrait:
        w, h = h, w
    f = max(w, h) * rng.uniform(0.68, 0.8)
    high = rng.uniform(430, 780) if kind == 'walk' else rng.uniform(850, 1450)
    s = rng.uniform(0, length * 0.9) if kind == 'walk' else rng.uniform(0.25, 0.65) * length
    p = axis.point(s)
    if kind == 'walk':
        tilt_x, tilt_y = np.radians(rng.normal(0, 10)), np.radians(rng.normal(0, 13))
    else:
        tilt_x, tilt_y = np.radians(rng.normal(0, 4)), np.radians(rng.normal(0, 5))
    tilt_x, tilt_y = np.clip([tilt_x, tilt_y], -0.6, 0.6)
    target = np.array([p[0] + rng.normal(0, 20), p[1] + rng.normal(0, 0.06 * high), 0])
    centre = target + high * np.array([np.tan(tilt_x), np.tan(tilt_y), 1])
    turn = np.radians(rng.normal(0, 5) + (180 if rng.random() < 0.35 else 0) + (90 * rng.choice([-1, 1]) if rng.random() < 0.12 or portrait else 0))
    return make_camera(rng, centre, target, turn, w, h, f, rng.uniform(0, 0.8))


def make_camera(rng, centre, target, turn, w, h, f, field=0.0, dist=None, cx=None, cy=None):
    r = look_at(np.asarray(centre, float), target, -turn)
    dist = dist if dist is not None else np.array([rng.normal(0.01, 0.03), rng.normal(-0.01, 0.03), rng.normal(0, 3e-4), rng.normal(0, 3e-4), 0.0])
    waves = []
    for share in (0.6, 0.6, 0.25):
        a = rng.uniform(0, 6.28)
        k = 2 * np.pi / (max(w, h) * rng.uniform(0.7, 2.0))
        waves += [field * share * rng.uniform(0.5, 1), k * np.cos(a), k * np.sin(a), rng.uniform(0, 6.28)]
    c = dict(R=r, C=np.asarray(centre, float), fx=f, fy=f, cx=w / 2 - 0.5 + rng.normal(0, 4) if cx is None else cx, cy=h / 2 - 0.5 + rng.normal(0, 4) if cy is None else cy,
             dist=np.asarray(dist, float), field=np.array(waves), width=w, height=h)
    return c


def brown(camera):
    """K, dist, rvec, tvec as OpenCV takes them."""
    k = np.array([[camera['fx'], 0, camera['cx']], [0, camera['fy'], camera['cy']], [0, 0, 1.0]])
    return k, camera['dist'], cv2.Rodrigues(camera['R'])[0].ravel(), -camera['R'] @ camera['C']


def project(camera, points, field=True):
    """World points (..., 3) to pixels (..., 2) of the upright photo; NaN behind the camera. field=False: Brown's model alone."""
    points = np.asarray(points, float)
    flat = points.reshape(-1, 3)
    q = (flat - camera['C']) @ camera['R'].T
    z = np.where(q[:, 2] > 1, q[:, 2], np.nan)
    x, y = q[:, 0] / z, q[:, 1] / z
    k1, k2, p1, p2, k3 = camera['dist']
    r2 = x * x + y * y
    r2 = np.where(r2 < 1.1, r2, np.nan)   # beyond any photo, where Brown's polynomial folds back
    radial = 1 + r2 * (k1 + r2 * (k2 + r2 * k3))
    u = camera['fx'] * (x * radial + 2 * p1 * x * y + p2 * (r2 + 2 * x * x)) + camera['cx']
    v = camera['fy'] * (y * radial + p1 * (r2 + 2 * y * y) + 2 * p2 * x * y) + camera['cy']
    if field:
        a = camera['field']
        uu, vv = u, v
        for _ in range(2):   # the field is given at the photo's pixel, as the tracer takes it
            third = a[9] * uu + a[10] * vv + a[11]
            uu, vv = (u + a[0] * np.cos(a[1] * uu + a[2] * vv + a[3]) + a[8] * np.cos(third),
                      v + a[4] * np.cos(a[5] * uu + a[6] * vv + a[7]) + a[8] * np.sin(third))
        u, v = uu, vv
    return np.stack([u, v], -1).reshape(points.shape[:-1] + (2,))
