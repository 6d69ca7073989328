"""The table of one network over held-out rods.

    evaluate.py KIND WEIGHTS SHARDS TABLE.md
"""
import sys
from pathlib import Path

import torch

from decode import judge
from network import RECIPES, Network
from store import Store, packed, read_shard


def main():
    kind, weights, shards, table = sys.argv[1], *map(Path, sys.argv[2:5])
    device = 'cuda' if torch.cuda.is_available() else 'cpu'
    recipe = RECIPES[kind]
    network = Network(recipe).to(device)
    network.load_state_dict(torch.load(weights, map_location=device))
    store = Store(recipe, kind, device, 4_000_000 if device == 'cuda' else 100_000)
    for path in sorted(shards.glob('*.npz')):
        for entry, picture, classes in read_shard(path, kind, recipe):
            store.add(entry, packed(picture, classes))
    rods = len({entry['rod'] for entry in store.entries})
    text = judge(network, store, range(len(store.starts))).table(rods)
    table.write_text(f'# {kind}: {len(store.starts)} pictures of {rods} rods never trained on\n\n{text}\n')
    print(table.read_text(), flush=True)


if __name__ == '__main__':
    main()
