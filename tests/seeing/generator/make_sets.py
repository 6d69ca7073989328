"""Makes whole photo sets with truth: what a builder would upload, for judging the whole check on rods nobody tuned for.

    make_sets.py OUT --first SEED --count N [--kind walk|one|mixed] [--stage rings|wrapped|marks|mixed] [--slides] [--megapixels M] [--paths P] [--gpus G] [--workers W]

OUT/set-SEED/ holds plan.json, shoot.json, truth.json and photos/ in the formats of the product's fixtures.
"""
import argparse
import json
import multiprocessing
import os
import struct
from pathlib import Path

import cv2
import numpy as np

import tracer
from camera import brown, make_camera
from phone import expose, gentle_phone, meter
from scene import build_scene
from set_rod import with_plan


def exif(focal35, orientation=1):
    """An APP1 segment with the orientation and the 35 mm equivalent focal length, as a phone writes it (Exif 2.3)."""
    ifd0 = [(0x0112, 3, 1, orientation << 16), (0x8769, 4, 1, 38)]
    sub = [(0xA405, 3, 1, focal35 << 16)]
    body = b'MM\0*' + struct.pack('>I', 8)
    for entries in (ifd0, sub):
        body += struct.pack('>H', len(entries)) + b''.join(struct.pack('>HHII', *e) for e in entries) + b'\0\0\0\0'
    data = b'Exif\0\0' + body
    return b'\xff\xe1' + struct.pack('>H', len(data) + 2) + data


def save_photo(path, bgr, quality, focal35):
    ok, data = cv2.imencode('.jpg', bgr, [cv2.IMWRITE_JPEG_QUALITY, quality])
    if not ok:
        raise RuntimeError(f'{path} could not be coded')
    data = data.tobytes()
    path.write_bytes(data[:2] + exif(focal35) + data[2:])


def cameras(rng, scene, kind, megapixels):
    axis, length = scene['axis'], scene['rod']['blank']['length']
    w = int(np.sqrt(megapixels * 1e6 * 4 / 3)) // 2 * 2
    h = int(w * 3 / 4) // 2 * 2
    f = w * rng.uniform(0.70, 0.78)
    dist = np.array([rng.normal(0.01, 0.02), rng.normal(-0.008, 0.015), rng.normal(0, 2e-4), rng.normal(0, 2e-4), 0.0])
    cx, cy = w / 2 - 0.5 + rng.normal(0, 4), h / 2 - 0.5 + rng.normal(0, 4)
    turned = 180 if rng.random() < 0.25 else 0
    reach = max(g['s'] for g in scene['rod']['planned']) + 70 if scene['rod']['planned'] else length * 0.8
    field = rng.choice([0, 0.15, 0.4])
    first = None
    out = []
    if kind == 'one':
        high = max(950, (reach + 120) * f / w * 1.03)
        places = [((reach / 2 - 10, 0), (rng.normal(0, 60), rng.normal(0, 60)), high)]
    else:
        high = rng.uniform(500, 640)
        seen = high * w / f
        n = int(np.clip(np.ceil((reach + 60) / (seen * 0.5)), 4, 8))
        xs = np.linspace(seen * 0.36 - 30, max(reach - seen * 0.3, seen * 0.36), n)
        places = [((x, rng.normal(0, 10)), (rng.normal(0, 40) + (rng.choice([-1, 1]) * 150 if k % 3 == 2 else 0), (-1) ** k * rng.uniform(40, 260) if k % 2 else rng.normal(0, 50)),
                   high * rng.uniform(0.92, 1.12)) for k, x in enumerate(xs)]
    for (x, y), (dx, dy), z in places:
        turn = np.radians(rng.normal(0, 2.5) + turned)
        c = make_camera(rng, [x + dx, y + dy, z], [x, y, 0], turn, w, h, f, field, dist, cx, cy)
        if first is not None:
            c['field'] = first['field']   # one lens a set
        first = first or c
        out.append(c)
    return out


def readings(rng, scene):
    """What the builder reads off mat and tape, with a reader's errors."""
    t, meta = scene['tiles'], scene['mat']
    su, sv = meta['scale']
    at = lambda tile, u, v: np.array([tile[0] + u * tile[3] - v * tile[4], tile[1] + u * tile[4] + v * tile[3]])
    span = float(np.linalg.norm(at(t[-1], 112 * su, 72 * sv) - at(t[0], -112 * su, 72 * sv)))
    read = lambda v: round(float(v + rng.normal(0, 0.05)), 1)
    mat = dict(barAlong=read(100 * su), barAcross=read(100 * sv)) if t[0][10] else dict(rowAlong=read(224 * su), rowAcross=read(168 * sv))
    mat['span'] = dict(fromTag=0, toTag=int(10 * (len(t) - 1) + 4), length=round((span + rng.normal(0, 0.15)) * 2) / 2)
    return mat


