"""The printed pages, what is taped, drawn and spilt on them, and the bench below."""
import re
from pathlib import Path

import cv2
import numpy as np

from palette import colour

PRINTED, OTHER = 3, 12
STEP = 0.3
TAGS = Path(__file__).resolve().parents[3] / 'src' / 'mat' / 'tag36h11.ts'


def tag_cells():
    """(587, 64) uint8, 1 = white; border cells 0. The patterns are read from the product's own table."""
    digits = ''.join(re.findall(r"^\s+'([0-9a-f]+)',$", TAGS.read_text(), re.M))
    out = []
    for i in range(0, len(digits), 9):
        cells = np.zeros((8, 8), np.uint8)
        cells[1:7, 1:7] = np.array([int(c) for c in f'{int(digits[i:i + 9], 16):036b}'], np.uint8).reshape(6, 6)
        out.append(cells.ravel())
    return np.array(out, np.uint8)


def pages(rng, length, bars=None, waved=None):
    """Tiles as tracer rows, and the waves' four terms."""
    a4 = rng.random() < 0.6
    w, h = (297.0, 210.0) if a4 else (279.4, 215.9)
    fit = 1.0 if rng.random() < 0.75 else rng.uniform(0.955, 0.99)   # printers that fit the page to their margins
    su, sv = fit * (1 + rng.normal(0, 0.002)), fit * (1 + rng.normal(0, 0.002))
    n = int(np.ceil((length * rng.uniform(0.7, 1.05) + 40) / w))
    bars = rng.random() < 0.55 if bars is None else bars
    tiles, x = [], -rng.uniform(6, 60) + w / 2
    for k in range(n):
        yaw = np.radians(rng.normal(0, 0.35))
        curl = rng.uniform(0, 2.0, 4) * (rng.random(4) < 0.15)
        tiles.append([x, rng.normal(0, 0.8), 0.1 + 0.03 * (k % 2), np.cos(yaw), np.sin(yaw), su, sv, w, h, k, float(bars), *curl, 0])
        x += w + rng.uniform(-0.2, 1.6)
    waves = []
    size = (rng.uniform(0, 0.6) if rng.random() < 0.4 else 0) if waved is None else waved
    for _ in range(4):
        a, k = rng.uniform(-0.6, 0.6), 2 * np.pi / rng.uniform(60, 260)
        waves += [k * np.cos(a), k * np.sin(a), rng.uniform(0, 6.28), size * rng.uniform(0.1, 0.5) / 2]
    return np.array(tiles, np.float32), waves, dict(paper='A4' if a4 else 'Letter', page=[w, h], scale=[su, sv])


