"""Rings, snakes, tip-tops and what holds them, as primitives in the world."""
import numpy as np

from palette import CERAMICS, FRAMES, finish
from shapes import CREPE, PLAIN, THREAD_TURNS, unit

FRAME, RING_CLASS, SNAKE, TIP_TOP, TAPE, THREAD = 8, 9, 10, 11, 5, 6


class Place:
    """Frame on the blank: along (to the butt), out (radial at the roll), across = the side toward which roll grows."""

    def __init__(self, axis, s, roll):
        self.axis, self.s, self.roll = axis, s, np.radians(roll)
        self.origin, self.along, self.up, self.side = axis.frame(s)
        self.out = np.cos(self.roll) * self.up + np.sin(self.roll) * self.side
        self.across = -np.sin(self.roll) * self.up + np.cos(self.roll) * self.side
        self.radius = axis.radius_at(s)

    def at(self, x, out, across=0.0):
        """A point x along from here, `out` above the axis there."""
        p = self.axis.point(self.s + x)
        return p + out * self.out + across * self.across


def bezier(a, b, c, n):
    t = np.linspace(0, 1, n)[:, None]
    return (1 - t) ** 2 * a + 2 * t * (1 - t) * b + t ** 2 * c


def foot(shapes, place, x0, x1, width, thick, material, cls):
    """A flat foot on the blank from x0 (heel) to x1 (its thin end)."""
    r0, r1 = place.axis.radius_at(place.s + x0), place.axis.radius_at(place.s + x1)
    a, b = place.at(x0, r0 + thick * 0.4), place.at(x1, r1 + thick * 0.15)
    shapes.round_cone(a, b, width / 2, width * 0.32, material, cls, flat=(1, thick / width), up=place.out)


def ring_guide(shapes, rng, axis, g, style, materials):
    """Adds a ring guide; returns its truth: centre, normal."""
    p = Place(axis, g['s'], g['roll'])
    ro, ri, h = g['ringOuter'] / 2, g['ringInner'] / 2, g['height']
    sign = 1 if g['toward'] == 'butt' else -1
    lean = np.radians(g['lean'])
    centre = p.origin + (p.radius + h) * p.out
    normal = unit(np.cos(lean) * p.along + sign * np.sin(lean) * p.out)
    down = unit(np.cross(np.cross(normal, p.out), normal)) * -1
    half = g['thickness'] / 2
    rim = style['rim'] * (ro - ri)
    frame, ceramic = materials['frame'], materials['ceramic']
    if style['plain']:
        shapes.ring(centre, normal, (ro + ri) / 2, (ro - ri) / 2, half * 0.8, (ro - ri) / 2, frame, RING_CLASS)
    else:
        shapes.ring(centre, normal, ro - rim / 2, rim / 2, half, rng.uniform(0.3, 0.9) * rim / 2 + 0.05, frame, RING_CLASS)
        ceramic_half = half * style['ceramic_depth']
        section = (ro - rim - ri) / 2 + 0.05
        shapes.ring(centre, normal, ri + section, section, ceramic_half, section * 0.9, ceramic, RING_CLASS)
    wire = style['wire'] * (0.32 + 0.028 * g['ringOuter'])
    foot_width = min(1.5 * wire + 0.9 + 0.05 * g['ringOuter'], 1.9 * p.radius + 1.0)
    sides = [(sign, g['reach'])] + ([(-sign, g['reach'] * rng.uniform(0.6, 1.0))] if g['foot'] == 'double' else [])
    feet = []
    for n, (direction, reach) in enumerate(sides):
        heel = p.at(direction * reach, p.axis.radius_at(p.s + direction * reach) + wire * 0.8)
        legs = style['legs']
        if n == 1:
            legs = 'one' if style['legs'] in ('v', 'loop', 'sheet') and style['bridge'] < 0.6 else 'v'
        rim_r = ro - rim * 0.3
        if legs == 'one':
            starts = [centre + down * rim_r + direction * p.along * half * 0.5]
        else:
            spread = np.radians(style['spread'])
            starts = [centre + rim_r * (np.cos(spread) * down + k * np.sin(spread) * p.across) for k in (-1, 1)]
        for q in starts:
            bend = (q + heel) / 2 + p.out * style['arch'] * h * 0.25
            if legs == 'sheet':
                bend = heel * 0.55 + q * 0.45
            end = heel + (np.dot(q - centre, p.across) * 0.12) * p.across
            points = bezier(q, bend, end, 5)
            flat = (0.55, 1.9) if legs == 'sheet' else (1, 1)
            shapes.chain(points, np.linspace(wire, wire * 1.15, 5), frame, FRAME, flat, p.across)
        x1 = direction * (reach + g['footLength'])
        foot(shapes, p, direction * (reach - wire), x1, foot_width, 2.1 * wire * style['foot_thick'], frame, FRAME)
        feet.append((direction * reach, x1, foot_width, 2.1 * wire * style['foot_thick']))
    return dict(centre=centre, normal=normal, feet=feet, place=p)


