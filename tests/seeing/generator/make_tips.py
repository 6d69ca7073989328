"""Makes training pictures of blanks' ends: short straightened strips along the last of the axis, written as shards while it runs.

    make_tips.py OUT --first ROD --count RODS [--views V] [--seconds S] [--workers W] [--gpus G] [--paths P]

Rods are numbered; rod n is the same on every machine of one build. A shard (OUT/shard-WORKER-N.npz, moved into place when whole) holds
`index`: a JSON list, one entry a picture: rod, view, photo 'walk' or 'one', case, light, blank, finish of the phone, `seen` (the end shows), x, y
(samples: where), pixels (of the photo, a millimetre); and `pictures` (n, ROWS, COLUMNS, BGR uint8) and `classes` (n, ROWS, COLUMNS uint8).
"""
import json

import cv2
import numpy as np

from many_rods import arguments, make_all

# As `tipSampling` has it in the product's finder, but for the columns: a crop of these is learned from.
STEP, ROWS, COLUMNS = 0.125, 64, 480
ERRORS = dict(across=(0.35, 0.35, 0.35, 1.2), height=0.8, turn=0.012)  # of the axis that a strip is laid by: mm (one of these), mm, radians


def rim(axis, eye):
    """As the product has it: the blank's end disc is bounded by the point of its rim that the line of sight meets last."""
    point, along, radius = axis.point(0.0), axis.tangent(0.0), float(axis.radius_at(0.0))
    view = point - eye
    across = np.cross(along, view)
    across /= np.linalg.norm(across)
    up = np.cross(across, along)
    up /= np.linalg.norm(up)
    toward = up if up @ view < 0 else -up
    return point + radius * (-toward if along @ view > 0 else toward)


def camera_over(rng, scene, kind):
    """A camera that has the end in its picture."""
    from camera import project, random_camera
    for _ in range(400):
        camera = random_camera(rng, scene['axis'], scene['rod']['blank']['length'], kind)
        u, v = project(camera, scene['axis'].point(0.0))
        if 8 < u < camera['width'] - 9 and 8 < v < camera['height'] - 9:
            return camera
    return None


def sheet(rng, scene, camera, s):
    """Bench points (ROWS, COLUMNS, 3) of a strip whose middle column lies at about s, by an axis a little off."""
    axis = scene['axis']
    along = axis.tangent(max(s, 0.0))
    base = axis.point(max(s, 0.0)) + along * min(s, 0.0)
    toward = rim(axis, camera['C']) - axis.point(0.0)
    turn = rng.normal(0, ERRORS['turn'])
    along = along + turn * np.array([-along[1], along[0], 0.0])
    along /= np.linalg.norm(along)
    across = np.cross(along, base - camera['C'])
    across /= np.linalg.norm(across)
    base = base + toward + across * rng.normal(0, rng.choice(ERRORS['across'])) + np.array([0, 0, 1.0]) * rng.normal(0, ERRORS['height'])
    t = (np.arange(COLUMNS) - COLUMNS / 2) * STEP
    w = (np.arange(ROWS) - ROWS / 2) * STEP
    return base + t[None, :, None] * along + w[:, None, None] * across