def r4(v):
    return [round(float(x), 4) for x in v]


def truth_of(scene, cams, names, megasize):
    rod, axis = scene['rod'], scene['axis']
    b = rod['blank']
    s = np.arange(0, b['length'] + 1e-6, 10.0)
    guides = []
    for o in sorted(scene['objects'], key=lambda o: o['s']):
        g = dict(id=o['id'], s=round(float(o['s']), 4), phi=round(float(o['roll']), 4), height=round(float(o['height']), 4), foot=o['foot'],
                 centre=r4(o['centre']), normal=r4(o['normal']))
        if o['type'] == 'snake':
            g.update(type='snake', wire=o['wire'], length=o['length'], width=o['width'], crest=r4(o['crest']), path=[r4(p) for p in o['path']],
                     feet=[o['s'] - o['length'] / 2, o['s'] + o['length'] / 2])
        else:
            g.update(ringOuter=o['ringOuter'], ringInner=round(float(o['ringInner']), 4), lean=round(float(o['lean']), 3), thickness=o['thickness'], reach=o['reach'])
            if o['foot'] == 'single' and o['toward'] == 'tip':
                g['footToward'] = 'tip'
        wraps = [r4(w['s']) for w in scene['bands'] if w['id'] == o['id'] and w['kind'] == 'thread']
        if wraps:
            g['wraps'] = wraps
        guides.append(g)
    out = dict(schema='prewrap-render.truth/1', job=f'seed {scene["seed"]}', stage=rod['stage'], imageSize=megasize, light=scene['light']['kind'], mat=scene['mat'],
               tiles=[dict(tile=int(t[9]), x=round(float(t[0]), 4), y=round(float(t[1]), 4), z=round(float(t[2]), 3), yaw=round(float(np.degrees(np.arctan2(t[4], t[3]))), 4)) for t in scene['tiles']],
               axis=[r4([k, *p]) for k, p in zip(s, axis.point(s))], radius=[r4([k, axis.radius_at(k)]) for k in s],
               marks=[dict(id=m['id'], s=round(m['s'], 4), width=round(m['width'], 2)) for m in sorted(rod['marks'], key=lambda m: m['s'])],
               guides=guides, seatRoll=round(rod['seatRoll'], 4), rodRoll=round(rod['common'], 3), faults=rod['faults'])
    if scene['tipTop']:
        t = scene['tipTop']
        out['tipTop'] = dict(s=round(t['s'], 4), ringS=round(float(t['ringS']), 4), phi=round(t['roll'], 4), ringOuter=round(t['ringOuter'], 3), ringInner=round(t['ringInner'], 3),
                             tubeLength=round(t['tubeLength'], 2), lean=round(t['lean'], 2), centre=r4(t['centre']), normal=r4(t['normal']))
    if rod.get('seatCard'):
        c = rod['seatCard']
        out['seatCard'] = dict(s=round(float(c['s']), 3), height=18.0, **{k: r4(c[k]) for k in ('centre', 'along', 'across', 'normal')})
    out['cameras'] = []
    for name, c in zip(names, cams):
        k, dist, rvec, tvec = brown(c)
        out['cameras'].append(dict(photo=name, K=k.tolist(), dist=[float(v) for v in dist], rvec=[round(float(v), 9) for v in rvec], tvec=[round(float(v), 9) for v in tvec]))
    return out


def built(seed, stage, slid=0.0):
    """The scene, and the random numbers that go on from it; `slid`: how far the rod lies from where it lay, mm along the mat."""
    rng = np.random.default_rng([seed, 65537])
    change = with_plan(rng, stage)
    def moved(rod):
        change(rod)
        rod['blank']['slid'] = slid
    return build_scene(seed, moved), rng