def snake_guide(shapes, rng, axis, g, materials):
    p = Place(axis, g['s'], g['roll'])
    wire, half, width = g['wire'] / 2, g['length'] / 2, g['width'] / 2
    inner = half * g.get('inner', 0.48)
    t = np.linspace(0, 1, 17)
    arch = np.sin(np.pi * t) ** 0.8
    low, top = p.radius + wire, p.radius + g['height'] - wire
    if g['form'] == 'arch':
        x, lateral, out = -inner + 2 * inner * t, 0 * t, low + (top - low) * arch
    elif g['form'] == 's':
        x, lateral, out = -inner + 2 * inner * t, g['hand'] * width * np.sin(2 * np.pi * t), low + (top - low) * arch
    else:
        angle = 2 * np.pi * t
        x, lateral = -inner + 2 * inner * t, g['hand'] * width * np.sin(angle)
        out = low + (top - low) * (1 - np.cos(angle)) / 2
    points = np.array([p.at(a, c, b) for a, b, c in zip(x, lateral, out)])
    shapes.chain(points, np.full(17, wire), materials['frame'], SNAKE)
    feet = []
    for k in (-1, 1):
        foot(shapes, p, k * inner * 0.96, k * half, g['wire'] * 1.9, g['wire'] * 0.8, materials['frame'], SNAKE)
        feet.append((k * inner, k * half, g['wire'] * 1.9, g['wire'] * 0.8))
    middle = points[np.argmax(out)]
    return dict(centre=(points[0] + points[-1]) / 2 + p.out * (top - low) / 2, normal=p.along, crest=middle, path=points, feet=feet, place=p)


def tip_top(shapes, rng, axis, t, style, materials):
    p = Place(axis, -t['home'], t['roll'])
    tube_inner = axis.radius_at(0) + 0.05
    outer = tube_inner + 0.22
    a, b = p.origin, axis.point(t['tubeLength'] - t['home'])
    shapes.cone(a, b, outer, max(outer, axis.radius_at(t['tubeLength']) + 0.2), materials['frame'], TIP_TOP)
    ro, ri = t['ringOuter'] / 2, t['ringInner'] / 2
    ahead, rise = t['ahead'], t['rise']
    lean = np.radians(t['lean'])
    centre = p.at(-ahead, rise)
    normal = unit(np.cos(lean) * p.along + np.sin(lean) * p.out)
    half, rim = t['thickness'] / 2, style['rim'] * (ro - ri)
    if t['loop']:
        shapes.ring(centre, normal, (ro + ri) / 2, min((ro - ri) / 2, 0.5), min((ro - ri) / 2, 0.5), 1, materials['frame'], RING_CLASS)
    else:
        shapes.ring(centre, normal, ro - rim / 2, rim / 2, half, rim / 2, materials['frame'], RING_CLASS)
        section = (ro - rim - ri) / 2 + 0.05
        shapes.ring(centre, normal, ri + section, section, half * style['ceramic_depth'], section * 0.9, materials['ceramic'], RING_CLASS)
    wire = 0.35 * style['wire'] + 0.05
    down = unit(np.cross(np.cross(normal, p.out), normal)) * -1
    for k in (-1, 1):
        q = centre + ro * (np.cos(1.2) * down + k * np.sin(1.2) * p.across)
        end = p.at(t['tubeLength'] * 0.55, outer, k * outer * 0.5)
        shapes.chain(bezier(q, (q + end) / 2 + p.out * 0.3, end, 4), np.full(4, wire), materials['frame'], TIP_TOP)
    if rng.random() < 0.6:
        q = centre + ro * down
        shapes.chain([q, p.at(0.3, outer * 0.8)], [wire, wire], materials['frame'], TIP_TOP)
    return dict(centre=centre, normal=normal, place=p)


