"""Trains one of the finder's networks for a given time, while shards may still be arriving.

    train.py KIND SHARDS OUT --seconds N [--resume FILE] [--batch N]

KIND strip or lane; SHARDS a folder with *.npz of make_strips.py; OUT a folder for KIND.pt, KIND.onnx, KIND-curve.csv,
KIND-table.md. Rods from HELD_OUT on are never trained on; one rod in 25 of the others only watches.
"""
import argparse
import copy
import csv
import math
import queue
import random
import threading
import time
from pathlib import Path

import torch

from augment import augment
from decode import judge
from export import write_onnx
from loss import losses, total
from network import RECIPES, Network
from store import Store, read_shard

HELD_OUT = 900_000
WATCH = 25


def arguments():
    parser = argparse.ArgumentParser()
    parser.add_argument('kind', choices=RECIPES)
    parser.add_argument('shards', type=Path)
    parser.add_argument('out', type=Path)
    parser.add_argument('--seconds', type=float, required=True, help='of training')
    parser.add_argument('--batch', type=int, default=96)
    parser.add_argument('--rate', type=float, default=4e-3, help='highest learning rate')
    parser.add_argument('--seed', type=int, default=1)
    parser.add_argument('--resume', type=Path, help='weights to go on from')
    parser.add_argument('--least', type=int, default=200, help='strips to wait for before the first step')
    parser.add_argument('--wait', type=float, default=240, help='seconds to wait for them at most')
    parser.add_argument('--device', default='cuda' if torch.cuda.is_available() else 'cpu')
    return parser.parse_args()


class Data:
    """The shards as they arrive, read by a thread of its own: rods to learn from and rods that only watch."""

    def __init__(self, options, recipe):
        big = torch.device(options.device).type == 'cuda'
        self.train = Store(recipe, options.kind, options.device, 24_000_000 if big else 60_000)
        self.watch = Store(recipe, options.kind, options.device, 1_500_000 if big else 40_000)
        self.arrived = queue.Queue(64)
        threading.Thread(target=self._read, args=(options.shards, options.kind, recipe), daemon=True).start()

    def _read(self, folder, kind, recipe):
        read = set()
        while True:
            for path in sorted(folder.glob('*.npz'), key=lambda p: p.stat().st_mtime):
                if path.name not in read:
                    read.add(path.name)
                    for strip in read_shard(path, kind, recipe):
                        self.arrived.put(strip)
            time.sleep(1)

    def take_new(self, most):
        """Takes up to `most` of the strips that arrived; returns how many."""
        came = 0
        while came < most and not self.arrived.empty():
            strip = self.arrived.get()
            rod = strip[0]['rod']
            if rod < HELD_OUT:
                (self.watch if rod % WATCH == 0 else self.train).add(*strip)
            came += 1
        return came


def rate_at(done, highest):
    """Warm up over the first 4 %, then a cosine to nothing (Loshchilov and Hutter 2017)."""
    if done < 0.04:
        return highest * (0.05 + 0.95 * done / 0.04)
    return highest * max(0.5 * (1 + math.cos(math.pi * (done - 0.04) / 0.96)), 1e-3)


def train(options):
    torch.manual_seed(options.seed)
    random.seed(options.seed)
    torch.backends.cudnn.benchmark = True
    recipe, cuda = RECIPES[options.kind], options.device.startswith('cuda')
    options.out.mkdir(parents=True, exist_ok=True)
    network = Network(recipe).to(options.device)
    if cuda:
        network = network.to(memory_format=torch.channels_last)
    if options.resume and options.resume.exists():
        network.load_state_dict(torch.load(options.resume, map_location=options.device))
    mean = copy.deepcopy(network).eval()  # running mean of the weights (Polyak and Juditsky 1992): what is kept
    optimiser = torch.optim.AdamW(network.parameters(), options.rate, weight_decay=1e-3)
    print(f'{options.kind}: {sum(p.numel() for p in network.parameters())} weights on {options.device}', flush=True)

    data = Data(options, recipe)
    waiting = time.time()
    while len(data.train.starts) < options.least and time.time() - waiting < options.wait:
        if not data.take_new(64):
            time.sleep(0.5)
    if not data.train.starts:
        raise SystemExit(f'no {options.kind} to learn from in {options.shards}')
    data.train.freeze()

    start, step, since, looked = time.time(), 0, {}, time.time()
    with open(options.out / f'{options.kind}-curve.csv', 'w', newline='') as file:
        curve = csv.writer(file)
        while (done := (time.time() - start) / options.seconds) < 1:
            data.take_new(8)
            if time.time() - looked > 5:
                data.train.freeze()
                looked = time.time()
            for group in optimiser.param_groups:
                group['lr'] = rate_at(done, options.rate)
            with torch.no_grad():
                picture, classes, things = data.train.crops(options.batch)
                picture = augment(picture)
            if cuda:
                picture = picture.contiguous(memory_format=torch.channels_last)
            network.train()
            with torch.autocast('cuda' if cuda else 'cpu', torch.bfloat16, enabled=cuda):
                output = network(picture)
            found = losses(recipe, output, classes, things)
            loss = total(found)
            optimiser.zero_grad(set_to_none=True)
            loss.backward()
            torch.nn.utils.clip_grad_norm_(network.parameters(), 5)
            optimiser.step()
            step += 1
            follow(mean, network, min(0.998, step / (step + 10)))
            for name, value in found.items():
                since[name] = since.get(name, 0) + value.detach()
            if step % 100 == 0 or step == 1:
                over = 100 if step > 1 else 1
                row = {name: float(value) / over for name, value in since.items()}
                if step <= 100:
                    curve.writerow(['seconds', 'step', 'strips', *row])
                if not all(math.isfinite(value) for value in row.values()):
                    raise SystemExit(f'training diverged at step {step}: {row}')
                curve.writerow([round(time.time() - start, 1), step, len(data.train.starts), *(round(v, 5) for v in row.values())])
                file.flush()
                since = {}
                if step % 500 == 0:
                    print(f'{options.kind} {time.time() - start:.0f} s step {step} strips {len(data.train.starts)} ' + ' '.join(f'{n} {v:.4f}' for n, v in row.items()), flush=True)
    print(f'{options.kind}: {step} steps of {options.batch}, {len(data.train.starts)} strips', flush=True)
    return recipe, mean, data


def follow(mean, network, keep):
    with torch.no_grad():
        for a, b in zip(mean.state_dict().values(), network.state_dict().values()):
            if a.dtype.is_floating_point:
                a.lerp_(b, 1 - keep)
            else:
                a.copy_(b)


def main():
    options = arguments()
    recipe, network, data = train(options)
    torch.save(network.state_dict(), options.out / f'{options.kind}.pt')
    network = network.to(memory_format=torch.contiguous_format)
    if data.watch.starts:
        data.watch.freeze()
        rods = len({entry['rod'] for entry in data.watch.entries})
        print(f'{options.kind}, rods that only watched:\n' + judge(network, data.watch, range(len(data.watch.starts))).table(rods), flush=True)
    write_onnx(network, recipe, options.out / f'{options.kind}.onnx')


if __name__ == '__main__':
    main()
