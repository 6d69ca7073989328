"""Trains one of the finder's networks until a given time, while shards may still be arriving.

    train.py KIND SHARDS OUT --until TIME [--resume FILE] [--batch N] [--part FROM TO]

KIND strip or lane; SHARDS a folder with *.npz of make_strips.py; OUT a folder for KIND.pt, KIND.onnx, KIND-curve.csv,
KIND-table.md. Rods from HELD_OUT on are never trained on; one rod in 25 of the others only watches. A training may be cut into
calls: --part says which part of the whole (0 to 1) this call is, and OUT/KIND-state.pt carries the optimiser from one to the next.
Weights and state are written every minute, so that a call cut short loses little.
Several of it, on a GPU each, learn one network together: see together.py.
"""
import argparse
import copy
import csv
import math
import multiprocessing
import os
import time
from pathlib import Path

import torch

from augment import augment
from decode import judge
from export import write_onnx
from grow import grow
from network import RECIPES, Network
from settle import settled
from step import Step, fastest_way
from store import Store, read_all
from together import Together

HELD_OUT = 900_000
WATCH = 25
READERS = 8
SETTLING = 50, 200  # batches that the kept weights' statistics are taken from: each minute, and at the end


def arguments():
    parser = argparse.ArgumentParser()
    parser.add_argument('kind', choices=RECIPES)
    parser.add_argument('shards', type=Path)
    parser.add_argument('out', type=Path)
    parser.add_argument('--until', type=float, required=True, help='when training ends, seconds since 1970')
    parser.add_argument('--batch', type=int, default=96)
    parser.add_argument('--part', type=float, nargs=2, default=(0.0, 1.0), help='of the whole training')
    parser.add_argument('--rate', type=float, default=2e-3, help='highest learning rate')
    parser.add_argument('--seed', type=int, default=1)
    parser.add_argument('--resume', type=Path, help='weights to go on from, of this network or a smaller one')
    parser.add_argument('--least', type=int, default=200, help='strips to wait for before the first step')
    parser.add_argument('--wait', type=float, default=240, help='seconds to wait for them at most')
    parser.add_argument('--device', default='cuda' if torch.cuda.is_available() else 'cpu')
    return parser.parse_args()


class Data:
    """The shards as they arrive, read by processes of their own: rods to learn from and rods that only watch."""

    def __init__(self, options, recipe):
        big = torch.device(options.device).type == 'cuda'
        self.train = Store(recipe, options.kind, options.device, 60_000_000 if big and options.kind == 'strip' else 32_000_000 if big else 60_000)
        self.watch = Store(recipe, options.kind, options.device, 1_500_000 if big else 40_000)
        context = multiprocessing.get_context('spawn')
        self.arrived = context.Queue(96)
        for share in range(READERS):
            context.Process(target=read_all, args=(options.shards, options.kind, recipe, self.arrived, share, READERS), daemon=True).start()

    def take_new(self, most):
        """Takes up to `most` of the strips that arrived; returns how many."""
        came = 0
        while came < most and not self.arrived.empty():
            entry, samples = self.arrived.get()
            if entry['rod'] < HELD_OUT:
                (self.watch if entry['rod'] % WATCH == 0 else self.train).add(entry, samples)
            came += 1
        return came


def rate_at(done, highest):
    """Warm up over the first 4 %, then a cosine to nothing (Loshchilov and Hutter 2017)."""
    if done < 0.04:
        return highest * (0.05 + 0.95 * done / 0.04)
    return highest * max(0.5 * (1 + math.cos(math.pi * (done - 0.04) / 0.96)), 1e-3)


