"""What lies about: grip and seat, blocks, hands, tools, loose rings and guides. All of it is `something else` (12) but the grip and seat (4)."""
import numpy as np

from palette import CERAMICS, FRAMES, colour, finish, pick
from shapes import CORK, CREPE, FOAM, PLAIN, SEAT_CARD, SKIN_TONE, TICKS, WEAVE, WOOD, unit

GRIP, OTHER = 4, 12


def _spindle(shapes, axis, table, material, cls):
    """table: [s, radius] pairs: a turned body about the axis."""
    for (a, ra), (b, rb) in zip(table, table[1:]):
        shapes.cone(axis.point(a), axis.point(b), ra, rb, material, cls)


def grip_and_seat(shapes, rng, rod, axis):
    b = rod['blank']
    kind = rng.choice(['cork', 'foam', 'wood', 'weave'], p=[0.4, 0.35, 0.15, 0.1])
    m = {'cork': lambda: shapes.material(np.array([0.5, 0.32, 0.16]) * rng.uniform(0.7, 1.15), 0.03, 0.7, CORK, rng.uniform(2, 5), rng.uniform(0.3, 1), np.array([0.12, 0.06, 0.03])),
         'foam': lambda: shapes.material(np.full(3, rng.uniform(0.015, 0.05)), 0.03, 0.75, FOAM, 0.8, 0.6),
         'wood': lambda: shapes.material(np.array([0.3, 0.14, 0.06]) * rng.uniform(0.5, 1.5), 0.045, 0.15, WOOD, 3, 0.7, np.array([0.08, 0.03, 0.01])),
         'weave': lambda: shapes.material(np.full(3, 0.01), 0.08, 0.12, WEAVE, 2.5, 0.15, np.full(3, 0.05))}[kind]()
    s, top, end = b['grip'], b['grip_radius'], b['length']
    fore = rng.uniform(25, 130)
    r0 = axis.radius_at(s) + 0.4
    steps = np.linspace(0, 1, 7)
    _spindle(shapes, axis, [(s - 0.5, r0), *((s + fore * k, r0 + 1.2 + (top - r0 - 1.2) * k ** rng.uniform(0.3, 0.8)) for k in steps)], m, GRIP)
    metal = finish(shapes, rng, FRAMES, pick(rng, FRAMES))
    s += fore
    seat = min(rng.uniform(95, 130), max(40, end - s - 60))
    dark = shapes.material(np.full(3, rng.uniform(0.01, 0.06)), 0.05, rng.uniform(0.05, 0.4))
    ring = rng.uniform(2, 5)
    _spindle(shapes, axis, [(s, top - 0.5), (s + ring, top - 0.5)], metal, GRIP)
    _spindle(shapes, axis, [(s + ring, top - 1.5), (s + seat, top - 1.5)], dark, GRIP)
    for at, n in ((s + ring + 8, rng.uniform(10, 22)), (s + seat - rng.uniform(18, 35), rng.uniform(8, 16))):
        _spindle(shapes, axis, [(at, top + 0.5), (at + n, top + 1.5), (at + n + 2, top)], metal, GRIP)
    if end - s - seat > 5:
        _spindle(shapes, axis, [(s + seat, top - 2), (s + seat + 3, top), (end - 12, top), (end, top - 3)], m, GRIP)
    rod['seat'] = dict(s=s + seat / 2, radius=top)
    if rng.random() < 0.4 or rod.get('card'):
        roll = np.radians(rod['seatRoll'])
        p, along, up, side = axis.frame(s + seat / 2)
        out = np.cos(roll) * up + np.sin(roll) * side
        card = shapes.material(np.full(3, 0.78), 0.03, 0.6, SEAT_CARD)
        centre = p + 18.0 * out
        shapes.box(centre - 0.2 * out, along, out, [31, 12, 0.2], card, OTHER)
        foot = shapes.material(np.full(3, 0.3), 0.04, 0.5)
        shapes.box(p + (top + 17) / 2 * out, along, out, [10, 3, max(0.5, (17.4 - top) / 2)], foot, OTHER)
        rod['seatCard'] = dict(s=s + seat / 2, height=18.0, centre=centre, along=along, across=np.cross(out, along), normal=out)


