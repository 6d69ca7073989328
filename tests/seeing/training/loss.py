"""What the networks are trained to say, and what a miss costs.

Centres: the penalty-reduced focal loss on heat maps of Zhou, Wang and Kraehenbuehl (Objects as Points, 2019, after Law and Deng
2018). Radius and offset: absolute difference where a centre is. Foot sides: binary cross-entropy there. Classes: cross-entropy.
"""
import functools

import torch
import torch.nn.functional as F

from network import CLASSES
from store import LEAST_VISIBLE, UNKNOWN

# A class's weight: what a builder's part is mistaken for matters more than how well wide paper is known.
CLASS_WEIGHTS = {
    'paper': 0.5, 'shadow': 1.2, 'tag': 0.5, 'other': 0.7,
    'wax': 6.0, 'wire': 3.0, 'tube': 3.0, 'tape': 2.0, 'thread': 2.0, 'frame': 1.5, 'line': 1.5,
}
SHARES = {'heat': 1.0, 'radius': 0.3, 'foot': 0.2, 'offset': 0.3, 'classes': 1.0}


def targets(recipe, classes, things):
    """Heat maps with the weights of their cells, and per cell the nearest thing that may teach size, foot and offset."""
    count, h, w = classes.shape
    stride, device = recipe.stride, classes.device
    cells = (things[..., :2] - (stride - 1) / 2) / stride
    x = torch.arange(w, device=device).view(1, 1, 1, w)
    y = torch.arange(h, device=device).view(1, 1, h, 1)
    px, py = cells[..., 0][:, :, None, None], cells[..., 1][:, :, None, None]
    square = (x - px) ** 2 + (y - py) ** 2
    sigma = (0.25 * things[..., 2] / stride).clamp(1.0, 2.5)[:, :, None, None]
    bump = torch.exp(-square / (2 * sigma**2))
    nearest = (x == px.round()) & (y == py.round())
    kind = things[..., 3][:, :, None, None]
    clear = (things[..., 6] >= LEAST_VISIBLE)[:, :, None, None]
    heats, weights = [], []
    for k in range(len(recipe.heats)):
        mine = kind == k
        bumps = bump * (mine & clear)
        heats.append(torch.where((nearest & mine & clear).any(1), torch.ones_like(bumps[:, 0]), bumps.amax(1).clamp(max=0.98)))
        # Hardly to be seen: neither a ring nor none.
        hidden = ((square < (things[..., 2] / stride + 2)[:, :, None, None] ** 2) & mine & ~clear).any(1)
        weights.append(1 - hidden.float())
    teaching = bump * ((kind >= 0) & clear)
    best = teaching.max(1)
    return torch.stack(heats, 1), torch.stack(weights, 1), best.values, best.indices, cells


def losses(recipe, output, classes, things):
    """Dictionary of mean losses of one batch, unweighted; and of each picture (count,) the loss that tells how well it is known: the centres', in the lane the classes'."""
    heat, weight, strength, which, cells = targets(recipe, classes, things)
    output = output.float()
    n = len(recipe.heats)
    p = torch.sigmoid(output[:, :n]).clamp(1e-5, 1 - 1e-5)
    centre = (heat >= 1).float()
    focal = centre * (1 - p) ** 2 * p.log() + (1 - centre) * (1 - heat) ** 4 * p**2 * (1 - p).log()
    each = -(focal * weight).flatten(1).sum(1)
    found = {'heat': each.sum() / centre.sum().clamp(min=1)}
    if recipe.sized:
        take = lambda column: torch.gather(things[..., column], 1, which.flatten(1)).view(which.shape)
        near = (strength > 0.5).float()
        total = near.sum().clamp(min=1)
        found['radius'] = (near * (output[:, n] - torch.log2(take(2).clamp(min=0.5) / 10)).abs()).sum() / total
        foot = 0
        for k, column in ((n + 1, 4), (n + 2, 5)):
            truth = take(column)
            known = near * (truth >= 0)
            foot = foot + (known * F.binary_cross_entropy_with_logits(output[:, k], truth.clamp(0, 1), reduction='none')).sum() / known.sum().clamp(min=1)
        found['foot'] = foot
        offset = 0
        for k, axis in ((n + 3, 0), (n + 4, 1)):
            there = torch.gather(cells[..., axis], 1, which.flatten(1)).view(which.shape)
            grid = torch.arange(which.shape[2 - axis], device=which.device).float()
            here = grid.view(1, 1, -1) if axis == 0 else grid.view(1, -1, 1)
            offset = offset + (near * (output[:, k] - (there - here)).abs()).sum() / total
        found['offset'] = offset
    guess, weights = output[:, -len(CLASSES) :], class_weights(output.device)
    found['classes'] = F.cross_entropy(guess, classes, weights, ignore_index=UNKNOWN)
    if not recipe.sized:
        each = F.cross_entropy(guess.detach(), classes, weights, ignore_index=UNKNOWN, reduction='none').flatten(1).mean(1)
    return found, each.detach()


@functools.cache
def class_weights(device):
    """(classes,) on the device, laid there once: a recorded step must copy nothing from the host."""
    return torch.tensor([CLASS_WEIGHTS.get(name, 1.0) for name in CLASSES], device=device)


def total(found):
    return sum(SHARES[name] * value for name, value in found.items())