class Paint:
    """RGBA over the bench, colour as square roots; class beside it."""

    def __init__(self, x0, x1, half):
        self.x0, self.y0 = x0, -half
        self.w, self.h = int((x1 - x0) / STEP), int(2 * half / STEP)
        self.rgba = np.zeros((self.h, self.w, 4), np.uint8)
        self.cls = np.zeros((self.h, self.w), np.uint8)

    def px(self, p):
        return np.round((np.asarray(p, float) - [self.x0, self.y0]) / STEP * 16).astype(np.int32)

    def _lay(self, box, mask, kd, alpha, cls):
        """mask uint8 within box (x, y, w, h)."""
        x, y, w, h = box
        a = (mask.astype(np.float32) / 255 * alpha)[..., None]
        part = self.rgba[y:y + h, x:x + w].astype(np.float32)
        old = part[..., 3:] / 255
        new = a + old * (1 - a)
        rgb = np.sqrt(np.clip(kd, 0, 1)) * 255
        part[..., :3] = np.where(new > 0, (rgb * a + part[..., :3] * old * (1 - a)) / np.maximum(new, 1e-6), 0)
        part[..., 3:] = new * 255
        self.rgba[y:y + h, x:x + w] = part + 0.5
        if cls:
            self.cls[y:y + h, x:x + w][mask > 127] = cls

    def _draw(self, points, draw, kd, alpha, cls, margin=40, soft=0):
        q = self.px(points)
        lo = np.maximum(q.min(0) // 16 - margin, 0)
        hi = np.minimum(q.max(0) // 16 + margin, [self.w, self.h])
        w, h = hi - lo
        if w < 2 or h < 2:
            return
        mask = np.zeros((h, w), np.uint8)
        draw(mask, (q - lo * 16).astype(np.int32))
        if soft:
            mask = cv2.GaussianBlur(mask, (0, 0), soft)
        self._lay((lo[0], lo[1], w, h), mask, kd, alpha, cls)

    def line(self, points, width, kd, alpha=1.0, cls=PRINTED):
        t = max(1, int(round(width / STEP)))
        def draw(mask, q):
            cv2.polylines(mask, [q.reshape(-1, 1, 2)], False, 255 if width >= STEP else int(255 * width / STEP), t, cv2.LINE_AA, 4)
        self._draw(points, draw, kd, alpha, cls)

    def polygon(self, points, kd, alpha=1.0, cls=OTHER, soft=0):
        self._draw(points, lambda m, q: cv2.fillPoly(m, [q.reshape(-1, 1, 2)], 255, cv2.LINE_AA, 4), kd, alpha, cls, soft=soft)

    def blot(self, rng, centre, size, kd, alpha):
        n = 14
        a = np.linspace(0, 2 * np.pi, n, endpoint=False)
        r = size * rng.uniform(0.5, 1.1, n)
        self.polygon(np.asarray(centre) + np.c_[r * np.cos(a), r * np.sin(a)], kd, alpha, 0, soft=rng.uniform(1, 8))

    def text(self, rng, words, at, height, kd, angle=0.0, cls=PRINTED, font=0):
        (w, h), _ = cv2.getTextSize(words, font, 1.0, 2)
        canvas = np.zeros((h + 24, w + 12), np.uint8)
        cv2.putText(canvas, words, (6, h + 8), font, 1.0, 255, 2, cv2.LINE_AA)
        k = height / STEP / h
        size = int(np.hypot(*canvas.shape) * k) + 4
        m = cv2.getRotationMatrix2D((canvas.shape[1] / 2, canvas.shape[0] / 2), angle, k)
        m[:, 2] += [size / 2 - canvas.shape[1] / 2, size / 2 - canvas.shape[0] / 2]
        mask = cv2.warpAffine(canvas, m, (size, size), flags=cv2.INTER_AREA)[::-1]   # y grows upward on the bench
        x, y = self.px(at) // 16 - size // 2
        x0, y0, x1, y1 = max(x, 0), max(y, 0), min(x + size, self.w), min(y + size, self.h)
        if x1 - x0 > 1 and y1 - y0 > 1:
            self._lay((x0, y0, x1 - x0, y1 - y0), np.ascontiguousarray(mask[y0 - y:y1 - y, x0 - x:x1 - x]), kd, 0.95, cls)


def _strip(paint, a, b, width, kd, alpha, cls):
    a, b = np.asarray(a, float), np.asarray(b, float)
    d = (b - a) / np.linalg.norm(b - a)
    n = np.array([-d[1], d[0]]) * width / 2
    paint.polygon([a + n, b + n, b - n, a - n], kd, alpha, cls)


def _scribbles(rng, paint, axis, length, lively):
    pencil, pen = np.array([0.1, 0.1, 0.11]), colour(rng, (0.3, 1), (0.05, 0.4))
    for _ in range(rng.poisson(10 * lively)):
        x, y = rng.uniform(0, length), rng.normal(0, 35)
        kd, w = (pencil, 0.4) if rng.random() < 0.6 else (pen, rng.uniform(0.4, 1.2))
        a = rng.choice([0, np.pi / 2, rng.uniform(0, np.pi)]) + rng.normal(0, 0.1)
        n = rng.integers(2, 12)
        t = np.linspace(0, 1, n)[:, None] * rng.uniform(5, 70)
        wiggle = (rng.normal(0, 1, (n, 2)) * rng.choice([0, 0.5, 4])) if n > 2 else 0
        paint.line(np.array([x, y]) + t * [np.cos(a), np.sin(a)] + wiggle, w, kd, rng.uniform(0.3, 1))
    for _ in range(rng.poisson(2 * lively)):      # builders tick the places beside the blank, and number them
        x = rng.uniform(0, length)
        y = float(axis.point(x)[1]) + rng.choice([-1, 1]) * rng.uniform(0, 14)
        paint.line([[x, y], [x + rng.normal(0, 0.4), y + rng.uniform(4, 30) * np.sign(y)]], rng.uniform(0.4, 1), pencil if rng.random() < 0.5 else pen)
        paint.text(rng, f'{x:.0f}' if rng.random() < 0.5 else f'G{rng.integers(1, 12)}', [x + 6, y + 10], rng.uniform(3, 6), pencil, rng.normal(0, 15), font=int(rng.integers(0, 8)))


def ground_paint(rng, tiles, axis, length, meta):
    paint = Paint(-90, max(length, tiles[-1][0] + tiles[-1][7] / 2) + 60, 130)
    h = meta['page'][1]
    for t in tiles:
        x, y = t[0], t[1]
        at = lambda u, v: [x + u * t[3] - v * t[4], y + u * t[4] + v * t[3]]
        paint.text(rng, str(int(t[9]) + 1), at(-75 if rng.random() < 0.5 else -75, -72), 6, np.array([0.06] * 3))
        if t[10]:
            paint.text(rng, '100 mm', at(0, -56), 2.2, np.array([0.1] * 3))
    lively = rng.choice([0.1, 0.4, 1.2], p=[0.45, 0.35, 0.2])
    for _ in range(rng.poisson(3 * lively)):
        paint.blot(rng, [rng.uniform(0, length), rng.normal(0, 50)], rng.uniform(3, 30), rng.uniform(0.05, 0.5, 3), rng.uniform(0.03, 0.35))
    for _ in range(rng.poisson(25 * lively)):
        paint.blot(rng, [rng.uniform(0, length), rng.normal(0, 50)], rng.uniform(0.2, 0.9), rng.uniform(0.02, 0.3, 3), rng.uniform(0.3, 1))
    _scribbles(rng, paint, axis, length, lively)
    tape = [np.array([0.62, 0.47, 0.22]), np.array([0.03, 0.18, 0.45]), np.array([0.75, 0.75, 0.73]), colour(rng)][rng.integers(4)]
    how = rng.choice(['corners', 'along', 'cross', 'none'], p=[0.4, 0.3, 0.15, 0.15])
    seams = [(a[0] + a[7] / 2 + b[0] - b[7] / 2) / 2 for a, b in zip(tiles, tiles[1:])]
    clear = rng.random() < 0.4
    kd, alpha = (np.array([0.72, 0.70, 0.62]), rng.uniform(0.15, 0.5)) if clear else (tape, rng.uniform(0.85, 1))
    for x in [tiles[0][0] - tiles[0][7] / 2, *seams]:
        if how == 'corners':
            for k in (-1, 1):
                _strip(paint, [x + rng.normal(0, 3), k * (h / 2 - 10)], [x + rng.normal(0, 8), k * (h / 2 + 14)], rng.uniform(15, 25), tape, 1, OTHER)
        elif how == 'along' and x in seams:       # a strip of tape over the whole seam, under the blank too
            _strip(paint, [x + rng.normal(0, 1), -h / 2], [x + rng.normal(0, 1), h / 2], rng.uniform(12, 25), kd, alpha, PRINTED)
        elif how == 'cross' and x in seams:
            for _ in range(rng.integers(1, 4)):
                y = rng.uniform(-h / 2, h / 2)
                _strip(paint, [x - rng.uniform(15, 30), y], [x + rng.uniform(15, 30), y + rng.normal(0, 3)], rng.uniform(10, 20), kd, alpha, PRINTED)
    for _ in range(rng.poisson(0.8 * lively)):
        c = np.array([rng.uniform(0, length), rng.normal(0, 60)])
        a = rng.uniform(0, 3.14)
        _strip(paint, c, c + rng.uniform(8, 45) * np.array([np.cos(a), np.sin(a)]), rng.uniform(6, 25), colour(rng), 1, OTHER)
    for _ in range(rng.poisson(1.5 * lively)):    # ends of thread
        t = np.cumsum(rng.normal(0, 1, (30, 2)), 0)
        t = cv2.GaussianBlur(t, (1, 9), 2) * rng.uniform(0.5, 3)
        paint.line(np.array([rng.uniform(0, length), rng.normal(0, 45)]) + t, 0.3, colour(rng), 1, OTHER)
    return paint, seams


def bench_picture(rng):
    """A wrapping picture of the bench (square roots of reflectance), mm a texel, its turn, roughness and f0."""
    n = 512
    def noise(a, b):
        small = rng.random((a, b)).astype(np.float32)
        small = np.c_[small, small[:, :1]]
        small = np.r_[small, small[:1]]
        return cv2.resize(small, (n, n), interpolation=cv2.INTER_LINEAR)
    kind = rng.choice(['wood', 'wood', 'mat', 'cloth', 'plain', 'stone'])
    x, y = np.meshgrid(np.arange(n), np.arange(n))
    if kind == 'wood':
        dark = np.array([0.25, 0.13, 0.06]) * rng.uniform(0.2, 1.6) * (1 + 0.2 * rng.normal(0, 1, 3))
        v = 0.5 * noise(128, 3) + 0.3 * noise(300, 6) + 0.2 * noise(500, 30)
        kd = dark * (0.45 + 1.0 * v[..., None])
        step, rough, f0 = rng.uniform(0.4, 1.2), rng.uniform(0.1, 0.5), 0.04
    elif kind == 'mat':
        kd = np.broadcast_to(colour(rng, (0.2, 0.9), (0.05, 0.45)), (n, n, 3)) * (0.9 + 0.2 * noise(200, 200)[..., None])
        lines = ((x % 20 < 1) | (y % 20 < 1)).astype(np.float32)[..., None] * 0.7
        kd = kd * (1 - lines) + lines * np.array([0.5, 0.5, 0.3])
        step, rough, f0 = 0.5, 0.5, 0.04
    elif kind == 'cloth':
        kd = colour(rng, (0.0, 0.8), (0.05, 0.9)) * (0.6 + 0.4 * np.abs(np.sin(x * np.pi / 4) * np.sin(y * np.pi / 4)))[..., None] * (0.8 + 0.4 * noise(60, 60)[..., None])
        step, rough, f0 = rng.uniform(0.15, 0.4), 0.8, 0.02
    elif kind == 'stone':
        kd = rng.uniform(0.05, 0.5) * (0.4 + 1.2 * noise(300, 300) * noise(100, 100))[..., None] * (1 + 0.1 * rng.normal(0, 1, 3))
        step, rough, f0 = rng.uniform(0.2, 0.6), rng.uniform(0.05, 0.4), 0.05
    else:
        kd = colour(rng, (0, 0.5), (0.05, 0.9)) * (0.93 + 0.14 * noise(100, 100)[..., None])
        step, rough, f0 = 0.5, rng.uniform(0.1, 0.7), 0.04
    return (np.sqrt(np.clip(kd, 0, 0.9)) * 255).astype(np.uint8), step, rng.uniform(0, 6.28) if kind != 'wood' else rng.normal(0, 0.1) + rng.choice([0, 1.57]), rough, f0
