"""The blank's surface as a picture over (roll, s): colour (stored as its square root) and roughness, and what is wax on it."""
import cv2
import numpy as np

STEP, ROWS = 0.2, 96
WAX, BLANK = 7, 0


def _noise(rng, shape, cells):
    small = rng.random((max(2, int(shape[0] / cells[0])), max(2, int(shape[1] / cells[1])))).astype(np.float32)
    return cv2.resize(small, (shape[1], shape[0]), interpolation=cv2.INTER_CUBIC)


def _paint(kd, rough, mask, colour, roughness):
    kd *= 1 - mask[..., None]
    kd += mask[..., None] * np.asarray(colour, np.float32)
    rough *= 1 - mask
    rough += mask * roughness


def _wax_band(rng, s, roll, m):
    """0..1 over (roll, s): one pass of a wax pencil across the blank, ragged at its edges."""
    half = m['width'] / 2
    lo = max(0, int((m['s'] - half - 3 - s[0]) / STEP))
    hi = min(len(s), int((m['s'] + half + 3 - s[0]) / STEP))
    if hi - lo < 3:
        return None
    rel = s[lo:hi][None] - m['s'] - m['slant'] * np.sin(np.radians(roll - m['around']))[:, None]
    edge = m['ragged'] * (_noise(rng, (ROWS, hi - lo), (3, 2)) * 2 - 1) * 1.6
    mask = np.clip((half - np.abs(rel) + edge) / 0.2 + 0.5, 0, 1)
    gaps = _noise(rng, (ROWS, hi - lo), (2, 2))
    mask *= np.clip((m['cover'] * 1.25 - gaps) / 0.15, 0, 1)
    if m['arc'] < 360:
        away = np.abs((roll - m['around'] + 180) % 360 - 180)
        mask *= np.clip((m['arc'] / 2 - away) / 12 + 0.5, 0, 1)[:, None]
    return lo, hi, mask.astype(np.float32)


