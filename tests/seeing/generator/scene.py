"""A whole scene from one seed: rod, mat, surroundings and light, ready for the tracer, with its truth."""
import numpy as np

import draw_guides as dg
import tracer as tr
from axis import Axis
from light import random_light
from mat import bench_picture, ground_paint, pages, tag_cells
from palette import FRAMES, finish, pick
from rod import random_rod, tape_style, thread_style
from shapes import PLAIN, Shapes
from skin import blank_skin
from surroundings import blocks, grip_and_seat, hook_keeper, scatter

TAPE, THREAD = 5, 6
_TAGS = None


def _wrap_foot(shapes, rng, rod, axis, place, feet, materials, bands, gid):
    """Tape or thread over each foot of a guide."""
    for n, (x0, x1, width, height) in enumerate(feet):
        lo, hi = sorted((place.s + x0, place.s + x1))
        inward = 1 if x1 > x0 else -1
        if rod['stage'] == 'rings':
            tape = rod['tapes'][rng.integers(len(rod['tapes']))]
            if rng.random() < 0.04:
                continue
            for k in range(1 + (rng.random() < 0.15)):
                w = tape['width'] * rng.uniform(0.85, 1.2)
                mid = lo + (hi - lo) * rng.uniform(0.35, 0.8) if inward > 0 else hi - (hi - lo) * rng.uniform(0.35, 0.8)
                mid += inward * k * (w + 2)   # a second strip goes outward
                dg.band(shapes, axis, mid - w / 2, mid + w / 2, tape['thickness'], materials['tape'][tape['name']], TAPE, [(x0, x1, width, height)], place)
                bands.append(dict(kind='tape', id=gid, s=[mid - w / 2, mid + w / 2]))
        else:
            gap, over = rng.uniform(0.0, 1.5), rng.uniform(1.0, 5.0)
            a, b = (lo + gap, hi + over) if inward > 0 else (lo - over, hi - gap)
            thick = rng.uniform(0.12, 0.3) + (rng.uniform(0.15, 0.5) if rod['thread']['glossy'] else 0)
            dg.band(shapes, axis, a, b, thick, materials['thread'], THREAD, [(x0, x1, width, height)], place)
            bands.append(dict(kind='thread', id=gid, s=[a, b]))
            if materials.get('trim') is not None:
                t = rng.uniform(0.6, 2.2)
                for at in ([b - 1.0 - t] if inward > 0 else [a + 1.0]) + ([a + 0.8] if rng.random() < 0.2 else []):
                    dg.band(shapes, axis, at, at + t, thick + 0.04, materials['trim'], THREAD, [(x0, x1, width, height)], place)


def _other_bands(shapes, rng, rod, axis, materials, bands):
    """Bands that hold no guide: at the tip, at a ferrule, before the grip, for show."""
    b = rod['blank']
    busy = [g['s'] for g in rod['guides']]
    def thread(a, c, trim=True):
        t = thread_style(rng) if rng.random() < 0.4 else rod['thread']
        m = dg.thread_material(shapes, rng, t['kd'], t['metallic'], t['glossy'], t['period'])
        thick = rng.uniform(0.1, 0.4)
        dg.band(shapes, axis, a, c, thick, m, THREAD)
        bands.append(dict(kind='thread', id='', s=[a, c]))
        if trim and c - a > 4 and rng.random() < 0.5:
            m2 = dg.thread_material(shapes, rng, thread_style(rng)['kd'], rng.random() < 0.5, t['glossy'], 0.2)
            for at in (a + 1, c - 2):
                dg.band(shapes, axis, at, at + 1.0, thick + 0.04, m2, THREAD)
    if rod['tipWrap']:
        thread(rng.uniform(0, 5), rng.uniform(8, 20))
    if rod['stage'] != 'marks' and rng.random() < 0.4 or rng.random() < 0.12:
        thread(b['grip'] - rng.uniform(5, 40), b['grip'] + 0.5)
    for _ in range(rod['extraBands']):
        s = rng.uniform(30, b['grip'] - 40)
        w = rng.uniform(2, 30)
        if any(abs(s + w / 2 - q) < w / 2 + 12 for q in busy):
            continue
        if rng.random() < 0.5:
            t = tape_style(rng)
            dg.band(shapes, axis, s, s + t['width'], t['thickness'], dg.tape_material(shapes, rng, t, b['kd']), TAPE)
            bands.append(dict(kind='tape', id='', s=[s, s + t['width']]))
        else:
            thread(s, s + w)
    if rng.random() < 0.06:   # a ferrule of metal
        s = rng.uniform(0.4, 0.6) * b['length']
        if not any(abs(s - q) < 40 for q in busy):
            dg.band(shapes, axis, s, s + rng.uniform(15, 35), 0.5, finish(shapes, rng, FRAMES, pick(rng, FRAMES)), 4)


