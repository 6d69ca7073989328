"""All strips (or lanes) of the training on the device at once, and crops cut out of them there."""
import json
import time
import zlib

import numpy as np
import torch

UNKNOWN = 255  # class of samples that the photo does not show
BEYOND = (UNKNOWN - 256) << 24  # a black sample of class UNKNOWN, packed
HIGHEST_COUNT = 60_000  # of strips in a store
SCALES = (-0.45, 0.45)  # octaves by which crops are made smaller or larger
LAID = {'strip': 0.6, 'lane': 0.25}  # share of the crops that are laid on a thing; the lane is looked at for its blank more than for its tip
PART = 256  # samples of a picture that are known well or badly together, where a crop is laid on no thing
DRAWN = {'ring': 0.6, 'tip-top': 0.15, 'snake': 0.25, 'tip': 1.0}  # share of each kind among the things that crops are laid on
SMALL, SMALL_SHARE = 9.0, 2.5  # radius, samples, up to which a thing is drawn more often, and how much: small ones are missed first
PALE_IN_SUN = 3.0  # how much more often a crop falls on a pale blank in the sun, where the shadow looks more like a blank than the blank
LEAST_CONTRAST = 2.0  # slope of a thing's outline over the noise's, below which nobody sees it
LEAST_VISIBLE = 0.3  # share of a rim in view below which nothing is learned from it
WHOLE = 0.5  # radii from a picture's ends within which a thing is cut: neither there nor not there
HARD = 0.5, 3.0  # how much less and more often than its share a thing or a part is drawn, by how well it is known


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
            columns = classes.shape[1]
            yield {**entry, 'things': [thing_of(o, cut, columns) for o in entry['objects'] if o['type'] in recipe.heats]}, picture, classes


def is_whole(column, radius, columns):
    """Is enough of a thing within a picture of so many columns?"""
    return (column >= WHOLE * radius) & (column <= columns - 1 - WHOLE * radius)


def thing_of(o, cut, columns):
    """An object of the generator as a place on the cut strip, samples; what the picture does not show, or hardly, counts as hidden."""
    toward = o.get('toward')
    foot = [-1, -1] if toward is None else [int(toward != 'butt'), int(toward != 'tip')]
    seen = o.get('inPhoto', True) and o.get('contrast', LEAST_CONTRAST) >= LEAST_CONTRAST
    radius = max(o.get('r') or 1, 0.5)
    visible = o.get('visible', 1) if seen and is_whole(o['x'], radius, columns) else 0
    return {'kind': o['type'], 'column': o['x'], 'row': o['y'] - cut, 'radius': radius, 'foot': foot, 'visible': visible}


def things_of(entry, recipe):
    """column, row, radius, kind, foot toward tip, foot toward butt, visible: one row a thing, padded with kind -1."""
    table = np.full((recipe.most, 7), -1, np.float32)
    for row, t in zip(table, entry['things']):
        row[:] = [t['column'], t['row'], t['radius'], recipe.heats.index(t['kind']), *t['foot'], t['visible']]
    return table


def packed(picture, classes):
    """Picture and classes as one 32-bit number a sample."""
    return np.concatenate([picture, classes[..., None]], -1).view(np.int32)[..., 0]


def read_all(folder, kind, recipe, arrived, share=0, shares=1):
    """Reads every `shares`-th shard of a folder as they appear, for ever, and puts (entry, packed samples) into a queue; a process's work."""
    read = set()
    while True:
        for path in sorted(folder.glob('*.npz'), key=lambda p: p.stat().st_mtime):
            if path.name not in read and zlib.crc32(path.name.encode()) % shares == share:
                read.add(path.name)
                for entry, picture, classes in read_shard(path, kind, recipe):
                    arrived.put((entry, packed(picture, classes)))
        time.sleep(1)


