"""One step of learning, recorded once and replayed on the GPU: a small network's hundreds of launches cost more than its sums."""
import time

import torch

from loss import losses, total
from network import CLASSES, Network


class Step:
    """Forward, loss, backward and optimiser on a batch; `optimiser` is AdamW (Loshchilov and Hutter 2019)."""

    def __init__(self, network, recipe, batch, rate, kind=torch.float32, decay=1e-3):
        self.network, self.recipe, self.kind = network, recipe, kind
        device = next(network.parameters()).device
        self.cuda = device.type == 'cuda'
        self.rate = torch.tensor(rate, device=device) if self.cuda else rate
        more = {'fused': True, 'capturable': True} if self.cuda else {}
        self.optimiser = torch.optim.AdamW(network.parameters(), self.rate, weight_decay=decay, **more)
        self.graph, self.waits = None, self.cuda
        rows, columns, stride = recipe.rows, recipe.crop, recipe.stride
        form = next(p for p in network.parameters() if p.dim() == 4 and p.shape[1] > 1)
        form = torch.channels_last if form.is_contiguous(memory_format=torch.channels_last) and not form.is_contiguous() else torch.contiguous_format
        self.picture = torch.zeros(batch, 3, rows, columns, device=device).contiguous(memory_format=form)
        self.classes = torch.zeros(batch, rows // stride, columns // stride, dtype=torch.long, device=device)
        self.things = torch.full((batch, recipe.most, 7), -1.0, device=device)

    def set_rate(self, rate):
        """The learning rate of the steps that follow."""
        for group in self.optimiser.param_groups:
            if torch.is_tensor(group['lr']):
                group['lr'].fill_(rate)
            else:
                group['lr'] = rate

    def _learn(self):
        self.optimiser.zero_grad(set_to_none=False)
        with torch.autocast('cuda' if self.cuda else 'cpu', torch.bfloat16, enabled=self.kind == torch.bfloat16):
            output = self.network(self.picture)
        found, self.each = losses(self.recipe, output, self.classes, self.things)
        total(found).backward()
        torch.nn.utils.clip_grad_norm_(self.network.parameters(), 5)
        self.optimiser.step()
        return {name: value.detach() for name, value in found.items()}

    def _record(self):
        """CUDA graph of one step, after some in the open; None where this machine cannot record it, which is said."""
        self.waits = False
        side = torch.cuda.Stream()
        side.wait_stream(torch.cuda.current_stream())
        with torch.cuda.stream(side):
            for _ in range(4):
                self._learn()
        torch.cuda.current_stream().wait_stream(side)
        graph = torch.cuda.CUDAGraph()
        try:
            with torch.cuda.graph(graph):
                self.found = self._learn()
            self.graph = graph
        except RuntimeError as fault:
            torch.cuda.synchronize()
            print(f'the step could not be recorded, it runs launch by launch: {fault}', flush=True)

    def __call__(self, picture, classes, things):
        """Learns from a batch; returns its mean losses by name, and leaves the centres' loss of each picture in `each`."""
        self.picture.copy_(picture)
        self.classes.copy_(classes)
        self.things.copy_(things)
        if self.waits:
            self._record()
        if self.graph is None:
            return self._learn()
        self.graph.replay()
        return {name: value.clone() for name, value in self.found.items()}


def fastest_way(recipe, batch, device):
    """Memory format and number type in which a step takes the least time on this machine, by trying."""
    if not device.startswith('cuda'):
        return torch.contiguous_format, torch.float32
    best = None
    things = torch.tensor([160.0, 112.0, 10.0, 0.0, 1.0, 0.0, 1.0], device=device).expand(batch, recipe.most, 7)
    for form in (torch.contiguous_format, torch.channels_last):
        for kind in (torch.float32, torch.bfloat16):
            network = Network(recipe).to(device).to(memory_format=form).train()
            step = Step(network, recipe, batch, 1e-4, kind)
            picture, classes = torch.rand_like(step.picture), torch.randint_like(step.classes, len(CLASSES))
            for turn in range(24):
                if turn == 8:
                    torch.cuda.synchronize()
                    since = time.time()
                step(picture, classes, things)
            torch.cuda.synchronize()
            each = (time.time() - since) / 16
            print(f'{form} {kind}: {1000 * each:.1f} ms a step of {batch}{"" if step.graph else ", not recorded"}', flush=True)
            # Half precision has to earn what it costs in exactness.
            weighed = each * (1.4 if kind == torch.bfloat16 else 1)
            best = min(best or (weighed, form, kind), (weighed, form, kind), key=lambda way: way[0])
            del step, network
    torch.cuda.empty_cache()
    return best[1:]
