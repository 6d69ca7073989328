"""What other rods, lights and phones make of a strip: colour, light, blur, sharpening, noise. Per crop, on the device."""
import torch
import torch.nn.functional as F


def augment(picture):
    """picture: (count, 3, rows, columns) RGB 0..1, black where the photo does not reach; returns the same shape."""
    count, device = picture.shape[0], picture.device
    outside = (picture.amax(1, keepdim=True) <= 0).float()
    random = lambda low, high, channels=1: low + (high - low) * torch.rand(count, channels, 1, 1, device=device)
    chance = lambda share: (torch.rand(count, 1, 1, 1, device=device) < share).float()

    # Channels swapped, hue turned, colour strengthened or taken away.
    order = torch.stack([torch.randperm(3, device=device) for _ in range(8)])[torch.randint(0, 8, (count,), device=device)]
    swapped = torch.gather(picture, 1, order[:, :, None, None].expand_as(picture))
    swap = chance(0.3)
    x = swap * swapped + (1 - swap) * picture
    light = (x * torch.tensor([0.299, 0.587, 0.114], device=device).view(1, 3, 1, 1)).sum(1, keepdim=True)
    colour = x - light
    angle = chance(0.5) * random(-3.14159, 3.14159)
    axis = 1 / 3**0.5
    cross = axis * (colour.roll(-1, 1) - colour.roll(1, 1))
    colour = colour * angle.cos() + cross * angle.sin() + colour.mean(1, keepdim=True) * (1 - angle.cos())
    x = light + colour * (1 + chance(0.6) * (random(0, 1.7) - 1))

    # Tone, light falling off, a cast.
    x = x.clamp(0, 1) ** (1 + chance(0.7) * (torch.exp(random(-0.5, 0.55)) - 1))
    x = x * (1 + chance(0.5) * (random(0.85, 1.15, 3) - 1))
    along = torch.linspace(-1, 1, x.shape[3], device=device).view(1, 1, 1, -1)
    across = torch.linspace(-1, 1, x.shape[2], device=device).view(1, 1, -1, 1)
    x = x * random(0.55, 1.25) * (1 + random(-0.3, 0.3) * along) * (1 + random(-0.25, 0.25) * across)
    x = x + random(-0.06, 0.1) * chance(0.6)

    # Focus, a phone's sharpening, its noise (finer and coarser grain).
    soft = blur(x, random(0.25, 1.5).flatten())
    mix = chance(0.4)
    x = mix * soft + (1 - mix) * x
    x = x + chance(0.35) * random(0.2, 1.3) * (x - blur(x, random(0.8, 1.8).flatten()))
    fine = torch.randn_like(x) * random(0, 0.045)
    coarse = F.interpolate(torch.randn(count, 3, x.shape[2] // 2, x.shape[3] // 2, device=device), scale_factor=2, mode='bilinear')
    x = x + chance(0.7) * (fine + coarse * random(0, 0.03))
    return x.clamp(0, 1) * (1 - outside)


def blur(x, sigma):
    """Gaussian blur, one sigma (samples) per picture."""
    count, channels = x.shape[:2]
    reach = torch.arange(-4, 5, device=x.device).float()
    kernel = torch.exp(-0.5 * (reach[None] / sigma[:, None]) ** 2)
    kernel = (kernel / kernel.sum(1, keepdim=True)).repeat_interleave(channels, 0)[:, None]
    flat = F.pad(x.reshape(1, count * channels, *x.shape[2:]), (4, 4, 4, 4), mode='replicate')
    flat = F.conv2d(flat, kernel[:, :, None, :], groups=count * channels)
    return F.conv2d(flat, kernel[:, :, :, None], groups=count * channels).reshape(x.shape)