class Store:
    """Pictures side by side in one tensor of packed samples (blue, green, red, class in one 32-bit number)."""

    def __init__(self, recipe, kind, device, capacity):
        self.recipe, self.kind, self.device = recipe, kind, device
        self.samples = torch.zeros(recipe.rows, capacity, dtype=torch.int32, device=device)
        self.used, self.starts, self.widths, self.things, self.entries = 0, [], [], [], []
        self.tables = None
        # A crop's loss over the others', of late: of the thing (strip and row) or of the part that it was laid on.
        self.hardness = torch.ones(HIGHEST_COUNT, recipe.most, device=device)
        self.hardness_of_parts = torch.ones(capacity // PART + HIGHEST_COUNT, device=device)

    def add(self, entry, packed):
        """Returns False when there is no room left or the picture is too narrow to learn from."""
        columns = packed.shape[1]
        if self.used + columns > self.samples.shape[1] or columns < 64 or len(self.starts) == HIGHEST_COUNT:
            return False
        self.samples[:, self.used : self.used + columns] = torch.from_numpy(packed).to(self.device)
        self.starts.append(self.used)
        self.widths.append(columns)
        self.things.append(things_of(entry, self.recipe))
        self.entries.append(entry)
        self.used += columns
        return True

    def freeze(self):
        """Makes what was added so far available to `crops`."""
        self.tables = (
            torch.tensor(self.starts, device=self.device),
            torch.tensor(self.widths, device=self.device),
            torch.from_numpy(np.stack(self.things)).to(self.device),
            *self.parts(),
            *self.listed(),
        )

    def parts(self):
        """(n, 3) strip, first column and width of every part, in the order they came, and the share with which crops are laid on each."""
        widths = np.array(self.widths)
        counts = -(-widths // PART)
        strip = np.repeat(np.arange(len(widths)), counts)
        first = PART * (np.arange(len(strip)) - np.repeat(counts.cumsum() - counts, counts))
        wide = np.minimum(PART, widths[strip] - first)
        share = wide * np.array([PALE_IN_SUN if pale_in_sun(entry) else 1.0 for entry in self.entries])[strip]
        table = np.stack([strip, first, wide], 1)
        return torch.from_numpy(table).to(self.device), torch.from_numpy(share / share.sum()).float().to(self.device)

    def listed(self):
        """(n, 2) strip and row of every thing that can be seen, and the share with which crops are laid on each."""
        things = np.stack(self.things)
        places, shares = [[(0, 0)]], [[1e-9]]  # so that there is one, where nothing is to be seen
        for k, kind in enumerate(self.recipe.heats):
            mine = np.argwhere((things[..., 3] == k) & (things[..., 6] >= LEAST_VISIBLE))
            each = np.where(things[mine[:, 0], mine[:, 1], 2] <= SMALL, SMALL_SHARE, 1)
            places.append(mine)
            shares.append(DRAWN[kind] * each / max(each.sum(), 1))
        return torch.from_numpy(np.concatenate(places)).to(self.device), torch.from_numpy(np.concatenate(shares)).float().to(self.device)

    def whole(self, i):
        """One strip as (1, 3, rows, columns) RGB 0..1 and its classes."""
        packed = self.samples[:, self.starts[i] : self.starts[i] + self.widths[i]]
        return unpack(packed)[None, :3].float() / 255, (packed >> 24) & 255

    def crops(self, count, turn=0.04):
        """
        Random crops, turned, scaled and mirrored: pictures (count, 3, rows, crop) RGB 0..1 of half precision where the device has
        it, classes at the output stride (count, rows / stride, crop / stride), things (count, most, 7) in the crop's samples.
        """
        starts, widths, things, parts, shares, listed, drawn = self.tables
        device, rows, columns, stride = self.device, self.recipe.rows, self.recipe.crop, self.recipe.stride
        random = lambda low, high: low + (high - low) * torch.rand(count, device=device)
        # Some crops are laid on a thing, the rarer kinds more often than their share, the others anywhere.
        near = random(0, 1) < LAID[self.kind]
        often = drawn * self.hardness[listed[:, 0], listed[:, 1]]
        thing = listed[torch.multinomial(often, count, replacement=True)]
        part = torch.multinomial(shares * self.hardness_of_parts[: len(shares)], count, replacement=True)
        pick = torch.where(near, thing[:, 0], parts[part, 0])
        self.latest = near, thing[:, 0], thing[:, 1], part
        width, mine = widths[pick], things[pick]
        chosen = mine[torch.arange(count, device=device), thing[:, 1]]
        centre = torch.where(near, chosen[:, 0] + random(-0.4, 0.4) * columns, parts[part, 1] + random(0, 1) * parts[part, 2]).round()
        scale = torch.exp2(random(*SCALES))  # above 1: larger in the crop
        angle = random(-turn, turn) * (random(0, 1) < 0.5)
        flip_x, flip_y = torch.sign(random(-1, 1)), torch.sign(random(-1, 1))
        shift = random(-12, 12)
        cos, sin = torch.cos(angle), torch.sin(angle)

        # A window of whole samples round the centre, then one bilinear look into it.
        wide = int(columns / 2 ** SCALES[0] + 2 * turn * rows) // 16 * 16 + 16
        at = centre.long()[:, None] - wide // 2 + torch.arange(wide, device=device)[None]
        known = (at >= 0) & (at < width[:, None])
        flat = at.clamp(min=0).minimum(width[:, None] - 1) + starts[pick][:, None]
        packed = self.samples[:, flat].permute(1, 0, 2)
        packed = torch.where(known[:, None], packed, torch.full_like(packed, BEYOND))
        half = torch.float16 if device_is_cuda(device) else torch.float32
        window = unpack(packed, 1).to(half) / 255
        labels = (((packed >> 24) & 255) + 1).to(half)[:, None]
        # Crop samples to window samples: u = (dx cos + dy sin) / scale, mirrored; in grid_sample's -1..1.
        a = cos / scale * flip_x, sin / scale * flip_x
        b = -sin / scale * flip_y, cos / scale * flip_y

        def grid(step):
            dx = torch.arange(columns // step, device=device) * step + (step - 1) / 2 - (columns - 1) / 2
            dy = torch.arange(rows // step, device=device) * step + (step - 1) / 2 - (rows - 1) / 2
            v = lambda t: t[:, None, None]
            u = v(a[0]) * dx[None, None] + v(a[1]) * dy[None, :, None] + wide // 2
            w = v(b[0]) * dx[None, None] + v(b[1]) * dy[None, :, None] + v((rows - 1) / 2 + shift)
            return torch.stack([u * 2 / (wide - 1) - 1, w * 2 / (rows - 1) - 1], -1)

        picture = torch.nn.functional.grid_sample(window.float(), grid(1), 'bilinear', 'zeros', align_corners=True).to(half)
        classes = torch.nn.functional.grid_sample(labels.float(), grid(stride), 'nearest', 'zeros', align_corners=True)[:, 0].round().long() - 1
        classes = torch.where(classes < 0, torch.full_like(classes, UNKNOWN), classes)

        # Things the other way: strip samples to crop samples.
        v = lambda t: t[:, None]
        u = (mine[..., 0] - v(centre)) * v(flip_x * scale)
        w = (mine[..., 1] - v((rows - 1) / 2 + shift)) * v(flip_y * scale)
        turned = v(flip_x < 0)
        placed = torch.stack(
            [
                u * v(cos) - w * v(sin) + (columns - 1) / 2,
                u * v(sin) + w * v(cos) + (rows - 1) / 2,
                mine[..., 2] * v(scale),
                mine[..., 3],
                torch.where(turned, mine[..., 5], mine[..., 4]),
                torch.where(turned, mine[..., 4], mine[..., 5]),
                mine[..., 6],
            ],
            -1,
        )
        placed[..., 6] *= is_whole(placed[..., 0], placed[..., 2], columns)
        return picture, classes, placed

    def heed(self, losses):
        """Takes note of the losses (count,) of the latest crops: what is hard is drawn more often (after Shrivastava et al. 2016)."""
        near, strip, row, part = self.latest
        ratio = (losses / losses.mean()).clamp(*HARD)
        before, before_of_part = self.hardness[strip, row], self.hardness_of_parts[part]
        self.hardness[strip, row] = torch.where(near, before.lerp(ratio, 0.5), before)
        self.hardness_of_parts[part] = torch.where(near, before_of_part, before_of_part.lerp(ratio, 0.5))


def pale_in_sun(entry):
    return entry['light'] in ('sun', 'sun indoors') and entry['blank'] in ('ivory', 'white', 'yellow', 'honey')


def device_is_cuda(device):
    return torch.device(device).type == 'cuda'


def unpack(packed, dim=0):
    """32-bit samples to red, green, blue along a new dimension (stored blue first)."""
    return torch.stack([(packed >> 16) & 255, (packed >> 8) & 255, packed & 255], dim)