def train(options):
    seed = options.seed + round(1000 * options.part[0])
    torch.manual_seed(seed)  # the same weights for all that learn together, and then crops of its own for each
    torch.backends.cudnn.benchmark = True
    torch.set_float32_matmul_precision('high')
    recipe, cuda = RECIPES[options.kind], options.device.startswith('cuda')
    options.out.mkdir(parents=True, exist_ok=True)
    data = Data(options, recipe)
    network = Network(recipe).to(options.device)
    if options.resume and options.resume.exists():
        grow(network, torch.load(options.resume, map_location=options.device))
    form, kind = fastest_way(recipe, options.batch, options.device)
    network = network.to(memory_format=form)
    mean = copy.deepcopy(network).eval()  # running mean of the weights (Polyak and Juditsky 1992): what is kept
    step_of = Step(network, recipe, options.batch, options.rate, kind)
    state = options.out / f'{options.kind}-state.pt'
    if options.part[0] > 0 and state.exists():
        kept = torch.load(state, map_location=options.device)
        network.load_state_dict(kept['network'])
        step_of.optimiser.load_state_dict(kept['optimiser'])
    follow = follower(mean, network)
    torch.manual_seed(seed + 7919 * int(os.environ.get('RANK', 0)))
    print(f'{options.kind}: {sum(p.numel() for p in network.parameters())} weights on {options.device}', flush=True)

    waiting = time.time()
    while len(data.train.starts) < options.least and time.time() - waiting < options.wait:
        if not data.take_new(64):
            time.sleep(0.5)
    if not data.train.starts:
        raise SystemExit(f'no {options.kind} to learn from in {options.shards}')
    data.train.freeze()
    together = Together(network)

    def draw():
        with torch.no_grad():
            picture, classes, things = data.train.crops(options.batch)
            return augment(picture).float().contiguous(memory_format=form), classes, things

    def write(batches):
        kept = settled(mean, lambda: draw()[0], batches)
        save(kept.state_dict(), options.out / f'{options.kind}.pt')
        save({'network': network.state_dict(), 'optimiser': step_of.optimiser.state_dict()}, state)
        return kept

    network.train()
    start, step, since, came, looked, saved = time.time(), 0, {}, 0, time.time(), time.time()
    first, last = options.part
    follows = 20_000 * first  # a call that goes on keeps the mean it was left
    with open(options.out / f'{options.kind}-curve.csv' if together.first else os.devnull, 'a', newline='') as file:
        curve = csv.writer(file)
        while together.goes_on(step, (done := (time.time() - start) / (options.until - start)) >= 1):
            if step % 4 == 0:
                came += data.take_new(8)
            if came and time.time() - looked > 5:
                data.train.freeze()
                came, looked = 0, time.time()
            if time.time() - saved > 60 and together.first:
                write(SETTLING[0])
                saved = time.time()
            step_of.set_rate(rate_at(first + (last - first) * min(done, 1), options.rate))
            found = step_of(*draw())
            data.train.heed(step_of.each)
            step += 1
            follow(min(0.9995, (step + follows) / (step + follows + 10)))
            for name, value in found.items():
                since[name] = since.get(name, 0) + value
            if step % 200 == 0:
                row = {name: float(value) / 200 for name, value in since.items()}
                if not all(math.isfinite(value) for value in row.values()):
                    raise SystemExit(f'training diverged at step {step}: {row}')
                if step == 200:
                    curve.writerow(['seconds', 'step', 'strips', *row])
                if step % 1000 == 0 or step == 200:
                    curve.writerow([round(time.time() - start, 1), step, len(data.train.starts), *(round(v, 5) for v in row.values())])
                    file.flush()
                since = {}
                if together.first and (step % 2000 == 0 or step in (200, 1000)):
                    print(f'{options.kind} {time.time() - start:.0f} s step {step} strips {len(data.train.starts)} ' + ' '.join(f'{n} {v:.4f}' for n, v in row.items()), flush=True)
    print(f'{options.kind}: {step} steps of {together.count} x {options.batch}, {len(data.train.starts)} strips', flush=True)
    together.leave()
    if not together.first:
        raise SystemExit
    return recipe, write(SETTLING[1]), data


def follower(mean, network):
    """A function that draws `mean` toward `network`, in few launches."""
    pairs = list(zip(mean.state_dict().values(), network.state_dict().values()))
    theirs = [b for a, b in pairs if a.dtype.is_floating_point]
    ours = [a for a, b in pairs if a.dtype.is_floating_point]

    @torch.no_grad()
    def follow(keep):
        if hasattr(torch, '_foreach_lerp_'):
            torch._foreach_lerp_(ours, theirs, 1 - keep)
        else:
            for a, b in zip(ours, theirs):
                a.lerp_(b, 1 - keep)

    return follow


def save(what, path):
    part = path.with_suffix('.part')
    torch.save(what, part)
    part.rename(path)


def main():
    options = arguments()
    recipe, network, data = train(options)
    write_onnx(network.to(memory_format=torch.contiguous_format), recipe, options.out / f'{options.kind}.onnx')
    if data.watch.starts:
        data.watch.freeze()
        some = range(min(len(data.watch.starts), 120))
        rods = len({data.watch.entries[i]['rod'] for i in some})
        print(f'{options.kind}, rods that only watched:\n' + judge(network, data.watch, some).table(rods), flush=True)


if __name__ == '__main__':
    main()
