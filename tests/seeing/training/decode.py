"""Peaks of the strip network's output, the same way as src/vision/finder/peaks.ts takes them, and how they compare with the truth."""
import math

import torch
import torch.nn.functional as F

from network import CLASSES
from store import LEAST_VISIBLE, UNKNOWN, is_whole

STEP = 0.3  # mm a sample of the strip


def peaks(recipe, output, least, columns):
    """output (channels, rows, columns) of a picture of so many columns -> [(kind, score, column, row, radius)], samples."""
    n, stride = len(recipe.heats), recipe.stride
    heat = torch.sigmoid(output[:n].float())
    top = (heat == F.max_pool2d(heat[None], 5, 1, 2)[0]) & (heat >= least)
    found = []
    for k, y, x in top.nonzero().tolist():
        o = output[:, y, x].tolist()
        radius, dx, dy = (10 * 2 ** o[n], o[n + 3], o[n + 4]) if recipe.sized else (0, 0, 0)
        found.append((k, float(heat[k, y, x]), (x + dx) * stride + (stride - 1) / 2, (y + dy) * stride + (stride - 1) / 2, radius))
    kept = []
    for peak in sorted(found, key=lambda peak: -peak[1]):
        k, _, x, y, r = peak
        if is_whole(x, r, columns) and not any(o[0] == k and math.hypot(o[2] - x, o[3] - y) < max(0.5 * max(o[4], r), 16 if k == 0 and not recipe.sized else 0) for o in kept):
            kept.append(peak)
    return kept


class Score:
    """Recall, precision, place and radius per kind, and class accuracy, over whole strips."""

    def __init__(self, recipe, threshold):
        self.recipe, self.threshold = recipe, threshold
        self.planned = [0] * len(recipe.heats)
        self.found = [0] * len(recipe.heats)
        self.false = [0] * len(recipe.heats)
        self.least, self.highest_false, self.place, self.size = [], [], [], []
        self.right = torch.zeros(len(CLASSES), dtype=torch.long)
        self.count = torch.zeros(len(CLASSES), dtype=torch.long)

    def add(self, entry, output, classes):
        stride = self.recipe.stride
        truth = entry['things']
        seen = peaks(self.recipe, output, 0.1, classes.shape[1])
        used = set()
        for thing in truth:
            kind, radius = self.recipe.heats.index(thing['kind']), max(thing['radius'], 1)
            best = None
            for i, (k, score, x, y, r) in enumerate(seen):
                if i in used or k != kind or math.hypot(x - thing['column'], y - thing['row']) > max(6, 0.5 * radius):
                    continue
                best = i
                break
            if best is not None:
                used.add(best)
            if thing['visible'] < LEAST_VISIBLE:
                continue
            self.planned[kind] += 1
            score = seen[best][1] if best is not None else 0
            self.least.append(score)
            if score >= self.threshold:
                self.found[kind] += 1
                _, _, x, y, r = seen[best]
                self.place.append(STEP * math.hypot(x - thing['column'], y - thing['row']))
                if self.recipe.sized:
                    self.size.append(abs(math.log2(max(r, 0.1) / radius)))
        for i, (k, score, x, y, r) in enumerate(seen):
            if i in used or any(math.hypot(x - t['column'], y - t['row']) < t['radius'] for t in truth if t['visible'] < LEAST_VISIBLE):
                continue
            self.highest_false.append((score, entry['rod'], entry.get('view', 0), k, round(x), round(y)))
            if score >= self.threshold:
                self.false[k] += 1
        guess = output[-len(CLASSES) :].argmax(0).cpu()
        half = stride // 2
        truth_classes = classes[half::stride, half::stride][: guess.shape[0], : guess.shape[1]].cpu().long()
        guess = guess[: truth_classes.shape[0], : truth_classes.shape[1]]
        known = truth_classes != UNKNOWN
        self.count += torch.bincount(truth_classes[known], minlength=len(CLASSES))
        self.right += torch.bincount(truth_classes[known & (guess == truth_classes)], minlength=len(CLASSES))

    def table(self, rods):
        rows = ['| kind | there | found | false |', '| --- | --- | --- | --- |']
        for k, name in enumerate(self.recipe.heats):
            share = 100 * self.found[k] / self.planned[k] if self.planned[k] else float('nan')
            rows.append(f'| {name} | {self.planned[k]} | {self.found[k]} ({share:.2f} %) | {self.false[k]} |')
        median = lambda values: sorted(values)[len(values) // 2] if values else float('nan')
        rows.append('')
        rows.append(f'{rods} rods; {50 * sum(self.false) / max(rods, 1):.2f} false in 50 rods at score {self.threshold}; median place {median(self.place):.3f} mm, size {median(self.size):.3f} octaves')
        rows.append('')
        rows.append('class accuracy: ' + ', '.join(f'{name} {100 * r / c:.1f} %' for name, r, c in zip(CLASSES, self.right.tolist(), self.count.tolist()) if c))
        rows.append('lowest true: ' + ', '.join(f'{s:.2f}' for s in sorted(self.least)[:12]))
        rows.append('highest false (score, rod, view, kind, column, row): ' + ', '.join(f'{s:.2f} {rest}' for s, *rest in sorted(self.highest_false, reverse=True)[:12]))
        return '\n'.join(rows)


@torch.no_grad()
def judge(network, store, chosen, threshold=0.4):
    """Score of the network over whole strips of the store."""
    score = Score(store.recipe, threshold)
    network.eval()
    for i in chosen:
        picture, classes = store.whole(i)
        columns = -(-picture.shape[3] // 32) * 32
        output = network(F.pad(picture, (0, columns - picture.shape[3])))[0]
        score.add(store.entries[i], output, classes)
    return score
