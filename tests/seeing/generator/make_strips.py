"""Makes training pictures: strips and lanes of many rods, written as shards while it runs.

    make_strips.py OUT --first ROD --count RODS [--views V] [--seconds S] [--gigabytes GB] [--workers W] [--gpus G] [--paths P] [--kinds strip lane] [--sheets N]

Rods are numbered; rod n is the same on every machine of one build, and no view of it appears under another number. Stops after RODS rods or S seconds,
or --gigabytes of shards, whichever comes first. A shard (OUT/shard-WORKER-N.npz, moved into place when whole) holds
`index`: a JSON list, one entry a picture: kind 'strip' or 'lane', rod, view, seed, s0 or x0, step, light, stage, blank, photo 'walk' or 'one',
objects, bands, marks; and `picture_K` (BGR uint8, rows x columns x 3) and `classes_K` (uint8, 255 = not in the photo).
Contact sheets (OUT/sheet-*.png) show what was made.
"""
import json

import cv2
import numpy as np

from many_rods import arguments, make_all

COLOURS = np.array([[255, 255, 255], [60, 60, 60], [200, 200, 150], [120, 120, 255], [40, 80, 160], [60, 200, 230], [230, 80, 200], [0, 255, 255], [255, 160, 60],
                    [0, 0, 255], [0, 180, 0], [0, 220, 120], [160, 160, 160], [100, 100, 100]] + [[0, 0, 0]] * 242, np.uint8)
KEPT = ('light', 'stage', 'blank')


def pictures_of(rod, views, paths, device, kinds=('strip', 'lane')):
    """Strip and lane pictures of one rod: (entry, picture, classes)."""
    import view as v
    from scene import build_scene
    scene = build_scene(rod, device=device)
    out = []
    try:
        for n in range(views):
            rng = np.random.default_rng([rod, n, 31])
            kind = 'one' if rng.random() < 0.35 else 'walk'
            shot = v.photograph(scene, rod * 64 + n, kind, paths, max(4, paths // 2))
            if shot is None:
                continue
            entry = dict(rod=rod, view=n, seed=rod * 64 + n, photo=kind, **{k: shot[k] for k in KEPT})
            s = v.strip(shot, rng) if 'strip' in kinds else None
            if s:
                out.append((dict(entry, kind='strip', s0=s['s0'], step=s['step'], objects=s['objects'], bands=s['bands'], marks=s['marks']), s['image'], s['classes']))
            lane = v.lane(shot) if 'lane' in kinds else None
            if lane:
                out.append((dict(entry, kind='lane', x0=lane['x0'], step=lane['step'], objects=lane['objects']), lane['image'], lane['classes']))
    finally:
        scene['traced'].free()
    return out


def write_shard(folder, worker, number, pictures):
    arrays = {'index': np.array(json.dumps([p[0] for p in pictures]))}
    for k, (_, image, classes) in enumerate(pictures):
        arrays[f'picture_{k}'], arrays[f'classes_{k}'] = image, classes
    part = folder / f'shard-{worker:02d}-{number:04d}.part'
    with open(part, 'wb') as f:
        np.savez_compressed(f, **arrays)
    size = part.stat().st_size
    part.rename(part.with_suffix('.npz'))
    return size


def write_sheet(folder, name, pictures, width=2200):
    rows = []
    for entry, image, classes in [p for p in pictures if p[0]['kind'] == 'strip'][:8]:
        shown = COLOURS[classes]
        for o in entry['objects']:
            if o['inPhoto']:
                cv2.circle(shown, (int(round(o['x'])), int(round(o['y']))), int(o['r']) + 2, (0, 0, 0), 1)
        both = np.vstack([image[60:260], shown[100:220]])[:, :width]
        both = cv2.copyMakeBorder(both, 0, 3, 0, width - both.shape[1], cv2.BORDER_CONSTANT)
        cv2.putText(both, f"{entry['rod']} {entry['photo']} {entry['light']} {entry['blank']} {entry['stage']}", (6, 14), 0, 0.45, (0, 0, 255), 1)
        rows.append(both)
    if rows:
        cv2.imwrite(str(folder / name), np.vstack(rows))


def made_of(rod, options, device):
    return pictures_of(rod, options.views, options.paths, device, options.kinds)


def keep(options, worker, number, pictures):
    """Writes a shard, and the first ones' contact sheets; returns its bytes."""
    if number == 0 and worker < options.sheets:
        write_sheet(options.out, f'sheet-{worker:02d}.png', pictures)
    return write_shard(options.out, worker, number, pictures)


def main():
    parser = arguments(__doc__, views=2, paths=14, shard=24)
    parser.add_argument('--kinds', nargs='+', default=('strip', 'lane'), help='of picture')
    parser.add_argument('--sheets', type=int, default=8)
    options = parser.parse_args()
    make_all(options, made_of, keep)


if __name__ == '__main__':
    main()
