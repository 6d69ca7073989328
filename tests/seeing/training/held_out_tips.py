"""Keeps one strip of each held-out rod's tip end, with its truth: what `npm run seeing` judges the tip network by.

    held_out_tips.py SHARDS FOLDER

FOLDER gets tips.webp, the strips one under the other, and tips.json: rod, light, photo, seen, and where the end lies (column, row; samples).
"""
import argparse
import json
from pathlib import Path

import cv2
import numpy as np

from train import HELD_OUT

MOST = 240  # a WebP picture is 16383 rows high at most


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument('shards', type=Path)
    parser.add_argument('folder', type=Path)
    parser.add_argument('--quality', type=int, default=88)
    options = parser.parse_args()
    kept = {}
    for path in sorted(options.shards.glob('shard-*.npz')):
        z = np.load(path)
        for entry, picture in zip(json.loads(str(z['index'])), z['pictures']):
            if entry['rod'] >= HELD_OUT:
                kept.setdefault(entry['rod'], (entry, picture))
    rods = sorted(kept)[:MOST]
    ok, webp = cv2.imencode('.webp', np.vstack([kept[rod][1] for rod in rods]), [cv2.IMWRITE_WEBP_QUALITY, options.quality])
    if not ok:
        raise RuntimeError('the strips could not be coded')
    (options.folder / 'tips.webp').write_bytes(webp.tobytes())
    entries = []
    for rod in rods:
        entry = kept[rod][0]
        place = {'column': round(entry['x'], 3), 'row': round(entry['y'], 3)} if entry['seen'] else {}
        entries.append({'rod': rod, 'light': entry['light'], 'photo': entry['photo'], 'seen': entry['seen'], **place})
    (options.folder / 'tips.json').write_text('[\n' + ',\n'.join(json.dumps(entry) for entry in entries) + '\n]\n')
    print(f'{len(rods)} strips, {len(webp) / 1e6:.1f} MB', flush=True)


if __name__ == '__main__':
    main()
