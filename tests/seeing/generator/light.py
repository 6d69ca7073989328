"""Light for a scene: a panorama or a procedural sky, the sun, windows and lamps."""
from pathlib import Path

import cv2
import numpy as np

PANORAMAS = Path(__file__).parent / 'panoramas'
W, H = 256, 128


def _directions():
    lat = (np.arange(H) + 0.5) / H * np.pi
    lon = (np.arange(W) + 0.5) / W * 2 * np.pi
    return np.stack([np.sin(lat)[:, None] * np.cos(lon), np.sin(lat)[:, None] * np.sin(lon), np.repeat(np.cos(lat)[:, None], W, 1)], -1)


def panorama(name):
    a = np.load(PANORAMAS / f'{name}.npz')
    im = a['mantissa'].astype(np.float32) / 255 * 2.0 ** a['exponent'].astype(np.float32)[..., None]
    return cv2.resize(im, (W, H), interpolation=cv2.INTER_AREA)


def irradiance(env):
    """On a level sheet, white light's luminance."""
    d = _directions()
    solid = 2 * np.pi / W * np.abs(np.diff(np.cos(np.arange(H + 1) * np.pi / H)))
    return float((env @ [0.2126, 0.7152, 0.0722] * np.clip(d[..., 2], 0, 1) * solid[:, None]).sum())


def warmth(kelvin):
    """Approximate colour of a black body, luminance 1 (fit after Tanner Helland, from memory)."""
    t = kelvin / 100
    r = 1 if t <= 66 else min(1, 1.293 * (t - 60) ** -0.1332)
    g = np.clip(0.3901 * np.log(t) - 0.6318 if t <= 66 else 1.1299 * (t - 60) ** -0.0755, 0, 1)
    b = 1 if t >= 66 else (0 if t <= 19 else np.clip(0.5432 * np.log(t - 10) - 1.1963, 0, 1))
    c = np.array([r, g, b]) ** 2.2
    return c / (c @ [0.2126, 0.7152, 0.0722])


def _sky(rng):
    d = _directions()
    top, low = warmth(rng.uniform(6500, 13000)), warmth(rng.uniform(4500, 8000))
    k = np.clip(d[..., 2:], 0, 1) ** 0.5
    env = low * (1 - k) + top * k * rng.uniform(0.5, 1.2)
    floor = rng.uniform(0.02, 0.3, 3)
    return np.where(d[..., 2:] < 0, floor, env).astype(np.float32)


def _room(rng):
    d = _directions()
    ceiling, wall, floor = rng.uniform(0.3, 1.0) * warmth(rng.uniform(3500, 7000)), rng.uniform(0.05, 0.7) * warmth(rng.uniform(3500, 7000)), rng.uniform(0.03, 0.3)
    k = np.clip((d[..., 2:] - 0.5) * 6, 0, 1)
    env = wall * (1 - k) + ceiling * k
    lon = np.arctan2(d[..., 1], d[..., 0])
    for _ in range(rng.integers(1, 6)):       # furniture, pictures, people: dark and light patches on the walls
        a, w = rng.uniform(-np.pi, np.pi), rng.uniform(0.1, 0.7)
        inside = (np.abs((lon - a + np.pi) % (2 * np.pi) - np.pi) < w) & (d[..., 2] < rng.uniform(0.1, 0.6))
        env[inside] *= rng.uniform(0.05, 2.2, 3) * 0.6 + 0.2
    return np.where(d[..., 2:] < -0.05, floor, env).astype(np.float32)


def _rectangle(rng, centre, half_w, half_h, power_colour, disc=False, target=(0, 0, 0)):
    centre = np.asarray(centre, float)
    n = np.asarray(target, float) - centre
    n /= np.linalg.norm(n)
    u = np.cross([0, 0, 1], n)
    u = u / max(np.linalg.norm(u), 1e-6) if np.linalg.norm(u) > 1e-3 else np.array([1.0, 0, 0])
    v = np.cross(n, u)
    u, v = u * half_w, v * half_h
    area = (np.pi if disc else 4) * half_w * half_h
    to = np.asarray(target, float) - centre
    cos = abs(to[2]) / np.linalg.norm(to)
    radiance = np.asarray(power_colour) * (to @ to) / (area * max(cos, 0.1))   # irradiance asked for on the mat at the target
    return [1.0 if disc else 0.0, *centre, *u, *v, *radiance, 0, 0, 0]


