"""The finder's network: one small U-shaped architecture for the strip, the lane and the tip.

Depthwise separable convolutions (Sifre 2014, Chollet 2017) because a 3 x 3 depthwise and a 1 x 1 convolution take a seventh of the
time of a full 3 x 3 one; residual (He et al. 2016); U-shaped (Ronneberger et al. 2015).
Output channels, all at the output stride: see OUTPUTS. Heads are raw (logits).
"""
from dataclasses import dataclass

import torch.nn as nn
import torch.nn.functional as F

CLASSES = ['paper', 'blank', 'shadow', 'line', 'grip', 'tape', 'thread', 'wax', 'frame', 'ring', 'wire', 'tube', 'other', 'tag']


@dataclass(frozen=True)
class Recipe:
    """What differs between the networks. Lengths in samples of the network's input."""

    rows: int  # of the input, a multiple of 32
    channels: tuple  # at strides 2, 4, 8, 16, 32
    blocks: tuple  # residual blocks at strides 4, 8, 16, 32
    fine: int  # channels of the last stage at stride 2, 0 for output at stride 4
    heats: tuple  # kinds of centre with a heat map each
    sized: bool  # radius, foot sides and sub-cell offset as well
    crop: int  # columns of a training crop
    most: int  # things in one picture that are learned from
    measured: bool = False  # how far beside the middle of its cell a centre lies along, and how well that is known, as well

    @property
    def stride(self):
        return 2 if self.fine else 4

    @property
    def outputs(self):
        return len(self.heats) + (5 if self.sized else 2 if self.measured else 0) + len(CLASSES)


# strip: heats 0..2, log2 of radius / 10 samples 3, foot toward tip 4, toward butt 5, offset along 6 and across 7 (cells), classes 8..21
# lane: heat of the tip 0, classes 1..14
# tip: heat of the end 0, offset along (cells) 1, natural log of the mean error (cells) 2; classes 3..16, which are only learned with
RECIPES = {
    'strip': Recipe(224, (24, 56, 104, 192, 288), (3, 3, 3, 3), 0, ('ring', 'tip-top', 'snake'), True, 320, 24),
    'lane': Recipe(256, (8, 24, 48, 96, 168), (1, 2, 3, 3), 12, ('tip',), False, 320, 1),
    'tip': Recipe(64, (12, 24, 48, 72, 84), (1, 2, 2, 1), 16, ('end',), False, 320, 1, True),
}


def full(a, b):
    return nn.Sequential(nn.Conv2d(a, b, 3, 2, 1, bias=False), nn.BatchNorm2d(b), nn.ReLU())


class Separable(nn.Module):
    """Depthwise then pointwise; at stride 1 with the input added."""

    def __init__(self, a, b, stride=1):
        super().__init__()
        self.depth = nn.Sequential(nn.Conv2d(a, a, 3, stride, 1, groups=a, bias=False), nn.BatchNorm2d(a), nn.ReLU())
        self.point = nn.Sequential(nn.Conv2d(a, b, 1, bias=False), nn.BatchNorm2d(b))
        self.residual = stride == 1

    def forward(self, x):
        y = self.point(self.depth(x))
        return F.relu(x + y if self.residual else y)


class Up(nn.Module):
    """The coarser stage, doubled, added to the finer one, and mixed."""

    def __init__(self, coarse, fine):
        super().__init__()
        self.lateral = nn.Conv2d(coarse, fine, 1)
        self.mix = Separable(fine, fine)

    def forward(self, fine, coarse):
        return self.mix(F.relu(fine + F.interpolate(self.lateral(coarse), scale_factor=2.0, mode='nearest')))


class Network(nn.Module):
    def __init__(self, recipe):
        super().__init__()
        c2, c4, c8, c16, c32 = recipe.channels
        n4, n8, n16, n32 = recipe.blocks

        def stage(channels, count):
            return nn.Sequential(*[Separable(channels, channels) for _ in range(count)])

        self.to2, self.to4, self.at4 = full(3, c2), full(c2, c4), stage(c4, n4)
        self.to8, self.at8 = Separable(c4, c8, 2), stage(c8, n8)
        self.to16, self.at16 = Separable(c8, c16, 2), stage(c16, n16)
        self.to32, self.at32 = Separable(c16, c32, 2), stage(c32, n32)
        self.up16, self.up8, self.up4 = Up(c32, c16), Up(c16, c8), Up(c8, c4)
        last = c4
        if recipe.fine:
            last = recipe.fine
            self.skip2, self.up2 = nn.Conv2d(c2, last, 1), Up(c4, last)
        self.fine = bool(recipe.fine)
        self.head = nn.Conv2d(last, recipe.outputs, 1)
        # Centres are rare: start near their share, as Lin et al. (2017) do for the focal loss.
        nn.init.zeros_(self.head.bias)
        nn.init.constant_(self.head.bias[: len(recipe.heats)], -4.0)

    def forward(self, x):
        x2 = self.to2(x)
        x4 = self.at4(self.to4(x2))
        x8 = self.at8(self.to8(x4))
        x16 = self.at16(self.to16(x8))
        x32 = self.at32(self.to32(x16))
        y = self.up4(x4, self.up8(x8, self.up16(x16, x32)))
        if self.fine:
            y = self.up2(self.skip2(x2), y)
        return self.head(y)
