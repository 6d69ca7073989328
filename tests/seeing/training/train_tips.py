"""Trains the network that tells where the blank's end lies, until a given time, while shards of make_tips.py may still be arriving.

    train_tips.py SHARDS OUT --until TIME [--resume FILE] [--batch N]

OUT gets tip.pt, tip.onnx, tip-curve.csv and tip-table.md. Rods from HELD_OUT on are never trained on; the table is of them.

What is learned is a distribution: the softmax over all cells and the word "none", so that it says how sure it is (cross-entropy against
the four cells about the end, shared bilinearly); how far beside its cell the end lies; and the mean error of that, by the likelihood of
Laplace's distribution (Kendall and Gal, What uncertainties do we need in Bayesian deep learning, 2017).
"""
import argparse
import copy
import csv
import json
import time
from pathlib import Path

import numpy as np
import torch
import torch.nn.functional as F

from augment import augment
from export import write_onnx
from network import CLASSES, RECIPES, Network
from settle import settled
from train import HELD_OUT, follower, rate_at, save

RECIPE = RECIPES['tip']
STEP = 0.125  # mm a sample, as make_tips.py has it
MARGIN = 20  # samples from either end of a crop in which no end lies
NEAR = 6  # cells about the likeliest, whose words are averaged
SHARES = {'cells': 1.0, 'error': 0.3, 'classes': 0.5}


class Store:
    """All strips, on the device."""

    def __init__(self, device, capacity):
        self.device, self.count, self.known = device, 0, set()
        self.capacity, self.pictures = capacity, None
        self.entries = []

    def take_new(self, folder, most=1):
        for path in sorted(folder.glob('shard-*.npz')):
            if path in self.known:
                continue
            self.known.add(path)
            z = np.load(path)
            self.add(json.loads(str(z['index'])), z['pictures'], z['classes'])
            most -= 1
            if most == 0:
                return

    def add(self, entries, pictures, classes):
        if self.pictures is None:
            rows, columns = pictures.shape[1:3]
            self.pictures = torch.zeros(self.capacity, rows, columns, 3, dtype=torch.uint8, device=self.device)
            self.classes = torch.zeros(self.capacity, rows, columns, dtype=torch.uint8, device=self.device)
            self.ends = torch.full((self.capacity, 2), -1.0, device=self.device)
        n = min(len(entries), self.capacity - self.count)
        at = slice(self.count, self.count + n)
        self.pictures[at] = torch.from_numpy(pictures[:n]).to(self.device)
        self.classes[at] = torch.from_numpy(classes[:n]).to(self.device)
        self.ends[at] = torch.tensor([[e['x'], e['y']] if e['seen'] else [-1.0, -1.0] for e in entries[:n]], device=self.device)
        self.entries += entries[:n]
        self.count += n

    def crops(self, which, generator=None):
        """RGB 0..1, classes at the cells, places (column, row in samples; -1 where none): crops with the end anywhere in them."""
        n, width, columns = len(which), self.pictures.shape[2], RECIPE.crop
        ends = self.ends[which]
        seen = ends[:, 0] >= 0
        random = torch.rand(n, device=self.device, generator=generator)
        low = torch.where(seen, (ends[:, 0] - columns + MARGIN).ceil().clamp(min=0), torch.zeros_like(random))
        high = torch.where(seen, (ends[:, 0] - MARGIN).floor().clamp(max=width - columns), torch.full_like(random, width - columns))
        first = (low + random * (high - low)).floor().long()
        index = first[:, None] + torch.arange(columns, device=self.device)
        rows = torch.arange(RECIPE.rows, device=self.device)[None, :, None]
        picture = self.pictures[which[:, None, None], rows, index[:, None]]
        classes = self.classes[which[:, None, None], rows, index[:, None]]
        places = torch.where(seen[:, None], ends - F.pad(first[:, None], (0, 1)), torch.full_like(ends, -1.0))
        return picture.flip(-1).permute(0, 3, 1, 2).half() / 255, classes, places


def mirrored(picture, classes, places):
    """Half of the crops turned left for right, as seen along the blank."""
    turn = torch.rand(len(picture), device=picture.device) < 0.5
    picture = torch.where(turn[:, None, None, None], picture.flip(2), picture)
    classes = torch.where(turn[:, None, None], classes.flip(1), classes)
    rows = torch.where(turn & (places[:, 1] >= 0), RECIPE.rows - 1 - places[:, 1], places[:, 1])
    return picture, classes, torch.stack([places[:, 0], rows], 1)