def _lettering(rng, kd, rough, cls, s, b):
    """A maker's or builder's writing lengthwise, and numbers beside marks; words that mean nothing."""
    text = ''.join(rng.choice(list('ABCDEFGHKLMNRSTUVXZ 0123456789-'), rng.integers(6, 22)))
    canvas = np.zeros((ROWS, 900), np.uint8)
    at = rng.uniform(b['grip'] - 400, b['grip'] - 120)
    r = float(np.interp(at, b['s'], b['radius']))
    row = 2 * np.pi * r / ROWS                      # mm a row
    height = rng.uniform(1.6, 4.0)
    scale = height / row / 22
    cv2.putText(canvas, text, (5, ROWS // 2), int(rng.integers(0, 5)), 1.0, 255, 2, cv2.LINE_AA)
    w = int(900 * (height / 22) / STEP)
    h = int(ROWS * scale)
    if h < 6 or h > 4000:
        return
    small = cv2.resize(canvas, (w, h), interpolation=cv2.INTER_AREA)
    if rng.random() < 0.5:
        small = small[::-1, ::-1]
    mask = np.zeros((ROWS, w), np.float32)
    n = min(h, ROWS)
    mask[(ROWS - n) // 2:(ROWS - n) // 2 + n] = small[(h - n) // 2:(h - n) // 2 + n] / 255.0
    mask = np.roll(mask, int(rng.integers(ROWS)), axis=0)
    lo = int((at - s[0]) / STEP)
    hi = min(lo + w, kd.shape[1])
    ink = np.array([[0.8, 0.8, 0.78], [0.6, 0.42, 0.1], [0.02, 0.02, 0.02], [0.4, 0.02, 0.02]][rng.integers(4)])
    a, c = kd[:, lo:hi], rough[:, lo:hi]
    _paint(a, c, mask[:, :hi - lo], ink, 0.3)
    cls[:, lo:hi][mask[:, :hi - lo] > 0.5] = BLANK


def blank_skin(rng, rod):
    """(uint8 rows x n x 4, uint8 class rows x n, s of the first column, step)"""
    b = rod['blank']
    s = np.arange(-2, b['length'] + 4, STEP)
    n = len(s)
    roll = (np.arange(ROWS) + 0.5) * 360 / ROWS
    kd = np.broadcast_to(np.asarray(b['kd'], np.float32), (ROWS, n, 3)).copy()
    rough = np.full((ROWS, n), b['roughness'], np.float32)
    cls = np.zeros((ROWS, n), np.uint8)
    kd *= (1 + rng.uniform(0.02, 0.25) * (_noise(rng, (ROWS, n), (20, 60)) - 0.5))[..., None]
    if rng.random() < 0.35:                         # clear lacquer over wound cloth: a colour that winds
        pitch = rng.uniform(3, 14)
        wind = 0.5 + 0.5 * np.sin(2 * np.pi * (s[None] / pitch - roll[:, None] / 360) + rng.uniform(0, 3))
        kd *= (1 - rng.uniform(0.05, 0.5) * wind ** rng.uniform(0.5, 4))[..., None]
    rough += rng.uniform(0, 0.12) * (_noise(rng, (ROWS, n), (8, 30)) - 0.5)
    for _ in range(rng.poisson(2)):                 # scuffs and dust
        lo = rng.integers(0, n - 200)
        spot = (np.clip(_noise(rng, (ROWS, 200), (5, 12)) - 0.7, 0, 1) * rng.uniform(0.2, 1.2) * np.sin(np.linspace(0, np.pi, 200))).astype(np.float32)
        _paint(kd[:, lo:lo + 200], rough[:, lo:lo + 200], spot, rng.uniform(0.05, 0.6) * np.ones(3), 0.6)
    if rng.random() < 0.15:                         # painted butt part or rings of paint
        at = int((rng.uniform(0.4, 0.8) * b['length'] - s[0]) / STEP)
        kd[:, at:] = np.clip(rng.uniform(0, 0.6, 3), 0, 1)
    if rod['lettering']:
        _lettering(rng, kd, rough, cls, s, b)
    if rod['spine']:
        f = rod['spineLine'] = dict(s=[float(x) for x in np.sort(rng.uniform(40, b['grip'] - 10, 2))], width=float(rng.uniform(0.6, 1.6)),
                                    roll=float(rod['seatRoll'] + rng.normal(0, 3) if rng.random() < 0.6 else rng.uniform(-180, 180)))
        if rng.random() < 0.5:
            f['s'] = [b['grip'] - float(rng.uniform(60, 110)), b['grip'] - 2.0]
        f['s'][1] = min(f['s'][1], f['s'][0] + 260)
        ink = rod['marks'][0]['kd'] if rod['marks'] else (np.array([0.8, 0.8, 0.8]) if np.mean(b['kd']) < 0.2 else np.array([0.03, 0.03, 0.03]))
        lo, hi = int((f['s'][0] - s[0]) / STEP), int((f['s'][1] - s[0]) / STEP)
        r = np.interp(s[lo:hi], b['s'], b['radius'])[None]
        away = np.abs((roll - f['roll'] + 180) % 360 - 180)[:, None] * np.pi / 180 * r
        mask = np.clip((f['width'] / 2 - away + 0.25 * (_noise(rng, (ROWS, hi - lo), (2, 6)) - 0.5)) / 0.15 + 0.5, 0, 1)
        mask *= np.clip((1.2 - _noise(rng, (ROWS, hi - lo), (2, 5))) / 0.3, 0, 1)
        _paint(kd[:, lo:hi], rough[:, lo:hi], mask, ink, 0.6)
        cls[:, lo:hi][mask > 0.4] = WAX
    for m in rod['marks']:
        band = _wax_band(rng, s, roll, m)
        if band is None:
            continue
        lo, hi, mask = band
        _paint(kd[:, lo:hi], rough[:, lo:hi], mask, m['kd'], 0.65)
        cls[:, lo:hi][mask > 0.4] = WAX
    out = np.empty((ROWS, n, 4), np.uint8)
    out[..., :3] = np.sqrt(np.clip(kd, 0, 1)) * 255 + 0.5
    out[..., 3] = np.clip(rough, 0.03, 0.95) * 255
    return out, cls, s[0], STEP
