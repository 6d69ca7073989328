"""A rod with a plan: what was meant, what really sits on it, and the faults between the two. For whole photo sets."""
import numpy as np

from light import random_light

HALF = lambda v: round(float(v) * 2) / 2


def _plan_guide(g):
    if g['type'] == 'snake':
        return dict(type='snake', length=round(g['length'], 1), height=round(g['height'], 1), wire=round(g['wire'], 2))
    plan = dict(ringOuter=g['ringOuter'], ringInner=round(g['ringInner'], 1), height=round(g['height'], 1), lean=int(round(g['lean'])), foot=g['foot'])
    if g['foot'] == 'single' and g['toward'] == 'tip':
        plan['footToward'] = 'tip'
    return plan


def with_plan(rng, stage, faulty=True):
    """A change for scene.build_scene: nominal places, small errors, a few faults. The rod then carries plan, faults and reference."""
    def change(rod):
        b = rod['blank']
        b['length'] = float(round(min(b['length'], 1700)))
        b['grip'] = min(b['grip'], 0.8 * b['length'])
        b['sag'] = min(b['sag'], 0.8)
        b['s'] = np.arange(0, b['length'] + 10, 10.0)
        b['radius'] = np.interp(np.linspace(0, 1, len(b['s'])), np.linspace(0, 1, len(b['radius'])), b['radius'])
        rod['stage'], rod['waved'] = stage, float(rng.uniform(0, 0.25)) if rng.random() < 0.4 else 0.0
        common = float(np.clip(np.median([g['roll'] for g in rod['planned']]), -10, 10))
        gs, plan, faults = [], [], []
        for g in rod['planned']:
            if g['s'] > b['grip'] - 30:
                continue
            g = dict(g, roll=common + rng.normal(0, 0.5))
            at = HALF(g['s'])
            plan.append(dict(id=g['id'], kind='guide', at=at, guide=_plan_guide(g)))
            g['s'] = at + float(np.clip(rng.normal(0, 0.3), -0.9, 0.9))
            gs.append(g)
        kinds = ['ring-offset', 'ring-roll', 'missing-guide', 'reversed', 'extra-guide'] if stage != 'marks' else ['mark-offset', 'missing-mark', 'extra-mark']
        ms = []
        ink, width = (rod['marks'][0]['kd'] if rod['marks'] else np.full(3, 0.8 if np.mean(b['kd']) < 0.15 else 0.03)), rng.uniform(1.0, 2.0)
        mark = lambda name, s: dict(id=name, s=float(s), width=float(width * rng.uniform(0.85, 1.15)), kd=ink, ragged=rng.uniform(0.05, 0.25), cover=rng.uniform(0.8, 1),
                                    arc=360, around=0.0, slant=rng.normal(0, 0.2))
        if stage == 'marks' or rng.random() < 0.5:
            ms = [mark(p['id'], p['at'] + np.clip(rng.normal(0, 0.25), -0.8, 0.8)) for p in plan]
        for _ in range(rng.integers(0, 4) if faulty else 0):
            kind, n = str(rng.choice(kinds)), int(rng.integers(len(plan)))
            if any(f.get('id') == plan[n]['id'] for f in faults):
                continue
            g = gs[n]
            if kind == 'ring-offset':
                ds = float(rng.choice([-1, 1]) * rng.uniform(2.2, 8))
                g['s'] = plan[n]['at'] + ds
                faults.append(dict(type=kind, id=g['id'], ds=round(ds, 2)))
            elif kind == 'ring-roll':
                d = float(rng.choice([-1, 1]) * rng.uniform(4, 8))
                g['roll'] = common + d
                faults.append(dict(type=kind, id=g['id'], dphi=round(d, 2)))
            elif kind == 'reversed' and g['foot'] == 'single':
                g['toward'] = 'tip' if g['toward'] == 'butt' else 'butt'
                faults.append(dict(type=kind, id=g['id']))
            elif kind == 'missing-guide' and len(gs) > 3 and not any(f['type'] == kind for f in faults):
                g['gone'] = True
                faults.append(dict(type=kind, id=g['id']))
            elif kind == 'extra-guide' and n and not any(f['type'] == kind for f in faults):
                extra = dict(gs[n], id='X1', s=(gs[n]['s'] + gs[n - 1]['s']) / 2)
                gs.append(extra)
                faults.append(dict(type=kind, id='X1', s=round(extra['s'], 3)))
            elif kind == 'mark-offset':
                ds = float(rng.choice([-12.7, 12.7, 10, -10, rng.uniform(2.5, 6)]))
                ms[n]['s'] = plan[n]['at'] + ds
                faults.append(dict(type=kind, id=plan[n]['id'], ds=ds))
            elif kind == 'missing-mark':
                ms[n]['gone'] = True
                faults.append(dict(type=kind, id=plan[n]['id']))
            elif kind == 'extra-mark' and n and not any(f['type'] == kind for f in faults):
                ms.append(mark('X1', (plan[n]['at'] + plan[n - 1]['at']) / 2))
                faults.append(dict(type=kind, id='X1', s=round(ms[-1]['s'], 3)))
        rod['planned'] = gs
        rod['guides'] = [] if stage == 'marks' else sorted((g for g in gs if not g.get('gone')), key=lambda g: g['s'])
        rod['marks'] = [m for m in ms if not m.get('gone')]
        rod.update(plan=plan, faults=faults, common=common, seatRoll=common, extraBands=0, lettering=rng.random() < 0.3, tipWrap=False, spine=False)
        rod['card'] = rng.random() < 0.4
        if stage == 'marks' or rng.random() < 0.6:
            rod['tipTop'] = None
        if rod['tipTop']:
            rod['tipTop']['roll'] = common + rng.normal(0, 1)
        rod['light'] = random_light(rng, b['length'])
    return change