def band(shapes, axis, s0, s1, thick, material, cls, feet=(), place=None):
    """Tape or thread around the blank from s0 to s1, tented over any foot that lies under it."""
    step = 10.0
    edges = np.append(np.arange(s0, s1, step), s1)
    if len(edges) > 2 and edges[-1] - edges[-2] < 2:
        edges = np.delete(edges, -2)
    for a, b in zip(edges, edges[1:]):
        pa, pb = axis.point(a), axis.point(b)
        ra, rb = axis.radius_at(a), axis.radius_at(b)
        shapes.cone(pa, pb, ra + thick, rb + thick, material, cls)
    for x0, x1, width, height in feet:
        lo, hi = max(s0, place.s + min(x0, x1)), min(s1, place.s + max(x0, x1))
        if hi - lo < 0.5:
            continue
        # thread runs straight from the foot's top to the blank's sides: an ellipse across
        a, b = axis.point(lo if lo > s0 else s0), axis.point(hi if hi < s1 else s1)
        r = axis.radius_at((lo + hi) / 2)
        top = height * 0.9 + thick
        half = min(r + thick, width / 2 + 0.8 * r)
        flat = (r + top) / 2 + 0.35 * r
        mid = (r + top) - flat
        shapes.cone(a + mid * place.out, b + mid * place.out, 1.0, 1.0, material, cls, flat=(half * 0.97, flat), up=place.out)


def style_materials(shapes, rng, style):
    style.update(ceramic_depth=rng.uniform(0.8, 1.15), spread=rng.uniform(45, 100), arch=rng.uniform(-0.5, 1), bridge=rng.random(), foot_thick=rng.uniform(0.5, 0.9))
    if style['legs'] == 'loop':
        style['spread'] = rng.uniform(85, 120)
    return dict(frame=finish(shapes, rng, FRAMES, style['frame']), ceramic=finish(shapes, rng, CERAMICS if style['ceramic'] in CERAMICS else FRAMES, style['ceramic']))


def tape_material(shapes, rng, tape, blank_kd):
    kd = tape['kd'] * tape['cover'] + np.asarray(blank_kd) * (1 - tape['cover'])
    crepe = tape['name'] in ('masking', 'blue', 'green', 'white', 'any') and not tape['glossy']
    return shapes.material(kd, 0.045, rng.uniform(0.05, 0.25) if tape['glossy'] else rng.uniform(0.45, 0.8), CREPE if crepe else PLAIN,
                           rng.uniform(0.3, 0.9), rng.uniform(0.1, 0.5) if crepe else 0, kd * rng.uniform(0.5, 0.9))


def thread_material(shapes, rng, kd, metallic, glossy, period):
    if metallic:
        return shapes.material(np.asarray(kd) * 0.2, np.clip(np.asarray(kd) + 0.25, 0, 0.9), rng.uniform(0.15, 0.35), THREAD_TURNS, period, 0.25)
    if glossy:
        return shapes.material(kd, 0.045, rng.uniform(0.03, 0.12), PLAIN)
    return shapes.material(kd, 0.04, rng.uniform(0.3, 0.6), THREAD_TURNS, period, rng.uniform(0.3, 0.6))
