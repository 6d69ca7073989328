"""What other rods, lights and phones make of a strip: colour, light, blur, sharpening, noise. Per crop, on the device.

In half precision and few passes: making the crops must cost less than learning from them.
"""
import math

import torch
import torch.nn.functional as F

GREY = (0.299, 0.587, 0.114)  # ITU-R BT.601


def colour_matrices(count, device):
    """(count, 3, 3): channels swapped, hue turned about grey, colour strengthened or taken away, a cast, an evening's or a shade's, the exposure."""
    random = lambda low, high, *shape: low + (high - low) * torch.rand(count, *(shape or (1, 1)), device=device)
    chance = lambda share: (torch.rand(count, 1, 1, device=device) < share).float()
    one = torch.eye(3, device=device)[None]
    grey = torch.tensor(GREY, device=device).expand(3, 3)[None]
    swaps = one[0][torch.stack([torch.randperm(3, device=device) for _ in range(4)])]
    swap = chance(0.1)
    m = swap * swaps[torch.randint(0, 4, (count,), device=device)] + (1 - swap) * one
    # Rodrigues' rotation about the grey axis.
    angle = chance(0.25) * random(-math.pi, math.pi)
    k = torch.tensor([[0.0, -1.0, 1.0], [1.0, 0.0, -1.0], [-1.0, 1.0, 0.0]], device=device)[None] / math.sqrt(3)
    m = (one + angle.sin() * k + (1 - angle.cos()) * (k @ k)) @ m
    strength = 1 + chance(0.5) * (random(0.1, 1.6) - 1)
    m = (grey + strength * (one - grey)) @ m
    cast = 1 + chance(0.5) * (random(0.88, 1.12, 3, 1) - 1)
    # What a phone leaves of a lamp's or a low sun's colour, and less often of the sky's in the shade; often too dark as well.
    strong = chance(0.15)
    warm = strong * random(0.2, 1) * torch.tensor([0.0, 0.2, 0.45], device=device)[None, :, None]
    cool = chance(0.2)
    cast = cast * (1 - (1 - cool) * warm - cool * warm.flip(1))
    dim = torch.maximum(chance(0.1), strong * chance(0.4))
    return cast * m * (dim * random(0.4, 0.7) + (1 - dim) * random(0.7, 1.2))


def augment(picture):
    """picture: (count, 3, rows, columns) RGB 0..1 of half precision, black where the photo does not reach; same shape returned."""
    count, _, rows, columns = picture.shape
    device, kind = picture.device, picture.dtype
    random = lambda low, high: (low + (high - low) * torch.rand(count, 1, 1, 1, device=device)).to(kind)
    chance = lambda share: (torch.rand(count, 1, 1, 1, device=device) < share).to(kind)
    inside = (picture.amax(1, keepdim=True) > 0).to(kind)
    x = torch.bmm(colour_matrices(count, device).to(kind), picture.flatten(2)).view_as(picture)
    along = torch.linspace(-1, 1, columns, device=device, dtype=kind).view(1, 1, 1, -1)
    across = torch.linspace(-1, 1, rows, device=device, dtype=kind).view(1, 1, -1, 1)
    x = x * ((1 + random(-0.25, 0.25) * along) * (1 + random(-0.2, 0.2) * across)) + chance(0.5) * random(-0.04, 0.08)
    x = x.clamp(0.002, 1.3) ** (1 + chance(0.6) * (torch.exp(random(-0.4, 0.45)) - 1))
    # The curve that phones draw for contrast, or against it.
    within = x.clamp(max=1)
    x = x + chance(0.3) * random(-0.3, 0.6) * (within * within * (3 - 2 * within) - within)
    # One blur serves both: toward it is soft focus, away from it a phone's sharpening, now and then far too much of it.
    soft = F.avg_pool2d(F.avg_pool2d(x, 3, 1, 1, count_include_pad=False), 3, 1, 1, count_include_pad=False)
    draw = torch.rand(count, 1, 1, 1, device=device)
    sharpened = torch.where(draw < 0.55, random(-1.1, -0.2).float(), torch.where(draw < 0.63, random(-2.2, -1.1).float(), torch.zeros_like(draw)))
    share = torch.where(draw < 0.3, random(0.2, 1.0).float(), sharpened)
    x = x + share.to(kind) * (soft - x)
    coarse = F.interpolate(torch.randn(count, 3, rows // 2, columns // 2, device=device, dtype=kind), scale_factor=2.0, mode='nearest')
    noisy = chance(0.6)
    x = x + (noisy * random(0, 0.04)) * torch.randn_like(x) + (noisy * random(0, 0.025)) * coarse
    return x.clamp(0, 1) * inside
