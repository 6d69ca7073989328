"""One photo's corridor along a rod, with what is in it; the straightened strip and the mat's lane made from it.

    view = make_view(seed, kind)        kind: 'walk' (close, part of the rod) or 'one' (from above, most of it)
    strip(view), lane(view)
"""
import cv2
import numpy as np

import phone as phones
from camera import project, random_camera
from scene import build_scene

STRIP_STEP, STRIP_HALF = 0.3, 48.0
LANE_STEP, LANE_HALF = 0.5, 64.0
BEYOND = 60  # samples beyond a strip's ends in which objects are still told of: one may reach in
NOTHING = 255
CLASSES = ['paper', 'blank', 'shadow', 'printed', 'grip', 'tape', 'thread', 'wax', 'frame', 'ring', 'snake', 'tip-top', 'else', 'tag']


def _inside(camera, uv, margin=0.0):
    with np.errstate(invalid='ignore'):
        return (uv[..., 0] > margin) & (uv[..., 0] < camera['width'] - 1 - margin) & (uv[..., 1] > margin) & (uv[..., 1] < camera['height'] - 1 - margin)


def corridor(scene, camera):
    """Line and half width, px, of the part of the photo that strip and lane need, and its box; None when too little is in view."""
    axis, length = scene['axis'], scene['rod']['blank']['length']
    s = np.arange(-170, length + 110, 5.0)
    uv = project(camera, axis.point(s))
    ok = _inside(camera, uv, 8)
    if ok.sum() < 24:
        return None
    a, b = uv[ok][0], uv[ok][-1]
    d = (b - a) / np.linalg.norm(b - a)
    normal = np.array([-d[1], d[0]])
    x = axis.point(s[ok])
    edges = [np.stack([x[:, 0], np.full(len(x), k * (LANE_HALF + 1.5)), 0 * x[:, 0]], -1) for k in (-1, 1)] + [x + [0, k * (STRIP_HALF + 1.5), 0] for k in (-1, 1)]
    away = np.abs((project(camera, np.concatenate(edges)) - a) @ normal)
    scale = camera['fx'] / np.median((x - camera['C']) @ camera['R'][2])
    band = min(float(np.nanmax(away)) + 4, 105 * scale)
    ends = np.array([a - d * 60 * scale, b + d * 60 * scale])
    box = np.concatenate([ends + normal * band, ends - normal * band])
    lo = np.maximum(np.floor(box.min(0)).astype(int), 0)
    hi = np.minimum(np.ceil(box.max(0)).astype(int) + 1, [camera['width'], camera['height']])
    return dict(line=np.array([a, b]), band=band, crop=(int(lo[0]), int(lo[1]), int(hi[0] - lo[0]), int(hi[1] - lo[1])), scale=float(scale))


def _seen(scene, camera, objects):
    """For each object: part of its rim or wire in view of the camera, and whether something else hides its centre."""
    targets, spans = [], []
    for o in objects:
        if o.get('path') is not None:
            points = o['path']
        else:
            n = o['normal']
            u = np.cross(n, [0.3, 0.5, 0.8])
            u /= np.linalg.norm(u)
            v = np.cross(n, u)
            a = np.linspace(0, 2 * np.pi, 32, endpoint=False)[:, None]
            points = o['centre'] + (o['ringOuter'] + o['ringInner']) / 4 * (np.cos(a) * u + np.sin(a) * v)
        spans.append((len(targets), len(points)))
        targets.extend(points)
        targets.append(o['centre'])
    if not objects:
        return
    ids, way = scene['traced'].look(camera['C'], np.array(targets))
    uv = project(camera, np.array(targets))
    inside = _inside(camera, uv, 1)
    for o, (at, n) in zip(objects, spans):
        o['visible'] = float(((ids[at:at + n] == o['number']) & inside[at:at + n]).mean())
        o['centreHidden'] = bool(way[at + n] < 0.985 and ids[at + n] != o['number'])
        o['inPhoto'] = bool(inside[at + n])
        o['pixel'] = [float(q) for q in uv[at + n]]