def cells_of(places):
    """Samples to cells; the middle of cell 0 lies half a stride's samples in."""
    return (places - (RECIPE.stride - 1) / 2) / RECIPE.stride


def told(output):
    """Of each picture: log of the share of each cell (count, h, w) and of none (count,)."""
    heat = output[:, 0].flatten(1)
    whole = torch.logsumexp(F.pad(heat, (0, 1)), 1, keepdim=True)
    return (heat - whole).view_as(output[:, 0]), -whole[:, 0]


def read(output, about):
    """The place along (cells) and its mean error, averaged over the cells within NEAR of the columns `about`."""
    share, _ = told(output)
    x = torch.arange(output.shape[3], device=output.device)
    near = (x[None] - about[:, None]).abs() <= NEAR
    weight = torch.softmax(torch.where(near[:, None], share, torch.full_like(share, -1e4)).flatten(1), 1).view_as(share)
    place = (weight * (x + output[:, 1])).sum((1, 2))
    error = torch.exp((weight * output[:, 2]).sum((1, 2)).clamp(-5, 4))
    return place, error


def losses(output, classes, places):
    output = output.float()
    share, none = told(output)
    count, h, w = share.shape
    seen = places[:, 0] >= 0
    x, y = cells_of(places).unbind(1)
    cost = torch.zeros(count, device=share.device)
    for dx in (0, 1):
        for dy in (0, 1):
            i, j = x.floor() + dx, y.floor() + dy
            part = (1 - (x - i).abs()) * (1 - (y - j).abs())
            at = (j.clamp(0, h - 1) * w + i.clamp(0, w - 1)).long()
            cost = cost - part * share.flatten(1).gather(1, at[:, None])[:, 0]
    found = {'cells': torch.where(seen, cost, -none).mean()}
    place, error = read(output, x.round())
    likelihood = ((place - x).abs() / error + torch.log(2 * error))
    found['error'] = (likelihood * seen).sum() / seen.sum().clamp(min=1)
    at = classes[:, RECIPE.stride // 2::RECIPE.stride, RECIPE.stride // 2::RECIPE.stride].long()
    found['classes'] = F.cross_entropy(output[:, 3:], torch.where(at < len(CLASSES), at, torch.full_like(at, -100)), ignore_index=-100)
    return found


@torch.no_grad()
def judged(network, store, batch=256):
    """Of each strip in a fixed crop: (sure 0..1, error mm, its standard deviation as told mm), and whether the end shows."""
    generator = torch.Generator(store.device).manual_seed(5)
    rows = []
    for first in range(0, store.count, batch):
        which = torch.arange(first, min(first + batch, store.count), device=store.device)
        picture, _, places = store.crops(which, generator)
        output = network(picture.float()).float()
        share, _ = told(output)
        peak = share.flatten(1).argmax(1) % share.shape[2]
        place, error = read(output, peak)
        x = torch.arange(share.shape[2], device=store.device)
        sure = (share.exp() * ((x[None] - peak[:, None]).abs() <= NEAR)[:, None]).sum((1, 2))
        off = (place - cells_of(places)[:, 0]) * RECIPE.stride * STEP
        rows.append(torch.stack([sure, off, error * 2**0.5 * RECIPE.stride * STEP, (places[:, 0] >= 0).float()], 1))
    return torch.cat(rows).cpu().numpy()


def table(rows, entries):
    """What is told of the held-out rods' ends, in words and figures."""
    sure, off, sigma, seen = rows.T
    seen = seen > 0
    lines = [f'{seen.sum()} strips with the end in them, {(~seen).sum()} without, of {len({e["rod"] for e in entries})} rods.', '',
             '| sure at least | told | more than 0.3 mm off | more than 1 mm off | told where none is | median, mm | rms, mm | rms of error over sigma | median sigma, mm |', '|' + '---|' * 9]
    for least in (0.3, 0.5, 0.7, 0.9):
        t = seen & (sure >= least)
        good = t & (np.abs(off) < 1)
        lines.append(f'| {least} | {t.sum()} | {(t & (np.abs(off) > 0.3)).sum()} | {(t & ~good).sum()} | {(~seen & (sure >= least)).sum()} | {np.median(np.abs(off[t])):.3f} | '
                     f'{np.sqrt(np.mean(off[good] ** 2)):.3f} | {np.sqrt(np.mean((off[t] / sigma[t]) ** 2)):.2f} | {np.median(sigma[t]):.3f} |')
    for name in ('case', 'photo', 'light', 'gentle'):
        for value in sorted({str(e[name]) for e in entries}):
            t = seen & (sure >= 0.5) & np.array([str(e[name]) == value for e in entries])
            if t.sum() > 5:
                lines.append(f'- {name} {value}: {t.sum()}, median {np.median(np.abs(off[t])):.3f}, within 0.3 mm {np.mean(np.abs(off[t]) < 0.3):.3f}, within 1 mm {np.mean(np.abs(off[t]) < 1):.3f}, '
                             f'error over sigma rms {np.sqrt(np.mean((off[t] / sigma[t]) ** 2)):.2f}, sigma {np.median(sigma[t]):.3f}')
    return '\n'.join(lines)


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument('shards', type=Path)
    parser.add_argument('out', type=Path)
    parser.add_argument('--until', type=float, required=True, help='when training ends, seconds since 1970')
    parser.add_argument('--batch', type=int, default=256)
    parser.add_argument('--rate', type=float, default=3e-3, help='highest learning rate')
    parser.add_argument('--held', type=Path, help='shards of held-out rods')
    parser.add_argument('--capacity', type=int, default=60_000)
    parser.add_argument('--resume', type=Path)
    parser.add_argument('--device', default='cuda' if torch.cuda.is_available() else 'cpu')
    o = parser.parse_args()
    torch.manual_seed(1)
    torch.backends.cudnn.benchmark = True
    o.out.mkdir(parents=True, exist_ok=True)
    store = Store(o.device, o.capacity)
    while store.count < 1000 and time.time() < o.until:
        store.take_new(o.shards)
        time.sleep(0.05)
    network = Network(RECIPE).to(o.device)
    if o.resume:
        network.load_state_dict(torch.load(o.resume, map_location=o.device))
    mean = copy.deepcopy(network).eval()
    follow = follower(mean, network)
    cuda = o.device.startswith('cuda')
    optimiser = torch.optim.AdamW(network.parameters(), o.rate, weight_decay=1e-3)
    print(f'tip: {sum(p.numel() for p in network.parameters())} weights on {o.device}', flush=True)

    def draw():
        with torch.no_grad():
            picture, classes, places = mirrored(*store.crops(torch.randint(store.count, (o.batch,), device=o.device)))
            return augment(picture).float(), classes, places

    def write(batches):
        kept = settled(mean, lambda: draw()[0], batches)
        save(kept.state_dict(), o.out / 'tip.pt')
        return kept

    network.train()
    start, step, since, saved = time.time(), 0, {}, time.time()
    with open(o.out / 'tip-curve.csv', 'a', newline='') as file:
        curve = csv.writer(file)
        while (done := (time.time() - start) / (o.until - start)) < 1:
            if step % 10 == 0 and store.count < o.capacity:
                store.take_new(o.shards, 6)
            for group in optimiser.param_groups:
                group['lr'] = rate_at(done, o.rate)
            picture, classes, places = draw()
            optimiser.zero_grad(set_to_none=True)
            with torch.autocast('cuda' if cuda else 'cpu', torch.bfloat16):
                output = network(picture)
            found = losses(output, classes, places)
            sum(SHARES[name] * value for name, value in found.items()).backward()
            torch.nn.utils.clip_grad_norm_(network.parameters(), 5)
            optimiser.step()
            step += 1
            follow(min(0.9995, step / (step + 10)))
            for name, value in found.items():
                since[name] = since.get(name, 0) + value.detach()
            if step % 200 == 0:
                row = {name: round(float(value) / 200, 5) for name, value in since.items()}
                if step == 200:
                    curve.writerow(['seconds', 'step', 'strips', *row])
                curve.writerow([round(time.time() - start, 1), step, store.count, *row.values()])
                file.flush()
                if step % 1000 == 0 or step == 200:
                    print(f'tip {time.time() - start:.0f} s step {step} strips {store.count} {row}', flush=True)
                since = {}
            if time.time() - saved > 60:
                write(30)
                saved = time.time()
    kept = write(150)
    held = Store(o.device, 20_000)
    for folder in [o.held] if o.held else []:
        held.take_new(folder, 1_000_000)
    if held.count:
        assert all(e['rod'] >= HELD_OUT for e in held.entries)
        text = table(judged(kept, held), held.entries)
        (o.out / 'tip-table.md').write_text(text + '\n')
        print(text, flush=True)
    product = copy.deepcopy(kept).cpu()
    product.head.weight.data, product.head.bias.data = product.head.weight.data[:3], product.head.bias.data[:3]
    write_onnx(product, RECIPE, o.out / 'tip.onnx')


if __name__ == '__main__':
    main()