def build_scene(seed, change=None, device=0):
    """Everything of one rod's scene. `change(rod)` may alter the rod before it is drawn. Returns a dict; free it with scene['traced'].free()."""
    global _TAGS
    _TAGS = tag_cells() if _TAGS is None else _TAGS
    rng = np.random.default_rng([seed, 7919])
    rod = random_rod(rng)
    if change:
        change(rod)
    b, style = rod['blank'], rod['style']
    axis = Axis(b)
    shapes = Shapes()
    shapes.material(0.5)
    edges = np.append(np.arange(0, b['length'], 10.0), b['length'])
    for a, c in zip(edges, edges[1:]):
        if c - a > 0.5:
            _, _, up, side = axis.frame((a + c) / 2)
            shapes.blank(axis.point(a), axis.point(c), axis.radius_at(a), axis.radius_at(c), a, c, up, side)
    materials = dg.style_materials(shapes, rng, style)
    if b['length'] and rod['tapes']:
        materials['tape'] = {t['name']: dg.tape_material(shapes, rng, t, b['kd']) for t in rod['tapes']}
    t = rod['thread']
    materials['thread'] = dg.thread_material(shapes, rng, t['kd'], t['metallic'], t['glossy'], t['period'])
    materials['trim'] = dg.thread_material(shapes, rng, t['trim'], t['trim_metallic'], t['glossy'], 0.2) if t['trim'] is not None else None
    objects, bands = [], []
    for n, g in enumerate(rod['guides']):
        shapes.id = n + 1
        own, look = materials, style
        if rng.random() < 0.06:   # a guide of another make among them
            look = dict(style, frame=pick(rng, FRAMES), legs=rng.choice(['v', 'one', 'sheet', 'loop']))
            own = dict(materials, **dg.style_materials(shapes, rng, look))
        made = (dg.snake_guide(shapes, rng, axis, g, own) if g['type'] == 'snake' else dg.ring_guide(shapes, rng, axis, g, look, own))
        shapes.id = 0
        _wrap_foot(shapes, rng, rod, axis, made['place'], made['feet'], materials, bands, g['id'])
        objects.append(dict(g, number=n + 1, centre=np.asarray(made['centre']), normal=np.asarray(made['normal']), crest=made.get('crest'), path=made.get('path'),
                            feet=[list(map(float, f[:2])) for f in made['feet']]))
    tip = None
    if rod['tipTop']:
        t = rod['tipTop']
        t.setdefault('ahead', t['ringOuter'] / 2 * rng.uniform(0.2, 0.7))
        t.setdefault('rise', axis.radius_at(0) + t['ringOuter'] / 2 * rng.uniform(0.5, 1.2))
        shapes.id = 200
        made = dg.tip_top(shapes, rng, axis, t, style, materials)
        tip = dict(t, id='TIP', type='tip-top', number=200, s=-t['home'], ringS=-t['home'] - t['ahead'], centre=made['centre'], normal=made['normal'])
    shapes.id = 201
    _other_bands(shapes, rng, rod, axis, materials, bands)
    keeper = hook_keeper(shapes, rng, rod, axis)
    grip_and_seat(shapes, rng, rod, axis)
    blocks(shapes, rng, rod, axis)
    things = scatter(shapes, rng, rod, axis)
    tiles, waves, meta = pages(rng, b['length'], bars=rod.get('bars'), waved=rod.get('waved'))
    paint, seams = ground_paint(rng, tiles, axis, b['length'], meta)
    bench, bench_step, bench_rot, bench_rough, bench_f0 = bench_picture(rng)
    light = rod.get('light') or random_light(rng, b['length'])
    skin, skin_cls, s_start, s_step = blank_skin(rng, rod)
    g = np.zeros(tr.GLOBALS, np.float32)
    g[0:3], g[3:6], g[tr.SUN_COS] = light['sun']
    g[tr.ENV_ROT] = light['rotation']
    g[tr.PAPER:tr.PAPER + 3] = rng.uniform(0.72, 0.88) * (1 + rng.normal(0, 0.02, 3))
    g[tr.INK:tr.INK + 3] = rng.uniform(0.02, 0.09)
    g[tr.WAVE:tr.WAVE + 16] = waves
    g[tr.BENCH_ROUGH], g[tr.BENCH_F0], g[tr.PAPER_ROUGH] = bench_rough, bench_f0, rng.uniform(0.5, 0.8)
    if b['wound']:
        g[tr.SPIRAL_PERIOD], g[tr.SPIRAL_AMOUNT] = rng.uniform(1.5, 9), 10 ** rng.uniform(-2.2, -0.8)
    g[tr.SKIN_F0], g[tr.DEPTH], g[tr.CLAMP], g[tr.SHADOW], g[tr.BENCH_ROT] = b['f0'], 3, 0.7, 0.28, bench_rot
    prims, mats = shapes.packed()
    arrays = dict(prims=prims, mats=mats, lights=np.array(light['lights'], np.float32).reshape(-1, 16), tiles=tiles, env=light['env'], ground=paint.rgba,
                  groundCls=paint.cls, bench=bench, skin=skin, skinCls=skin_cls, tagBits=_TAGS, globals=g,
                  places=[paint.x0, paint.y0, 0.3, bench_step, s_start, s_step])
    return dict(seed=seed, rod=rod, axis=axis, objects=objects, tipTop=tip, bands=bands, keeper=keeper, things=things, tiles=tiles, mat=meta, light=light,
                seams=seams, arrays=arrays, traced=tr.TracedScene(arrays, device))
