"""All strips (or lanes) of the training on the device at once, and crops cut out of them there."""
import json
import math

import numpy as np
import torch

UNKNOWN = 255  # class of samples that the photo does not show
LEAST_VISIBLE = 0.3  # share of a rim in view below which nothing is learned from it


def read_shard(path, kind, recipe):
    """
    Yields (entry, picture BGR rows x columns x 3, classes rows x columns) of a shard written by make_strips.py, the middle
    rows of each. Black and class UNKNOWN where the photo does not reach.
    """
    with np.load(path, allow_pickle=False) as shard:
        for k, entry in enumerate(json.loads(str(shard['index']))):
            if entry['kind'] != kind:
                continue
            picture, classes = shard[f'picture_{k}'], shard[f'classes_{k}']
            rows = recipe.rows
            cut = (classes.shape[0] - rows) // 2
            picture, classes = picture[cut : cut + rows].copy(), classes[cut : cut + rows]
            picture[classes == UNKNOWN] = 0
            yield {**entry, 'things': [thing_of(o, cut) for o in entry['objects'] if o['type'] in recipe.heats]}, picture, classes


def thing_of(o, cut):
    """An object of the generator as a place on the cut strip, samples; what the photo does not show counts as hidden."""
    toward = o.get('toward')
    foot = [-1, -1] if toward is None else [int(toward != 'butt'), int(toward != 'tip')]
    visible = o.get('visible', 1) if o.get('inPhoto', True) else 0
    return {'kind': o['type'], 'column': o['x'], 'row': o['y'] - cut, 'radius': max(o.get('r') or 1, 0.5), 'foot': foot, 'visible': visible}


def things_of(entry, recipe):
    """column, row, radius, kind, foot toward tip, foot toward butt, visible: one row a thing, padded with kind -1."""
    table = np.full((recipe.most, 7), -1, np.float32)
    for row, t in zip(table, entry['things']):
        row[:] = [t['column'], t['row'], t['radius'], recipe.heats.index(t['kind']), *t['foot'], t['visible']]
    return table


