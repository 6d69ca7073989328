"""The blank's axis in the world and its radius; s is arc length from the tip."""
import numpy as np

PAPER_TOP = 0.12


class Axis:
    """From a blank (rod.blank): flat on the mat with its grip lifting the butt, or on blocks. Bows sideways and sags."""

    def __init__(self, b):
        s = np.arange(0, b['length'] + 5, 5.0)
        self.radius_s, self.radius = b['s'], b['radius']
        k = s / b['length']
        y = b['offset'] + b['skew'] * (s - b['length'] / 2) + b['bow'] * (4 * k * (1 - k)) + b['bow2'] * np.sin(2 * np.pi * k)
        r = np.interp(s, b['s'], b['radius'])
        if b['flat']:
            g = np.clip(s / b['grip'], 0, 1.2)
            lift = max(0.0, b['grip_radius'] - np.interp(b['grip'], b['s'], b['radius']))
            z = PAPER_TOP + r + lift * g ** 1.6 + 0.05
        else:
            z = np.full_like(s, b['height']) - b['sag'] * (4 * k * (1 - k))
            z = np.maximum(z, PAPER_TOP + r + 0.05)
        x = b.get('slid', 0.0) + np.concatenate([[0], np.cumsum(np.sqrt(np.maximum(25 - np.diff(y) ** 2 - np.diff(z) ** 2, 1)))])
        self.s, self.points = s, np.stack([x, y, z], -1)
        tangent = np.gradient(self.points, axis=0)
        self.tangents = tangent / np.linalg.norm(tangent, axis=1)[:, None]

    def _along(self, table, s):
        return np.stack([np.interp(s, self.s, table[:, k]) for k in range(3)], -1)

    def point(self, s):
        """World point; straight on beyond both ends."""
        s = np.asarray(s, float)
        inside = np.clip(s, 0, self.s[-1])
        return self._along(self.points, inside) + (s - inside)[..., None] * self._along(self.tangents, inside)

    def tangent(self, s):
        t = self._along(self.tangents, np.clip(s, 0, self.s[-1]))
        return t / np.linalg.norm(t, axis=-1, keepdims=True)

    def radius_at(self, s):
        return np.interp(s, self.radius_s, self.radius)

    def frame(self, s):
        """Origin, tangent, up (roll 0) and the side toward which roll grows."""
        t = self.tangent(s)
        up = np.array([0, 0, 1.0]) - t[2] * t
        up /= np.linalg.norm(up)
        return self.point(s), t, up, np.cross(up, t)
