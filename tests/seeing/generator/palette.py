"""Colours and finishes: linear reflectances, f0 at normal incidence, roughness ranges. Metals: f0 after Gulbrandsen 2014's tables, from memory."""
import colorsys

import numpy as np

# name: (diffuse, f0, roughness from, to, share)
FRAMES = {
    'chrome': ((0.02, 0.02, 0.02), (0.62, 0.62, 0.63), 0.05, 0.22, 3),
    'steel': ((0.03, 0.03, 0.03), (0.50, 0.49, 0.47), 0.18, 0.4, 1.5),
    'gold': ((0.03, 0.02, 0.0), (0.85, 0.62, 0.26), 0.07, 0.3, 1.3),
    'black': ((0.012, 0.012, 0.013), (0.05, 0.05, 0.05), 0.12, 0.5, 3),
    'smoke': ((0.02, 0.02, 0.022), (0.16, 0.155, 0.16), 0.08, 0.3, 2),
    'titanium': ((0.05, 0.05, 0.05), (0.30, 0.285, 0.27), 0.22, 0.45, 2),
    'rose': ((0.03, 0.02, 0.015), (0.70, 0.42, 0.33), 0.1, 0.3, 0.6),
    'blued': ((0.01, 0.012, 0.03), (0.10, 0.14, 0.30), 0.08, 0.3, 0.6),
    'red': ((0.02, 0.0, 0.0), (0.45, 0.06, 0.05), 0.12, 0.3, 0.3),
}
CERAMICS = {
    'black': ((0.015, 0.015, 0.016), (0.09, 0.09, 0.095), 0.06, 0.4, 3),
    'grey': ((0.11, 0.11, 0.115), (0.08, 0.08, 0.08), 0.1, 0.4, 2.5),
    'bluegrey': ((0.05, 0.06, 0.09), (0.10, 0.10, 0.12), 0.06, 0.3, 1.5),
    'dark grey': ((0.035, 0.035, 0.035), (0.16, 0.16, 0.16), 0.08, 0.3, 1.5),
    'white': ((0.55, 0.54, 0.5), (0.06, 0.06, 0.06), 0.1, 0.4, 0.7),
    'green': ((0.02, 0.08, 0.05), (0.07, 0.07, 0.07), 0.1, 0.35, 0.5),
    'blue': ((0.015, 0.03, 0.12), (0.07, 0.07, 0.07), 0.1, 0.35, 0.5),
    'brown': ((0.10, 0.045, 0.02), (0.07, 0.07, 0.07), 0.1, 0.35, 0.5),
    'gold': ((0.05, 0.035, 0.0), (0.75, 0.55, 0.22), 0.1, 0.3, 0.5),
    'silver': ((0.05, 0.05, 0.05), (0.5, 0.5, 0.5), 0.1, 0.3, 0.5),
}


def pick(rng, table):
    names = list(table)
    w = np.array([table[n][-1] for n in names], float)
    return names[rng.choice(len(names), p=w / w.sum())]


def finish(shapes, rng, table, name, **extra):
    kd, f0, low, high, _ = table[name]
    vary = rng.uniform(0.8, 1.2, 3) * rng.uniform(0.8, 1.15)
    return shapes.material(np.clip(np.array(kd) * vary, 0, 0.9), np.clip(np.array(f0) * rng.uniform(0.9, 1.1), 0, 0.98), rng.uniform(low, high), **extra)


def colour(rng, saturation=(0.3, 1.0), value=(0.05, 0.8)):
    """Any colour, linear."""
    return np.array(colorsys.hsv_to_rgb(rng.random(), rng.uniform(*saturation), rng.uniform(*value))) ** 1.6


BLANKS = {  # name: (colour, jitter, roughness range, share)
    'black matt': ((0.012, 0.012, 0.013), 0.3, (0.35, 0.6), 2),
    'black gloss': ((0.010, 0.010, 0.011), 0.3, (0.05, 0.2), 2.5),
    'charcoal': ((0.035, 0.035, 0.037), 0.3, (0.15, 0.5), 1.5),
    'grey': ((0.12, 0.12, 0.12), 0.4, (0.1, 0.5), 1),
    'honey': ((0.42, 0.19, 0.045), 0.2, (0.06, 0.35), 2),
    'brown': ((0.09, 0.04, 0.018), 0.3, (0.06, 0.4), 1),
    'olive': ((0.06, 0.065, 0.025), 0.3, (0.06, 0.4), 1),
    'burgundy': ((0.07, 0.008, 0.012), 0.3, (0.05, 0.3), 1),
    'green': ((0.012, 0.05, 0.03), 0.3, (0.05, 0.3), 0.7),
    'blue': ((0.012, 0.025, 0.10), 0.3, (0.05, 0.3), 0.7),
    'ivory': ((0.72, 0.66, 0.52), 0.1, (0.08, 0.45), 1.5),
    'white': ((0.75, 0.75, 0.74), 0.06, (0.08, 0.5), 1.5),
    'yellow': ((0.6, 0.42, 0.06), 0.15, (0.1, 0.4), 0.4),
    'any': (None, 0, (0.05, 0.5), 1),
}
