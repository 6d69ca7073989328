"""Keeps a picture of every held-out rod, small, with its truth: what `npm run seeing` judges by.

    held_out.py SHARDS FOLDER --megabytes N

One strip a rod (the first) and one lane for every fourth; pictures as WebP, classes at the network's stride as PNG (value = class,
255 unknown), truth in strips.json and lanes.json: places and radii in samples.
"""
import argparse
import json
from pathlib import Path

import cv2

from network import RECIPES
from store import read_shard

KEPT = ('rod', 'seed', 'view', 's0', 'x0', 'step', 'light', 'stage', 'blank')


def write(shards, folder, kind, every, quality, room):
    """Writes until `room` bytes are used; returns the entries and the bytes written."""
    recipe, entries, used, rods = RECIPES[kind], [], 0, {}
    for path in sorted(shards.glob('*.npz')):
        for entry, picture, classes in read_shard(path, kind, recipe):
            if entry['rod'] in rods or picture.shape[1] < 256:
                continue
            rods[entry['rod']] = True
            if (len(rods) - 1) % every:
                continue
            name = f'{kind}-{entry["rod"]}'
            half = recipe.stride // 2
            ok, webp = cv2.imencode('.webp', picture, [cv2.IMWRITE_WEBP_QUALITY, quality])
            ok_classes, png = cv2.imencode('.png', classes[half :: recipe.stride, half :: recipe.stride])
            if not (ok and ok_classes):
                raise RuntimeError(f'{name} could not be coded')
            if used + len(webp) + len(png) > room:
                return entries, used
            (folder / f'{name}.webp').write_bytes(webp.tobytes())
            (folder / f'{name}.png').write_bytes(png.tobytes())
            used += len(webp) + len(png)
            things = [{key: round(value, 2) if isinstance(value, float) else value for key, value in thing.items()} for thing in entry['things']]
            entries.append({'name': name, 'columns': picture.shape[1], **{k: entry[k] for k in KEPT if k in entry}, 'things': things})
    return entries, used


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument('shards', type=Path)
    parser.add_argument('folder', type=Path)
    parser.add_argument('--megabytes', type=float, default=14.5)
    parser.add_argument('--quality', type=int, default=80)
    options = parser.parse_args()
    options.folder.mkdir(parents=True, exist_ok=True)
    room = options.megabytes * 1e6
    lanes, used = write(options.shards, options.folder, 'lane', 4, options.quality, room / 4)
    strips, more = write(options.shards, options.folder, 'strip', 1, options.quality, room - used)
    for name, entries in (('strips', strips), ('lanes', lanes)):
        (options.folder / f'{name}.json').write_text('[\n' + ',\n'.join(json.dumps(entry) for entry in entries) + '\n]\n')
    print(f'{len(strips)} strips, {len(lanes)} lanes, {(used + more) / 1e6:.1f} MB', flush=True)


if __name__ == '__main__':
    main()
