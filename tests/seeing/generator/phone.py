"""From linear light to what a phone saves: lens, sensor, smoothing, sharpening, tone, JPEG."""
import cv2
import numpy as np


def random_phone(rng):
    sharp = rng.choice([0, rng.uniform(0.2, 0.7), rng.uniform(0.7, 1.8)], p=[0.25, 0.45, 0.3])
    return dict(exposure=rng.uniform(0.65, 1.02) if rng.random() < 0.9 else rng.uniform(0.4, 1.35), white=rng.normal(0, 0.05, 2), keep_cast=rng.random() * 0.7,
                blur=abs(rng.normal(0, 0.4)) + 0.35, motion=rng.exponential(0.9) if rng.random() < 0.15 else 0, motion_at=rng.uniform(0, 180),
                vignette=rng.uniform(0, 0.35), veil=rng.exponential(0.015), glare=rng.exponential(0.02), aberration=rng.normal(0, 2.5e-4, 2),
                noise=10 ** rng.uniform(-2.9, -1.75), grain=rng.uniform(0.3, 1.1), smooth=rng.choice([0, rng.uniform(0.3, 1)], p=[0.45, 0.55]), chroma=rng.uniform(0, 4),
                sharpen=sharp, sharpen_radius=rng.uniform(0.6, 1.8), local=rng.choice([0, rng.uniform(0.05, 0.4)]), contrast=rng.uniform(-0.1, 0.55),
                saturation=rng.uniform(0.7, 1.35), shoulder=rng.uniform(0, 0.6), jpeg=int(rng.integers(60, 96)), monochrome=rng.random() < 0.01)


def gentle_phone(rng):
    """For whole sets that must be measurable: the milder half of what phones do."""
    p = random_phone(rng)
    p.update(exposure=rng.uniform(0.75, 0.95), blur=rng.uniform(0.45, 0.8), motion=0, veil=min(p['veil'], 0.02), noise=10 ** rng.uniform(-2.9, -2.1),
             sharpen=min(p['sharpen'], 1.0), jpeg=int(rng.integers(72, 95)), smooth=min(p['smooth'], 0.5), monochrome=False)
    return p


def _blur(im, sigma):
    return cv2.GaussianBlur(im, (0, 0), sigma) if sigma > 0.15 else im


def meter(rgb, inside):
    """What the phone takes for white: the bright paper's level and its colour."""
    y = rgb @ np.array([0.2126, 0.7152, 0.0722], np.float32)
    level = np.percentile(y[inside][::7], 88)
    near = inside & (y > 0.7 * level) & (y < 1.1 * level)
    colour = rgb[near].mean(0) if near.any() else np.ones(3)
    return max(float(level), 1e-6), colour / max(colour.mean(), 1e-9)


def expose(rgb, inside, phone, rng, centre, width, metered=None):
    """uint8 BGR as saved. centre, width: the photo's principal point in this crop and the whole photo's width, px."""
    level, cast = metered or meter(rgb, inside)
    h, w = rgb.shape[:2]
    im = rgb.copy()
    im[~inside] = rgb[inside].mean(0) if inside.any() else 0.5
    yy, xx = np.mgrid[:h, :w].astype(np.float32)
    dx, dy = (xx - centre[0]) / width, (yy - centre[1]) / width
    if np.abs(phone['aberration']).max() > 2e-5:
        for c, k in ((0, phone['aberration'][0]), (2, phone['aberration'][1])):
            k = np.float32(width * k)  # numpy 2 would make the map double, which remap does not take
            im[..., c] = cv2.remap(im[..., c], (xx + dx * k).astype(np.float32), (yy + dy * k).astype(np.float32), cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    im = _blur(im, phone['blur'])
    if phone['motion'] > 0.4:
        n = int(phone['motion'] * 2) * 2 + 3
        k = np.zeros((n, n), np.float32)
        a = np.radians(phone['motion_at'])
        d = np.array([np.cos(a), np.sin(a)]) * phone['motion'] / 2
        cv2.line(k, tuple(int(v) for v in np.round((n // 2 - d) * 16)), tuple(int(v) for v in np.round((n // 2 + d) * 16)), 1.0, 1, cv2.LINE_AA, 4)
        im = cv2.filter2D(im, -1, k / max(k.sum(), 1e-6))
    if phone['glare'] > 0.004:
        small = cv2.resize(im, (max(4, w // 16), max(4, h // 16)), interpolation=cv2.INTER_AREA)
        im = im * (1 - phone['glare']) + phone['glare'] * cv2.resize(_blur(small, 5), (w, h), interpolation=cv2.INTER_LINEAR)
    im = im * (phone['exposure'] * 0.82 / level)
    white = 1 / (cast ** (1 - phone['keep_cast'])) * np.array([1 + phone['white'][0], 1, 1 + phone['white'][1]])
    im = im * white.astype(np.float32)
    im *= (1 - phone['vignette'] * np.minimum(1, 4 * (dx * dx + dy * dy)))[..., None]
    im = im + phone['veil']
    sigma = phone['noise']
    n = rng.standard_normal(im.shape, dtype=np.float32)
    n = _blur(n, 0.45 * phone['grain']) * (1 + 1.2 * phone['grain'])
    im = im + n * (np.sqrt(np.maximum(im, 0) * sigma * sigma * 1.0) + 0.35 * sigma)
    im = np.clip(im, 0, None)
    k = phone['shoulder']
    im = np.where(im < 0.7, im, 0.7 + (1 - np.exp(-(im - 0.7) / 0.3 * (1 + 0.0 * k))) * 0.3 * k + (1 - k) * (im - 0.7))
    im = np.clip(im, 0, 1).astype(np.float32)
    im = np.where(im <= 0.0031308, 12.92 * im, 1.055 * im ** (1 / 2.4) - 0.055).astype(np.float32)
    if phone['contrast']:
        im = im + phone['contrast'] * (im * im * (3 - 2 * im) - im)
    ycc = cv2.cvtColor(np.clip(im, 0, 1), cv2.COLOR_RGB2YCrCb)
    y = ycc[..., 0]
    if phone['smooth']:
        y = (1 - phone['smooth']) * y + phone['smooth'] * cv2.bilateralFilter(y, 5, 0.04 + 4 * sigma, 2.0)
    if phone['chroma'] > 0.4:
        for c in (1, 2):
            ycc[..., c] = _blur(ycc[..., c], phone['chroma'] * 0.6)
    if phone['local']:
        small = cv2.resize(y, (max(4, w // 8), max(4, h // 8)), interpolation=cv2.INTER_AREA)
        y = y + phone['local'] * (y - cv2.resize(_blur(small, 5), (w, h), interpolation=cv2.INTER_LINEAR))
    if phone['sharpen']:
        y = y + phone['sharpen'] * (y - _blur(y, phone['sharpen_radius']))
    ycc[..., 0] = y
    ycc[..., 1:] = 0.5 + (ycc[..., 1:] - 0.5) * (0 if phone['monochrome'] else phone['saturation'])
    bgr = cv2.cvtColor(np.clip(ycc, 0, 1), cv2.COLOR_YCrCb2BGR)
    return np.clip(bgr * 255 + 0.5, 0, 255).astype(np.uint8)


def saved(bgr, phone):
    """Through JPEG, as read back."""
    ok, data = cv2.imencode('.jpg', bgr, [cv2.IMWRITE_JPEG_QUALITY, phone['jpeg']])
    return cv2.imdecode(data, cv2.IMREAD_COLOR)
