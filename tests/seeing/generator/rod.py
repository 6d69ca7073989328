"""A random rod: what it is (plain data), before it is drawn. Places s in millimetres from the blank's tip; rolls in degrees."""
import numpy as np

from palette import BLANKS, CERAMICS, FRAMES, colour, pick


def reflectance(rng, name):
    """Of a blank of this finish, linear."""
    kd, jitter, _, _ = BLANKS[name]
    if kd is None:
        return colour(rng)
    return np.clip(np.array(kd) * (1 + 0.35 * jitter * rng.uniform(-1, 1, 3)) * (1 + jitter * rng.uniform(-1, 1)) * rng.uniform(0.85, 1.2), 0, 0.85)


def blank(rng):
    length = rng.uniform(900, 2150)
    tip, butt = rng.uniform(1.2, 2.5) / 2, rng.uniform(7, 15) / 2
    name = pick(rng, BLANKS)
    kd, (low, high) = reflectance(rng, name), BLANKS[name][2]
    curve = rng.uniform(0.75, 1.25)
    s = np.arange(0, length + 10, 10.0)
    radius = tip + (butt - tip) * (s / length) ** curve
    flat = rng.random() < 0.6
    return dict(length=length, finish=name, kd=kd, roughness=rng.uniform(low, high), f0=rng.uniform(0.035, 0.06),
                wound=rng.random() < (0.55 if 'matt' in name else 0.3), s=s, radius=radius, flat=flat,
                height=None if flat else rng.uniform(14, 60), bow=rng.normal(0, 2.5), bow2=rng.normal(0, 1.2), sag=rng.uniform(0, 2.5),
                offset=rng.normal(0, 6), skew=rng.normal(0, 0.006), grip=length * rng.uniform(0.72, 0.86), grip_radius=rng.uniform(10, 15))


def _guide_style(rng, fly):
    frame = pick(rng, FRAMES)
    ceramic = frame if rng.random() < 0.06 else pick(rng, CERAMICS)
    return dict(frame=frame, ceramic=ceramic, plain=rng.random() < 0.06, legs=rng.choice(['v', 'v', 'v', 'one', 'sheet', 'loop']),
                wire=rng.uniform(0.75, 1.3), low=rng.random() < 0.35, rim=rng.uniform(0.25, 0.5), depth=rng.uniform(0.6, 1.15),
                feet=rng.choice(['single', 'mixed', 'mixed', 'double']), fly=fly, snake_form=rng.choice(['arch', 's', 'spiral', 'spiral']),
                hand=rng.choice([-1, 1]))


def ring_sizes(rng, style, outer):
    inner = outer * rng.uniform(0.64, 0.8)
    height = (0.55 + 0.25 * rng.random()) * outer + rng.uniform(0.5, 3.0) + (0 if style['low'] else rng.uniform(0.15, 0.75) * outer)
    lean = rng.uniform(-2, 4) + max(0, (outer - 8)) * rng.uniform(0.2, 1.0)
    return dict(ringOuter=outer, ringInner=inner, height=max(height, outer / 2 + 0.6), lean=min(lean, 24),
                thickness=(1.6 + 0.08 * outer) * style['depth'])


def guides(rng, b, style):
    """Rings or snakes from the tip on; their spacing grows."""
    out, s = [], rng.uniform(45, 110)
    step, growth = rng.uniform(55, 110), rng.uniform(1.03, 1.16)
    small = rng.choice([4.0, 4.5, 5.0, 5.5, 5.5, 5.5, 6.0, 7.0])
    big = small * rng.choice([1.2, 1.6, 2.2, 3, 4, 5])
    end = b['grip'] - rng.uniform(50, 180)
    n_estimate = max(3, int((end - s) / (step * 1.3)))
    common = rng.normal(0, 2.5)
    if rng.random() < 0.12:
        common = rng.uniform(-60, 60) if b['flat'] else rng.uniform(-180, 180)
    spiral = rng.random() < 0.04
    while s < end:
        k = min(1, len(out) / n_estimate)
        outer = small + (big - small) * max(0, (k - 0.35) / 0.65) ** 1.6
        outer = min(30.0, round(outer * 2) / 2)
        roll = common + rng.normal(0, 1.3) + (rng.uniform(-12, 12) if rng.random() < 0.15 else 0) + (k * 170 if spiral else 0)
        snake = style['fly'] and (len(out) < n_estimate - rng.integers(1, 3))
        double = style['feet'] == 'double' or (style['feet'] == 'mixed' and outer > rng.uniform(7, 12))
        g = dict(id=f'G{len(out) + 1}', s=s, roll=roll, foot='double' if double or snake else 'single', toward='butt')
        if not double and rng.random() < 0.12:
            g['toward'] = 'tip'
        if snake:
            length = rng.uniform(11, 26)
            g.update(type='snake', form=style['snake_form'], hand=style['hand'], length=length, height=rng.uniform(2.8, 3.6) + 3.5 * k,
                     wire=rng.uniform(0.6, 1.1), width=rng.uniform(2.5, 5) + 2 * k)
        else:
            g.update(type='ring', **ring_sizes(rng, style, outer))
            g['reach'] = rng.uniform(0.35, 0.75) * outer + rng.uniform(2.5, 5)
            g['footLength'] = rng.uniform(6, 11) + 0.35 * outer
        out.append(g)
        s += step * rng.uniform(0.8, 1.2)
        step *= growth
        if rng.random() < 0.05:
            s += step
    return out