def _settled(cls):
    """Few paths a pixel leave a soft shadow's border speckled: there each pixel follows the majority about it."""
    level = (cls == 0) | (cls == 2)
    both = cv2.blur(level.astype(np.float32), (9, 9))
    dark = cv2.blur((cls == 2).astype(np.float32), (9, 9)) > 0.5 * both
    return np.where(level, np.where(dark, 2, 0), cls).astype(np.uint8)


def photograph(scene, seed, kind, paths=12, far_paths=5, camera=None, phone=None):
    """One view of a built scene; None when the camera sees too little of the rod."""
    rng = np.random.default_rng([seed, 104729])
    rod, axis = scene['rod'], scene['axis']
    length = rod['blank']['length']
    for _ in range(20):
        cam = camera or random_camera(rng, axis, length, kind)
        part = corridor(scene, cam)
        if part and min(part['crop'][2:]) > 40:
            break
    else:
        return None
    rgb, cls = scene['traced'].render(cam, part['crop'], paths, far_paths, 26 * part['scale'], part['line'], part['band'], seed)
    cls = _settled(cls)
    p = phone or phones.random_phone(rng)
    x0, y0, w, h = part['crop']
    bgr = phones.saved(phones.expose(rgb, cls != NOTHING, p, rng, (cam['cx'] - x0, cam['cy'] - y0), max(cam['width'], cam['height'])), p)
    objects = [dict(o) for o in scene['objects']] + ([dict(scene['tipTop'])] if scene['tipTop'] else [])
    _seen(scene, cam, objects)
    objects.append(_tip_seen(scene, cam))
    _plainness(bgr, cls, part['crop'], objects, part['scale'])
    s = np.append(np.arange(0, length, 10.0), length)
    return dict(seed=seed, rod=scene['seed'], kind=kind, image=bgr, classes=cls, crop=part['crop'], camera=cam, objects=objects,
                bands=scene['bands'], marks=[dict(id=m['id'], s=[m['s'] - m['width'] / 2, m['s'] + m['width'] / 2], arc=m['arc']) for m in rod['marks']],
                axis=np.c_[s, axis.point(s)], radius=np.c_[s, axis.radius_at(s)], tip=axis.point(0.0), axisOf=axis, grip=rod['blank']['grip'], length=length,
                light=scene['light']['kind'], stage=rod['stage'], blank=rod['blank']['finish'], scale=part['scale'])


