"""Weights of a smaller network in a larger one that says the same at first, so that what was learned is not learned again.

After Chen, Goodfellow and Shlens (Net2Net, 2016): what is added starts at random but is not listened to yet.
"""
import torch


@torch.no_grad()
def grow(network, smaller):
    """Loads the state `smaller`, of a network of the same shape or of fewer channels and blocks, into `network`."""
    state = network.state_dict()
    for name, values in state.items():
        if name not in smaller:
            # A residual block more: it adds nothing yet.
            if name.endswith('point.1.weight'):
                values.zero_()
            continue
        old = smaller[name]
        if values.dim() == 4 and values.shape[1] > 1:
            values[: old.shape[0], old.shape[1] :] = 0
        values[tuple(slice(size) for size in old.shape)] = old
    network.load_state_dict(state)