def blocks(shapes, rng, rod, axis):
    b = rod['blank']
    if b['flat']:
        return
    m = shapes.material(colour(rng, (0, 0.6), (0.05, 0.85)), 0.04, rng.uniform(0.2, 0.8), WOOD if rng.random() < 0.5 else FOAM, 2.5, 0.4, np.array([0.1, 0.06, 0.03]))
    places = [rng.uniform(120, 260), b['grip'] - rng.uniform(40, 160)] + ([rng.uniform(0.4, 0.6) * b['grip']] if rng.random() < 0.3 else [])
    for s in places:
        if any(abs(s - g['s']) < 28 for g in rod['guides']):
            s = s + 30
        p, r = axis.point(s) - [b.get('slid', 0.0), 0, 0], axis.radius_at(s)   # the rod slides over its blocks
        h = (p[2] - r - 0.05) / 2
        w = rng.uniform(8, 22)
        shapes.box([p[0], p[1] + rng.normal(0, 4), h], [1, 0, 0], [0, 0, 1], [w, rng.uniform(12, 40), h], m, OTHER)
        if rng.random() < 0.5:
            for k in (-1, 1):
                shapes.box([p[0], p[1] + k * (r + 6), 2 * h + 3], [1, 0, 0], [0, 0, 1], [w, 4, 3.5], m, OTHER)


def hand(shapes, rng, at, toward, reach_up=0.0):
    """A hand as capsules: its fingertips near `at`, coming from the direction -toward."""
    tone = np.array([0.55, 0.30, 0.20]) * rng.choice([1.0, 0.8, 0.45, 0.2]) * rng.uniform(0.85, 1.1, 3)
    m = shapes.material(tone, 0.03, 0.5, SKIN_TONE, rng.uniform(2, 6), 0.5, tone * np.array([1.1, 0.75, 0.7]))
    nail = shapes.material(np.minimum(tone * [1.25, 1.2, 1.2], 0.8), 0.04, 0.25)
    d = unit(np.append(toward, 0))
    side = np.array([-d[1], d[0], 0])
    at = np.append(at, 0)
    for i in range(4):
        r = rng.uniform(6.5, 8.5)
        tip = at + side * (i - 1.5) * rng.uniform(14, 19) - d * (abs(i - 1.3) * 7 + rng.uniform(0, 8)) + [0, 0, r + reach_up]
        k1 = tip - d * rng.uniform(20, 26) + [0, 0, rng.uniform(3, 15)]
        k2 = k1 - d * rng.uniform(25, 32) + [0, 0, rng.uniform(-4, 10)] + side * (1.5 - i) * 2
        k3 = k2 - d * rng.uniform(35, 45) + side * (1.5 - i) * 2
        shapes.chain([tip, k1, k2, k3], [r * 0.85, r, r * 1.1, r * 1.3], m, OTHER)
        shapes.round_cone(tip + d * r * 0.3 + [0, 0, r * 0.55], tip - d * r * 0.9 + [0, 0, r * 0.68], r * 0.55, r * 0.6, nail, OTHER, (1, 0.4), (0, 0, 1))
    palm = at - d * 95 + [0, 0, 22 + reach_up]
    shapes.round_cone(palm, palm - d * 70, 36, 34, m, OTHER, (1, 0.6), (0, 0, 1))
    shapes.chain([at - d * 40 + side * 40 + [0, 0, 12], at - d * 70 + side * 42 + [0, 0, 18], palm + side * 15], [8.5, 10, 15], m, OTHER)
    shapes.round_cone(palm - d * 60, palm - d * 330 + [0, 0, 40], 27, 34, m, OTHER)


