"""Collects the primitives and materials of a scene, packed as tracer/scene.h lays them out. Millimetres, world frame."""
import numpy as np

CONE, ROUND_CONE, BOX, RING, BLANK = range(5)
PLAIN, THREAD_TURNS, CREPE, CORK, FOAM, WOOD, SEAT_CARD, BRUSHED, SKIN_TONE, TICKS, WEAVE = range(11)


def unit(v):
    v = np.asarray(v, float)
    return v / max(np.linalg.norm(v), 1e-12)


def square_to(direction, up):
    """The part of `up` square to `direction`, unit; any such when they are parallel."""
    up = np.asarray(up, float) - np.dot(up, direction) * np.asarray(direction)
    if np.linalg.norm(up) < 1e-6:
        return square_to(direction, np.eye(3)[np.argmin(np.abs(direction))])
    return unit(up)


class Shapes:
    def __init__(self):
        self.prims, self.mats = [], []
        self.id = 0   # object id given to what is added next

    def material(self, kd, f0=0.04, roughness=0.4, pattern=PLAIN, period=1.0, amount=0.0, kd2=(0, 0, 0)):
        three = lambda c: list(np.broadcast_to(np.asarray(c, float), 3))
        self.mats.append(three(kd) + three(f0) + [roughness, pattern, period, amount] + three(kd2) + [0, 0, 0])
        return len(self.mats) - 1

    def _add(self, kind, material, cls, rows, origin, centre, reach, p):
        rows = np.asarray(rows, float)
        m = np.concatenate([np.c_[rows, -rows @ np.asarray(origin, float)].ravel()])
        p = list(p) + [0] * (8 - len(p))
        self.prims.append([kind, material, cls, self.id, *m, *centre, reach * 1.001 + 0.01, *p, 0, 0, 0, 0])

    def _long(self, kind, a, b, ra, rb, material, cls, flat, up):
        a, b = np.asarray(a, float), np.asarray(b, float)
        length = np.linalg.norm(b - a)
        if length < 1e-6:
            b = a + [1e-3, 0, 0]
            length = 1e-3
        x = (b - a) / length
        z = square_to(x, up if up is not None else (0, 0, 1))
        y = np.cross(z, x)
        big = max(ra, rb) * max(1.0, *flat)
        reach = length / 2 + big if kind == ROUND_CONE else np.hypot(length / 2, big)
        self._add(kind, material, cls, [x, y / flat[0], z / flat[1]], a, (a + b) / 2, reach, [length, ra, rb])

    def cone(self, a, b, ra, rb, material, cls, flat=(1, 1), up=None):
        """Solid capped cone; `flat` scales it across (local y, z = up)."""
        self._long(CONE, a, b, ra, rb, material, cls, flat, up)

    def round_cone(self, a, b, ra, rb, material, cls, flat=(1, 1), up=None):
        self._long(ROUND_CONE, a, b, ra, rb, material, cls, flat, up)

    def chain(self, points, radii, material, cls, flat=(1, 1), up=None):
        for a, b, ra, rb in zip(points, points[1:], radii, radii[1:]):
            self.round_cone(a, b, ra, rb, material, cls, flat, up)

    def box(self, centre, x, up, half, material, cls):
        x = unit(x)
        z = square_to(x, up)
        self._add(BOX, material, cls, [x, np.cross(z, x), z], centre, centre, np.linalg.norm(half), half)

    def ring(self, centre, normal, radius, half_radial, half_axial, rounding, material, cls):
        """Rounded rectangle turned about `normal`; radius of the section's middle."""
        x = unit(normal)
        z = square_to(x, (0, 0, 1))
        rounding = min(rounding, half_radial, half_axial)
        self._add(RING, material, cls, [x, np.cross(z, x), z], centre, centre,
                  np.hypot(radius + half_radial, half_axial), [radius, half_radial, half_axial, rounding])

    def blank(self, a, b, ra, rb, s0, s1, up, side):
        """A piece of the blank; `up` is where roll is 0, `side` where it is 90 degrees."""
        a, b = np.asarray(a, float), np.asarray(b, float)
        length = np.linalg.norm(b - a)
        x = (b - a) / length
        y = square_to(x, up)
        z = side - np.dot(side, x) * x - np.dot(side, y) * y
        self._add(BLANK, 0, 1, [x, y, unit(z)], a, (a + b) / 2, np.hypot(length / 2, max(ra, rb)), [length, ra, rb, s0, s1, 0])

    def packed(self):
        if not self.mats:
            self.material(0.5)
        return np.array(self.prims, np.float32).reshape(-1, 32), np.array(self.mats, np.float32).reshape(-1, 16)