class Store:
    """Pictures side by side in one tensor of packed samples (blue, green, red, class in one 32-bit number)."""

    def __init__(self, recipe, kind, device, capacity):
        self.recipe, self.kind, self.device = recipe, kind, device
        self.samples = torch.zeros(recipe.rows, capacity, dtype=torch.int32, device=device)
        self.used, self.starts, self.widths, self.things, self.entries = 0, [], [], [], []
        self.tables = None

    def add(self, entry, picture, classes):
        """Returns False when there is no room left."""
        rows, columns = classes.shape
        if rows != self.recipe.rows:
            raise ValueError(f'{self.kind} of {rows} rows, expected {self.recipe.rows}')
        if self.used + columns > self.samples.shape[1] or columns < 64:
            return columns < 64
        packed = np.concatenate([picture, classes[..., None]], -1).astype(np.uint8).view(np.int32)[..., 0]
        self.samples[:, self.used : self.used + columns] = torch.from_numpy(np.ascontiguousarray(packed)).to(self.device)
        self.starts.append(self.used)
        self.widths.append(columns)
        self.things.append(things_of(entry, self.recipe))
        self.entries.append(entry)
        self.used += columns
        return True

    def freeze(self):
        """Makes what was added so far available to `crops`."""
        widths = torch.tensor(self.widths, device=self.device)
        self.tables = (
            torch.tensor(self.starts, device=self.device),
            widths,
            torch.from_numpy(np.stack(self.things)).to(self.device),
            (widths.double() / widths.sum()).float(),
        )

    def whole(self, i):
        """One strip as (1, 3, rows, columns) RGB 0..1 and its classes."""
        packed = self.samples[:, self.starts[i] : self.starts[i] + self.widths[i]]
        return unpack(packed)[None, :3].float() / 255, (packed >> 24) & 255

    def crops(self, count, turn=0.05):
        """
        Random crops, turned, scaled and mirrored: pictures (count, 3, rows, crop) RGB 0..1, classes at the output stride
        (count, rows / stride, crop / stride), things (count, most, 7) in the crop's samples.
        """
        starts, widths, things, shares = self.tables
        device, rows, columns, stride = self.device, self.recipe.rows, self.recipe.crop, self.recipe.stride
        random = lambda low, high: low + (high - low) * torch.rand(count, device=device)
        pick = torch.multinomial(shares, count, replacement=True)
        width, mine = widths[pick].float(), things[pick].clone()
        # Half of the crops hold a thing, where the strip has one.
        centre = random(0, 1) * width
        chosen = mine[torch.arange(count, device=device), torch.randint(0, self.recipe.most, (count,), device=device) % (mine[..., 3] >= 0).sum(1).clamp(min=1)]
        near = (chosen[:, 3] >= 0) & (random(0, 1) < 0.5)
        centre = torch.where(near, chosen[:, 0] + random(-0.4, 0.4) * columns, centre)
        scale = torch.exp2(random(-0.55, 0.45))  # above 1: larger in the crop
        angle = random(-turn, turn) * (random(0, 1) < 0.5)
        flip_x, flip_y = torch.sign(random(-1, 1)), torch.sign(random(-1, 1))
        shift = random(-12, 12)
        cos, sin = torch.cos(angle), torch.sin(angle)

        def source(x, y):
            """Crop samples to strip samples; x, y broadcast to (count, ...)."""
            shape = (count,) + (1,) * (x.dim() - 1)
            v = lambda t: t.view(shape)
            dx, dy = x - (columns - 1) / 2, y - (rows - 1) / 2
            u = (dx * v(cos) + dy * v(sin)) / v(scale) * v(flip_x)
            w = (dy * v(cos) - dx * v(sin)) / v(scale) * v(flip_y)
            return v(centre) + u, (rows - 1) / 2 + v(shift) + w

        # Four sub-samples a sample, so that a picture made smaller does not alias.
        fine = torch.arange(2, device=device) * 0.5 - 0.25
        gx = (torch.arange(columns, device=device)[:, None] + fine).flatten()[None, None, :].expand(count, 2 * rows, -1)
        gy = (torch.arange(rows, device=device)[:, None] + fine).flatten()[None, :, None].expand(count, -1, 2 * columns)
        picture = self._bilinear(*source(gx, gy), starts[pick], width)
        picture = torch.nn.functional.avg_pool2d(picture, 2) / 255
        cx = (torch.arange(columns // stride, device=device) * stride + (stride - 1) / 2)[None, None, :].expand(count, rows // stride, -1)
        cy = (torch.arange(rows // stride, device=device) * stride + (stride - 1) / 2)[None, :, None].expand(count, -1, columns // stride)
        sx, sy = source(cx, cy)
        classes = self._nearest(sx, sy, starts[pick], width)

        # Things the other way: strip samples to crop samples.
        u = (mine[..., 0] - centre[:, None]) * flip_x[:, None] * scale[:, None]
        w = (mine[..., 1] - ((rows - 1) / 2 + shift)[:, None]) * flip_y[:, None] * scale[:, None]
        placed = mine.clone()
        placed[..., 0] = u * cos[:, None] - w * sin[:, None] + (columns - 1) / 2
        placed[..., 1] = u * sin[:, None] + w * cos[:, None] + (rows - 1) / 2
        placed[..., 2] = mine[..., 2] * scale[:, None]
        turned = flip_x < 0
        placed[..., 4] = torch.where(turned[:, None], mine[..., 5], mine[..., 4])
        placed[..., 5] = torch.where(turned[:, None], mine[..., 4], mine[..., 5])
        return picture, classes, placed

    def _at(self, x, y, start, width):
        shape = (-1,) + (1,) * (x.dim() - 1)
        inside = (x >= 0) & (y >= 0) & (x < width.view(shape)) & (y < self.recipe.rows)
        flat = y.clamp(0, self.recipe.rows - 1).long() * self.samples.shape[1] + torch.minimum(x.clamp(min=0), width.view(shape) - 1).long() + start.view(shape)
        return self.samples.view(-1)[flat], inside

    def _bilinear(self, x, y, start, width):
        x0, y0 = x.floor(), y.floor()
        fx, fy = (x - x0)[:, None], (y - y0)[:, None]
        total = 0
        for dy in (0, 1):
            for dx in (0, 1):
                packed, inside = self._at(x0 + dx, y0 + dy, start, width)
                weight = (fx if dx else 1 - fx) * (fy if dy else 1 - fy) * inside[:, None]
                total = total + weight * unpack(packed, 1)[:, :3].float()
        return total

    def _nearest(self, x, y, start, width):
        packed, inside = self._at(x.round(), y.round(), start, width)
        return torch.where(inside, (packed >> 24) & 255, torch.full_like(packed, UNKNOWN)).long()


def unpack(packed, dim=0):
    """32-bit samples to red, green, blue along a new dimension (stored blue first)."""
    return torch.stack([(packed >> 16) & 255, (packed >> 8) & 255, packed & 255], dim)