def make_set(folder, seed, kind, stage, megapixels, paths, slides=False):
    scene, rng = built(seed, stage)
    later = None
    try:
        rod = scene['rod']
        b = rod['blank']
        folder.mkdir(parents=True, exist_ok=True)
        (folder / 'photos').mkdir(exist_ok=True)
        cams = cameras(rng, scene, kind, megapixels)
        names = [f'photos/{k + 1:02d}.jpg' for k in range(len(cams))]
        phone, metered = gentle_phone(rng), None
        slide = None
        if slides and len(cams) > 3:
            slide = dict(after=int(rng.integers(1, len(cams) - 1)), by=float(rng.choice([-1, 1]) * 10 ** rng.uniform(-0.5, 0.7)))
            later, _ = built(seed, stage, slide['by'])
        for k, (c, name) in enumerate(zip(cams, names)):
            now = later if slide and k > slide['after'] else scene
            rgb, cls = now['traced'].render(c, (0, 0, c['width'], c['height']), paths, seed=seed * 100 + k)
            inside = np.ones(cls.shape, bool)
            metered = metered or meter(rgb, (cls == 0) | (cls == 2))
            bgr = expose(rgb, inside, phone, rng, (c['cx'], c['cy']), c['width'], metered)
            save_photo(folder / name, bgr, phone['jpeg'], int(round(c['fx'] * 36 / c['width'])))
        plan = dict(schema='prewrap.plan/1', title=f'Rod {seed}', unit='mm', datum='blank-tip',
                    blank=dict(length=b['length'], tipDiameter=round(2 * float(b['radius'][0]), 1), buttDiameter=round(2 * float(np.interp(b['length'], b['s'], b['radius'])), 1),
                               finish='light' if np.mean(b['kd']) > 0.15 else 'dark'), positions=rod['plan'], tolerance=dict(along=1.5, roll=2.0))
        if scene['tipTop']:
            t = scene['tipTop']
            plan['tipTop'] = dict(ringOuter=round(t['ringOuter'], 1), ringInner=round(t['ringInner'], 1), tubeLength=round(t['tubeLength'], 1),
                                  tubeInner=round(2 * float(b['radius'][0]) + 0.1, 1), home=round(t['home'], 2))
        middle = float(scene['axis'].point(b['length'] * 0.3)[2])
        shoot = dict(schema='prewrap.shoot/1', stage=stage, photos=names, mat=readings(rng, scene),
                     rest=dict(kind='flat', gripDiameter=round(2 * b['grip_radius'], 0)) if b['flat'] else dict(kind='blocks', axisHeight=round(middle, 0)))
        shoot['rollReference'] = 'seat-card' if stage != 'marks' and rod.get('seatCard') and kind == 'walk' and rng.random() < 0.5 else 'guides'
        truth = truth_of(scene, cams, names, [cams[0]['width'], cams[0]['height']])
        if slide:
            truth['slide'] = dict(afterPhoto=names[slide['after']], along=round(slide['by'], 3))
            if abs(slide['by']) >= 0.5:
                truth['expect'] = dict(verdict='refuse', why=f"the rod slid {abs(slide['by']):.1f} mm along the mat between photos {slide['after'] + 1} and {slide['after'] + 2}")
        for name, data in (('plan', plan), ('shoot', shoot), ('truth', truth)):
            (folder / f'{name}.json').write_text(json.dumps(data, indent=1, default=float))
        print(f'{folder.name}: {kind}, {stage}, {b["finish"]}, {rod["style"]["frame"]}, {scene["light"]["kind"]}, {len(cams)} photos, faults {[f["type"] for f in rod["faults"]]}, slide {slide}', flush=True)
    finally:
        scene['traced'].free()
        if later:
            later['traced'].free()


def one_set(task):
    seed, options = task
    rng = np.random.default_rng([seed, 9])
    kind = options.kind if options.kind != 'mixed' else str(rng.choice(['walk', 'one'], p=[0.6, 0.4]))
    stage = options.stage if options.stage != 'mixed' else str(rng.choice(['rings', 'wrapped', 'marks'], p=[0.6, 0.25, 0.15]))
    tracer.library(seed % max(options.gpus, 1))
    make_set(options.out / f'set-{seed}', seed, kind, stage, options.megapixels, options.paths, options.slides)


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument('out', type=Path)
    parser.add_argument('--first', type=int, default=0)
    parser.add_argument('--count', type=int, default=1)
    parser.add_argument('--kind', choices=['walk', 'one', 'mixed'], default='mixed')
    parser.add_argument('--stage', choices=['rings', 'wrapped', 'marks', 'mixed'], default='mixed')
    parser.add_argument('--slides', action='store_true', help='the rod slides along the mat between two photos of each walk')
    parser.add_argument('--megapixels', type=float, default=12.2)
    parser.add_argument('--paths', type=int, default=16)
    parser.add_argument('--gpus', type=int, default=0)
    parser.add_argument('--workers', type=int, default=1)
    options = parser.parse_args()
    os.environ['TRACE_ON'] = 'gpu' if options.gpus else 'cpu'
    tracer.build()
    tasks = [(seed, options) for seed in range(options.first, options.first + options.count)]
    if options.workers == 1:
        for task in tasks:
            one_set(task)
        return
    os.environ.setdefault('OMP_NUM_THREADS', '1')
    with multiprocessing.get_context('spawn').Pool(options.workers) as pool:
        for _ in pool.imap_unordered(one_set, tasks):
            pass


if __name__ == '__main__':
    main()
