"""Batch normalisation for weights that are a mean over many steps: the steps' own statistics, averaged, are not theirs, so that they are
taken anew (Izmailov et al., Averaging weights leads to wider optima, 2018)."""
import copy

import torch


@torch.no_grad()
def settled(network, draw, batches):
    """A copy of the network, to be judged, whose statistics are plain means over so many batches of pictures that `draw()` gives."""
    network = copy.deepcopy(network)
    for module in network.modules():
        if isinstance(module, torch.nn.BatchNorm2d):
            module.reset_running_stats()
            module.momentum = None  # a plain mean over all that it sees
    network.train()
    for _ in range(batches):
        network(draw())
    return network.eval()