def picture_of(rng, scene, camera, seed, s, paths):
    """One strip: (entry, picture, classes); None where the photo shows little of it."""
    import phone as phones
    from camera import project
    from view import NOTHING, _inside, _settled, _tip_seen, sample_of
    world = sheet(rng, scene, camera, s)
    uv = project(camera, world)
    ok = _inside(camera, uv)
    if ok.mean() < 0.5:
        return None
    lo = np.maximum(np.floor(uv[ok].min(0)).astype(int) - 12, 0)
    hi = np.minimum(np.ceil(uv[ok].max(0)).astype(int) + 13, [camera['width'], camera['height']])
    crop = (int(lo[0]), int(lo[1]), int(hi[0] - lo[0]), int(hi[1] - lo[1]))
    rgb, cls = scene['traced'].render(camera, crop, paths, seed=seed)
    cls = _settled(cls)
    gentle = rng.random() < 0.6
    p = phones.gentle_phone(rng) if gentle else phones.random_phone(rng)
    paper = (cls == 0) | (cls == 2)
    metered = phones.meter(rgb, paper if paper.sum() > 400 else np.ones_like(paper))
    bgr = phones.saved(phones.expose(rgb, np.ones_like(paper), p, rng, (camera['cx'] - lo[0], camera['cy'] - lo[1]), max(camera['width'], camera['height']), metered), p)
    m = (uv - lo).astype(np.float32)
    picture = cv2.remap(bgr, m[..., 0], m[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT)
    classes = cv2.remap(cls, m[..., 0], m[..., 1], cv2.INTER_NEAREST, borderMode=cv2.BORDER_CONSTANT, borderValue=NOTHING)
    entry = dict(gentle=bool(gentle), seen=False, pixels=float(np.linalg.norm(uv[ROWS // 2, -1] - uv[ROWS // 2, 0]) / STEP / (COLUMNS - 1)))
    if abs(s) < 1 and _tip_seen(scene, camera)['visible']:
        x, y = sample_of(m, project(camera, rim(scene['axis'], camera['C'])) - lo)
        entry.update(seen=True, x=float(x), y=float(y))
    return entry, picture, classes


PALE = ('white', 'white', 'ivory', 'ivory', 'honey', 'yellow')


def hard_case(rng, rod):
    """What goes wrong most, oftener than it comes by itself: a hand over the end; a pale blank in the sun, whose shadow is darker than it; a shadow that goes on in its line."""
    rod['tipTop'] = None
    kind = rng.choice(['plain', 'hand', 'sun', 'sun along'], p=[0.5, 0.14, 0.18, 0.18])
    if kind == 'hand':
        rod['heldAt'] = [rng.uniform(-25, 45)]
    if kind.startswith('sun'):
        from light import random_light
        from rod import reflectance
        if rng.random() < 0.75:
            rod['blank']['finish'] = name = str(rng.choice(PALE))
            rod['blank']['kd'] = reflectance(rng, name)
        light = random_light(rng, rod['blank']['length'], 'sun')
        if kind == 'sun along':
            (x, y, up), irradiance, half = light['sun']
            azimuth, level = rng.normal(0, np.radians(20)), np.hypot(x, y)
            light['sun'] = (np.array([level * np.cos(azimuth), level * np.sin(azimuth), up]), irradiance, half)
        rod['light'] = light
    return str(kind)


def pictures_of(rod, views, paths, device):
    from scene import build_scene
    drawn = np.random.default_rng([rod, 61])
    case = []
    scene = build_scene(rod, lambda rod: case.append(hard_case(drawn, rod)), device=device)
    out = []
    try:
        for n in range(views):
            rng = np.random.default_rng([rod, n, 47])
            kind = 'one' if rng.random() < 0.35 else 'walk'
            camera = camera_over(rng, scene, kind)
            if camera is None:
                continue
            # One in six looks elsewhere: along the blank, or at what lies beyond it.
            s = 0.0 if rng.random() > 1 / 6 else rng.uniform(40, 160) if rng.random() < 0.7 else -rng.uniform(35, 70)
            made = picture_of(rng, scene, camera, rod * 64 + n, s, paths)
            if made:
                entry, picture, classes = made
                out.append((dict(entry, rod=rod, view=n, photo=kind, case=case[0], light=scene['light']['kind'], blank=scene['rod']['blank']['finish']), picture, classes))
    finally:
        scene['traced'].free()
    return out


def made_of(rod, options, device):
    return pictures_of(rod, options.views, options.paths, device)


def keep(options, worker, number, made):
    """Writes a shard; returns its bytes."""
    part = options.out / f'shard-{worker:02d}-{number:04d}.part'
    with open(part, 'wb') as f:
        np.savez(f, index=np.array(json.dumps([m[0] for m in made])), pictures=np.stack([m[1] for m in made]), classes=np.stack([m[2] for m in made]))
    size = part.stat().st_size
    part.rename(part.with_suffix('.npz'))
    return size


def main():
    make_all(arguments(__doc__, views=8, paths=24, shard=48).parse_args(), made_of, keep)


if __name__ == '__main__':
    main()