def loose_thing(shapes, rng, at, side):
    """One thing lying on the mat about `at` (x, y), the rod on its other side than `side` (y)."""
    kind = rng.choice(['pencil', 'ring', 'guide', 'coin', 'tape roll', 'ruler', 'spool', 'scissors', 'knife', 'box', 'pin', 'washer'])
    x, y = at
    a = rng.uniform(0, 2 * np.pi) if rng.random() < 0.25 else side * np.pi / 2 + rng.uniform(-1.2, 1.2)   # mostly pointing away from the rod
    d, n = np.array([np.cos(a), np.sin(a), 0]), np.array([-np.sin(a), np.cos(a), 0])
    size = {'tape roll': rng.uniform(18, 55), 'ruler': rng.uniform(60, 200), 'box': rng.uniform(8, 45), 'scissors': 66, 'knife': 45, 'pencil': 16}.get(kind, 0)
    if rng.random() < 0.85:
        y += side * size * (abs(d[1]) if kind in ('ruler', 'scissors', 'knife') else 1)
    p = np.array([x, y, 0.2])
    metal = lambda: finish(shapes, rng, FRAMES, pick(rng, FRAMES))
    paint = lambda: shapes.material(colour(rng), 0.045, rng.uniform(0.1, 0.5))
    if kind == 'pencil':
        r, length, m = rng.uniform(3, 4.5), rng.uniform(70, 180), paint()
        shapes.cone(p + [0, 0, r], p + d * length + [0, 0, r], r, r, m, OTHER)
        shapes.cone(p + [0, 0, r], p - d * 16 + [0, 0, r * 0.5], r, 0.8, shapes.material([0.6, 0.4, 0.2], 0.03, 0.6) if rng.random() < 0.6 else metal(), OTHER)
    elif kind in ('ring', 'washer'):
        ro = rng.uniform(2.5, 12)
        w = ro * rng.uniform(0.12, 0.22)
        m = finish(shapes, rng, CERAMICS, pick(rng, CERAMICS)) if rng.random() < 0.5 else metal()
        shapes.ring(p + [0, 0, w * 0.7], unit(np.array([rng.normal(0, .05), rng.normal(0, .05), 1])), ro - w, w, w * 0.7, w * 0.6, m, OTHER)
    elif kind == 'guide':
        ro, m, c = rng.uniform(2.5, 10), metal(), finish(shapes, rng, CERAMICS, pick(rng, CERAMICS))
        tilt = unit(n * rng.uniform(0.2, 1) + np.array([0, 0, rng.uniform(0.3, 1)]))
        centre = p + [0, 0, ro * abs(np.sqrt(1 - tilt[2] ** 2)) + 1]
        shapes.ring(centre, tilt, ro * 0.92, ro * 0.08 + 0.1, 0.9, 0.3, m, OTHER)
        shapes.ring(centre, tilt, ro * 0.75, ro * 0.1, 0.8, 0.6, c, OTHER)
        heel = p + d * ro * 2 + [0, 0, 1]
        for k in (-1, 1):
            shapes.chain([centre + k * unit(np.cross(tilt, d)) * ro * 0.9, heel], [0.5, 0.55], m, OTHER)
        shapes.round_cone(heel, heel + d * 9, 1.1, 0.8, m, OTHER, (1, 0.5))
    elif kind == 'coin':
        r = rng.uniform(8, 13)
        shapes.cone(p, p + [0, 0, 1.8], r, r, metal(), OTHER)
    elif kind == 'tape roll':
        ro, w = size, rng.uniform(6, 12)
        shapes.ring(p + [0, 0, w], [0, 0, 1], ro * 0.85, ro * 0.15, w, 0.4, shapes.material(colour(rng, (0.2, 1), (0.1, 0.9)), 0.04, 0.5, CREPE, 0.8, 0.2, (0.4, 0.3, 0.1)), OTHER)
    elif kind == 'ruler':
        m = shapes.material([0.6, 0.6, 0.6] if rng.random() < 0.5 else colour(rng, (0.2, 0.9), (0.5, 0.9)), rng.choice([0.04, 0.4]), 0.35, TICKS, rng.choice([1.0, 5.0, 10.0]), 0, (0.02, 0.02, 0.02))
        shapes.box(p + [0, 0, 0.6], d, [0, 0, 1], [size, rng.uniform(7, 15), 0.6], m, OTHER)
    elif kind == 'spool':
        r, h = rng.uniform(7, 14), rng.uniform(12, 30)
        up = np.array([0, 0, 1.0])
        if rng.random() < 0.5:
            shapes.cone(p, p + h * up, r, r, paint(), OTHER)
            shapes.cone(p + h * up, p + (h + 1.5) * up, r * 1.2, r * 1.2, paint(), OTHER)
        else:
            q = p + up * r * 1.2
            shapes.cone(q, q + d * h, r, r, paint(), OTHER)
            for e in (0, h):
                shapes.cone(q + d * (e - 1), q + d * (e + 1), r * 1.2, r * 1.2, paint(), OTHER)
    elif kind == 'scissors':
        m, grip = metal(), paint()
        for k in (-1, 1):
            f = unit(d + n * 0.12 * k)
            shapes.round_cone(p + [0, 0, 2], p + f * 75 + [0, 0, 2], 5, 1.5, m, OTHER, (1, 0.25))
            shapes.round_cone(p + [0, 0, 2], p - f * 40 - n * k * 6 + [0, 0, 3], 5, 4, m, OTHER, (1, 0.4))
            shapes.ring(p - f * 58 - n * k * 14 + [0, 0, 4], [0, 0, 1], 15, 3, 3, 3, grip, OTHER)
    elif kind == 'knife':
        shapes.round_cone(p + [0, 0, 6], p + d * rng.uniform(70, 120) + [0, 0, 6], 7, 8, paint(), OTHER, (1, 0.7))
        shapes.round_cone(p + [0, 0, 5], p - d * rng.uniform(30, 60) + [0, 0, 2], 5, 1, metal(), OTHER, (1, 0.15))
    elif kind == 'pin':
        shapes.round_cone(p + [0, 0, 0.4], p + d * rng.uniform(15, 45) + [0, 0, 0.4], 0.35, 0.3, metal(), OTHER)
    else:
        h = rng.uniform(3, 25)
        shapes.box(p + [0, 0, h], d, [0, 0, 1], [size, rng.uniform(8, 40), h], paint(), OTHER)
    return kind