def make_view(seed, kind='walk', paths=12, device=0):
    """A rod and one photo of it, both from the seed."""
    scene = build_scene(seed, device=device)
    try:
        view = photograph(scene, seed * 16, kind, paths, max(3, paths // 2))
        return view if view else make_view(seed + 500009, kind, paths, device)
    finally:
        scene['traced'].free()


OWN_CLASSES = {'ring': (9,), 'tip-top': (9, 11), 'snake': (10,), 'tip': (1,)}


def _plainness(image, classes, crop, objects, scale):
    """How plainly the photo shows each object: `size`, its width in photo pixels; `contrast`, the mean slope of brightness or colour along its outline
    over the slope that noise makes on the paper about (1 = lost in it; below about 3 a person guesses)."""
    for o in objects:
        size = o.get('ringOuter', o.get('length', 6) if o['type'] == 'snake' else 6) * scale
        o['size'], o['contrast'] = float(size), 0.0
        x, y = np.array(o['pixel']) - crop[:2]
        half = int(max(size, 12) * 0.75 + 14)
        if not (np.isfinite([x, y]).all() and 0 <= x < image.shape[1] and 0 <= y < image.shape[0]):
            continue
        x0, y0 = max(0, int(x) - half), max(0, int(y) - half)
        part, cls = image[y0:int(y) + half, x0:int(x) + half], classes[y0:int(y) + half, x0:int(x) + half]
        yy, xx = np.mgrid[y0:y0 + cls.shape[0], x0:x0 + cls.shape[1]]
        own = (np.isin(cls, OWN_CLASSES[o['type']]) & (np.hypot(xx - x, yy - y) < 0.65 * size + 3)).astype(np.uint8)
        rim = cv2.dilate(own, np.ones((3, 3), np.uint8)) - cv2.erode(own, np.ones((3, 3), np.uint8))
        soft = cv2.GaussianBlur(part, (0, 0), 0.8).astype(np.float32)
        slope = np.sqrt(cv2.Sobel(soft, cv2.CV_32F, 1, 0) ** 2 + cv2.Sobel(soft, cv2.CV_32F, 0, 1) ** 2).max(-1)
        paper = (cls == 0) & (cv2.dilate((cls != 0).astype(np.uint8), np.ones((7, 7), np.uint8)) == 0)
        if own.sum() >= 4 and rim.any():
            noise = np.median(slope[paper]) if paper.sum() > 30 else np.percentile(slope, 25)
            o['contrast'] = float(slope[rim > 0].mean() / max(noise, 2.0))


def _tip_seen(scene, camera):
    """Where the blank's bare end shows: pixel and whether it is in view (a tip-top hides it)."""
    tip = scene['axis'].point(0.0)
    uv = project(camera, tip)
    up = tip + [0, 0, scene['axis'].radius_at(0.0)]
    _, way = scene['traced'].look(camera['C'], np.array([up]))
    seen = bool(_inside(camera, uv, 1)) and scene['tipTop'] is None and way[0] > 0.995
    return dict(id='END', type='tip', s=0.0, centre=tip, normal=scene['axis'].tangent(0.0), visible=1.0 if seen else 0.0, centreHidden=not seen,
                inPhoto=bool(_inside(camera, uv, 1)), pixel=[float(q) for q in uv], toward=None, ringOuter=2 * float(scene['axis'].radius_at(0.0)))


def _sample(view, world):
    """Image and class where world points (rows, columns, 3) fall in the photo."""
    x0, y0, w, h = view['crop']
    m = project(view['camera'], world).astype(np.float32) - np.float32([x0, y0])
    m = np.where(np.isfinite(m), m, -1e4).astype(np.float32)
    image = cv2.remap(view['image'], m[..., 0], m[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    classes = cv2.remap(view['classes'], m[..., 0], m[..., 1], cv2.INTER_NEAREST, borderMode=cv2.BORDER_CONSTANT, borderValue=NOTHING)
    return image, classes, m


def sample_of(m, q):
    """The sample (column, row), whole or not, of a picture laid by the map m where it shows the pixel q."""
    # nearest sample, then Newton by the local frame of the map
    d = np.hypot(m[::8, ::8, 0] - q[0], m[::8, ::8, 1] - q[1])
    j, i = np.array(np.unravel_index(d.argmin(), d.shape)) * 8.0
    for _ in range(5):
        jj, ii = min(max(int(round(j)), 1), m.shape[0] - 2), min(max(int(round(i)), 1), m.shape[1] - 2)
        a = np.c_[(m[jj, ii + 1] - m[jj, ii - 1]) / 2, (m[jj + 1, ii] - m[jj - 1, ii]) / 2]
        off = np.linalg.lstsq(a, q - m[jj, ii], rcond=None)[0]
        i, j = ii + off[0], jj + off[1]
    return i, j


def _placed(view, m, step, beyond=1):
    """The view's objects in samples of a picture laid by the map m (pixels of the crop), and those up to `beyond` samples before and after it."""
    objects, crop = [], np.array(view['crop'][:2])
    for o in view['objects']:
        q = np.array(o['pixel']) - crop
        if not np.isfinite(q).all():
            continue
        i, j = sample_of(m, q)
        if not (-1 - beyond < i < m.shape[1] + beyond and -2 < j < m.shape[0] + 1):
            continue
        toward = None if o['type'] == 'tip' else o.get('toward', 'butt') if o.get('foot') == 'single' or o['type'] == 'tip-top' else 'both'
        # half the outer width (a snake's: its length) as the strip shows it: what is nearer to the camera than the axis looks larger
        eye = view['camera']['C']
        nearer = np.linalg.norm(view['axisOf'].point(o['s']) - eye) / np.linalg.norm(np.asarray(o['centre']) - eye)
        size = o['length'] if o['type'] == 'snake' else o['ringOuter']
        objects.append(dict(id=o['id'], type=o['type'], x=float(i), y=float(j), r=float(size / 2 / step * nearer), s=float(o['s']),
                            toward=toward, visible=o['visible'], centreHidden=o['centreHidden'], inPhoto=o['inPhoto'], size=o['size'], contrast=o['contrast'], centre=[float(v) for v in o['centre']],
                            normal=[float(v) for v in o['normal']], ringOuter=float(o.get('ringOuter', 0)), ringInner=float(o.get('ringInner', 0))))
    return objects


def strip(view, rng=None, error=0.35):
    """The straightened strip: 0.3 mm a sample, rows are axis + w * unit(tangent x viewing direction) for w from -48 to 48 mm, columns at constant s.

    `error`: standard deviation, mm, of the smooth error of the axis it is laid by (none where rng is None). Returns dict(image, classes, s0, step,
    objects): each object with x, y (px of its projected centre) and r (its outer radius, px); None when the blank is not in view."""
    axis, camera = view['axisOf'], view['camera']
    s = np.arange(-45, view['length'] + 20, STRIP_STEP)
    points = axis.point(s)
    if rng is not None:
        k = (s - s[0]) / (s[-1] - s[0])
        for c in (1, 2):
            a = rng.normal(0, error, 4)
            points[:, c] += np.clip(a[0] + a[1] * (k - 0.5) + 0.5 * a[2] * np.sin(5 * k + a[3]), -1.2, 1.2)
    ok = _inside(camera, project(camera, points), 12)
    if ok.sum() < 300:
        return None
    first, last = np.where(ok)[0][[0, -1]]
    s, points = s[first:last + 1], points[first:last + 1]
    tangent = np.gradient(points, axis=0)
    tangent /= np.linalg.norm(tangent, axis=1)[:, None]
    lateral = np.cross(tangent, points - camera['C'])
    lateral /= np.linalg.norm(lateral, axis=1)[:, None]
    w = np.arange(-STRIP_HALF, STRIP_HALF, STRIP_STEP)
    world = points[None] + w[:, None, None] * lateral[None]
    image, classes, m = _sample(view, world)
    objects = _placed(view, m, STRIP_STEP, BEYOND)
    return dict(image=image, classes=classes, s0=float(s[0]), step=STRIP_STEP, objects=objects,
                bands=[b for b in view['bands'] if b['s'][1] > s[0] and b['s'][0] < s[-1]], marks=[b for b in view['marks'] if b['s'][1] > s[0] and b['s'][0] < s[-1]])


def lane(view):
    """The mat's lane laid flat on z = 0: 0.5 mm a sample, x along the columns, y from -64 to 64 mm down the rows. dict(image, classes, x0, step)."""
    x = np.arange(-160, view['length'] + 100, LANE_STEP)
    y = np.arange(-LANE_HALF, LANE_HALF, LANE_STEP)
    middle = _inside(view['camera'], project(view['camera'], np.c_[x, 0 * x, 0 * x]), 4)
    if middle.sum() < 100:
        return None
    a, b = np.where(middle)[0][[0, -1]]
    xx, yy = np.meshgrid(x[a:b + 1], y)
    image, classes, m = _sample(view, np.stack([xx, yy, 0 * xx], -1))
    return dict(image=image, classes=classes, x0=float(x[a]), step=LANE_STEP, objects=_placed(view, m, LANE_STEP))
