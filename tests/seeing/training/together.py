"""Several learners of one network, each on a GPU and crops of its own, whose weights are averaged every few steps (local SGD: Stich 2019,
Lin et al. 2020). Started as torchrun does it: RANK, WORLD_SIZE, MASTER_ADDR and MASTER_PORT in the environment; alone without them."""
import datetime
import os

import torch
import torch.distributed as dist


class Together:
    """This learner among all of them; `first` is true of the one that writes what was learned."""

    def __init__(self, network, every=16):
        self.every, self.count, self.rank = every, int(os.environ.get('WORLD_SIZE', 1)), int(os.environ.get('RANK', 0))
        self.values = [value for value in network.state_dict().values() if value.dtype.is_floating_point]
        self.first = self.rank == 0
        if self.count > 1:
            kind = 'nccl' if self.values[0].is_cuda else 'gloo'
            dist.init_process_group(kind, timeout=datetime.timedelta(seconds=240))
            self._share(0.0)

    @torch.no_grad()
    def _share(self, ended):
        """Averages the weights and `ended` over all learners; returns the latter."""
        flat = torch.cat([value.flatten() for value in self.values] + [self.values[0].new_tensor([ended])])
        dist.all_reduce(flat)
        flat /= self.count
        for value, mean in zip(self.values, flat.split([value.numel() for value in self.values] + [1])):
            value.copy_(mean.view_as(value))
        return float(flat[-1])

    def goes_on(self, step, ended):
        """Averages where it is time to; false as soon as one of them has ended."""
        if self.count == 1:
            return not ended
        return step % self.every != 0 or self._share(float(ended)) == 0

    def leave(self):
        if self.count > 1:
            dist.destroy_process_group()