WAX = [(0.85, 0.85, 0.83), (0.75, 0.76, 0.78), (0.75, 0.55, 0.05), (0.55, 0.03, 0.02), (0.02, 0.02, 0.02), (0.05, 0.1, 0.4)]


def marks(rng, b, gs, stage):
    """Wax marks, before the stage's work mostly at the guides' places; each with its ragged band."""
    dark = np.mean(b['kd']) < 0.15
    ink = np.array(WAX[rng.choice(len(WAX), p=[.42, .2, .16, .1, .02, .1] if dark else [.02, .03, .02, .28, .45, .2])])
    out = []
    share = 1.0 if stage == 'marks' else rng.choice([0, 0.3, 0.9])
    for g in gs:
        if rng.random() < share:
            out.append(dict(id=g['id'], s=g['s'] + rng.normal(0, 0.4) + (rng.uniform(-13, 13) if rng.random() < 0.15 else 0)))
    for _ in range(rng.poisson(1.2 if stage == 'marks' else 0.5)):
        out.append(dict(id='', s=rng.uniform(4, b['grip'] - 20)))
    for m in out:
        m.update(width=rng.uniform(0.7, 3.2), kd=ink * rng.uniform(0.8, 1.1), ragged=rng.uniform(0.05, 0.5), cover=rng.uniform(0.55, 1.0),
                 arc=360 if rng.random() < 0.6 else rng.uniform(70, 220), around=rng.normal(0, 40), slant=rng.normal(0, 0.5))
    return out


TAPES = {'masking': ((0.62, 0.47, 0.22), 1.0, 4), 'blue': ((0.03, 0.18, 0.45), 1.0, 2), 'green': ((0.05, 0.3, 0.09), 1.0, 1.2), 'white': ((0.75, 0.75, 0.72), 0.95, 1.5),
         'black': ((0.012, 0.012, 0.013), 1.0, 1.2), 'red': ((0.5, 0.02, 0.02), 1.0, 1), 'clear': ((0.6, 0.6, 0.6), 0.18, 1.2), 'yellow': ((0.7, 0.5, 0.03), 1.0, 0.7),
         'any': (None, 1.0, 1.0), 'band': ((0.5, 0.36, 0.2), 1.0, 1.0), 'tube': ((0.02, 0.02, 0.02), 0.7, 0.7)}


def tape_style(rng):
    name = pick(rng, TAPES)
    kd, cover, _ = TAPES[name]
    kd = colour(rng) if kd is None else np.array(kd) * rng.uniform(0.75, 1.2, 3)
    return dict(name=name, kd=np.clip(kd, 0, 0.85), cover=cover, glossy=name in ('black', 'clear', 'tube') or rng.random() < 0.2,
                width=rng.uniform(2, 4) if name == 'band' else rng.uniform(4, 13), thickness=rng.uniform(0.1, 0.3))


def thread_style(rng):
    kd = colour(rng, (0.1, 1), (0.03, 0.85)) if rng.random() < 0.75 else np.array(rng.choice([0.01, 0.02, 0.6, 0.75])) * np.ones(3)
    return dict(kd=kd, metallic=rng.random() < 0.15, glossy=rng.random() < 0.4, period=rng.uniform(0.13, 0.32),
                trim=colour(rng, (0.5, 1), (0.3, 0.9)) if rng.random() < 0.5 else None, trim_metallic=rng.random() < 0.5)


def random_rod(rng):
    b = blank(rng)
    stage = rng.choice(['marks', 'rings', 'wrapped'], p=[0.13, 0.5, 0.37])
    style = _guide_style(rng, rng.random() < 0.2)
    gs = guides(rng, b, style)
    ms = marks(rng, b, gs, stage)
    tip_top = None
    if rng.random() < 0.35:
        outer = rng.uniform(3.5, 7)
        tip_top = dict(ringOuter=outer, ringInner=outer * rng.uniform(0.6, 0.78), tubeLength=rng.uniform(5, 11), home=rng.uniform(0.3, 0.7),
                       roll=(gs[0]['roll'] if gs else 0) + rng.normal(0, 2), lean=rng.uniform(-10, 8), thickness=rng.uniform(0.9, 1.6), loop=style['fly'])
    rod = dict(blank=b, stage=str(stage), style=style, guides=[] if stage == 'marks' else gs, planned=gs, marks=ms, tipTop=tip_top,
               tapes=[tape_style(rng) for _ in range(1 + (rng.random() < 0.2))], thread=thread_style(rng), seatRoll=float(np.median([g['roll'] for g in gs]) if gs else 0))
    rod['tipWrap'] = rng.random() < 0.2 and not tip_top
    rod['hookKeeper'] = rng.random() < 0.35
    rod['spine'] = rng.random() < 0.35
    rod['lettering'] = rng.random() < 0.4
    rod['extraBands'] = int(rng.poisson(0.8))
    return rod