def scatter(shapes, rng, rod, axis):
    """Things beside the rod, sometimes on it; hands now and then."""
    b = rod['blank']
    busy = rng.choice([0.0, 1.0, 4.0, 9.0], p=[0.3, 0.35, 0.25, 0.1])
    names = []
    for _ in range(rng.poisson(busy)):
        x = rng.uniform(-60, b['length'])
        side = rng.choice([-1, 1])
        gap = rng.exponential(28) + 16
        near = [g for g in rod['guides'] if abs(g['s'] - x) < 40]
        if near:
            gap += 22
        names.append(loose_thing(shapes, rng, (x, float(axis.point(max(x, 0))[1]) + side * gap), side))
    for _ in range(int(rng.random() < 0.22) + int(rng.random() < 0.08)):
        _hand_by(shapes, rng, axis, rng.uniform(0, b['length']))
        names.append('hand')
    for s in rod.get('heldAt', []):
        _hand_by(shapes, rng, axis, s, over=True)
        names.append('hand')
    return names


def _hand_by(shapes, rng, axis, s, over=None):
    """A hand over the rod at s, or beside it; by chance where not said."""
    p = axis.point(s)
    a = rng.choice([-1, 1]) * np.pi / 2 + rng.normal(0, 0.4)
    d = np.array([np.cos(a), np.sin(a)])
    over = rng.random() < 0.45 if over is None else over
    hand(shapes, rng, p[:2] + d * (rng.uniform(0, 18) if over else -rng.uniform(12, 60)), d, p[2] + axis.radius_at(s) if over else 0)


def hook_keeper(shapes, rng, rod, axis):
    if not rod['hookKeeper']:
        return None
    s = rod['blank']['grip'] - rng.uniform(8, 45)
    roll = np.radians(rod['seatRoll'] + rng.choice([0, 90, -90, 180]) + rng.normal(0, 8))
    p, along, up, side = axis.frame(s)
    out = np.cos(roll) * up + np.sin(roll) * side
    r, m = axis.radius_at(s), finish(shapes, rng, FRAMES, pick(rng, FRAMES))
    h, w = rng.uniform(2.5, 5), rng.uniform(4, 9)
    t = np.linspace(0, np.pi, 9)
    pts = [p + along * (-w * np.cos(k)) + out * (r + 0.5 + h * np.sin(k)) for k in t]
    shapes.chain(pts, np.full(9, rng.uniform(0.5, 0.8)), m, OTHER)
    return dict(s=float(s), roll=float(np.degrees(roll)), half=float(w))