KINDS = {'sun': 0.36, 'sun indoors': 0.08, 'window': 0.18, 'lamp': 0.12, 'lamps': 0.1, 'overcast': 0.1, 'mixed': 0.06}


def random_light(rng, length, kind=None):
    """env (H, W, 3), its rotation, sun (direction, irradiance RGB, cos of half angle), area lights (n, 16), level irradiance, kind."""
    kind = kind or rng.choice(list(KINDS), p=list(KINDS.values()))
    names = {'sun': ['courtyard', 'forest', 'city', 'sunrise', 'sunset', 'sky', 'sky', 'sky'], 'overcast': ['courtyard', 'city', 'sky', 'sky', 'studio']}
    name = rng.choice(names.get(kind, ['interior', 'studio', 'night', 'courtyard', 'room', 'room', 'room']))
    env = _sky(rng) if name == 'sky' else _room(rng) if name == 'room' else panorama(name)
    mean = float(np.average(env @ [0.2126, 0.7152, 0.0722]))
    env = np.minimum(env, 14 * mean)                       # what shines brighter comes back as a light of its own
    soft = 1.0 if kind in ('overcast',) else rng.uniform(0.15, 0.6) if kind == 'mixed' else 10 ** rng.uniform(-0.9, -0.25)
    if kind == 'sun':
        soft = 10 ** rng.uniform(-1.05, -0.35)
    env = env * (soft / max(irradiance(env), 1e-6))
    sun, lights = (np.array([0, 0, 1.0]), np.zeros(3), 1.0), []
    mid = np.array([length * rng.uniform(0.2, 0.8), 0, 0])
    if kind.startswith('sun') or (kind == 'mixed' and rng.random() < 0.5):
        elevation, azimuth = np.radians(rng.uniform(15, 75)), rng.uniform(0, 2 * np.pi)
        d = np.array([np.cos(elevation) * np.cos(azimuth), np.cos(elevation) * np.sin(azimuth), np.sin(elevation)])
        half = np.radians(rng.uniform(0.26, 0.32) if rng.random() < 0.8 else rng.uniform(0.4, 1.5))
        sun = (d, (1 - soft) / np.sin(elevation) * warmth(4200 + 1500 * np.sin(elevation)), np.cos(half))
    else:
        n = {'window': 1, 'lamp': 1, 'lamps': rng.integers(2, 4), 'overcast': 0, 'mixed': 2}[kind]
        parts = rng.dirichlet(np.ones(n)) * (1 - soft) if n else []
        for part in parts:
            a = rng.uniform(0, 2 * np.pi)
            if kind == 'window' or (kind == 'mixed' and rng.random() < 0.5):
                far = rng.uniform(700, 3000)
                c = mid + [far * np.cos(a), far * np.sin(a), rng.uniform(500, 1700)]
                lights.append(_rectangle(rng, c, rng.uniform(300, 900), rng.uniform(400, 1000), part * warmth(rng.uniform(5000, 9000)), target=mid))
            else:
                c = mid + [rng.uniform(-900, 900), rng.choice([-1, 1]) * rng.uniform(150, 900), rng.uniform(350, 1800)]
                size = 10 ** rng.uniform(1.1, 2.3)
                tube = rng.random() < 0.25
                lights.append(_rectangle(rng, c, size * (6 if tube else 1), size, part * warmth(rng.choice([2700, 3000, 4000, 5500, 6500])), not tube, mid))
    return dict(env=env, rotation=rng.uniform(0, 2 * np.pi), sun=sun, lights=lights, kind=str(kind), panorama=str(name))
