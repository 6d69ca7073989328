"""The tracer through ctypes: builds the shared library (nvcc where a GPU is, else g++), uploads scenes, renders crops."""
import ctypes
import hashlib
import os
import shutil
import subprocess
import tempfile
from pathlib import Path

import numpy as np

SOURCE = Path(__file__).parent / 'tracer'
GLOBALS = 64
# places in the globals, as in tracer/scene.h
SUN_DIR, SUN_RGB, SUN_COS, ENV_ROT, PAPER, INK, WAVE = 0, 3, 6, 7, 8, 11, 14
BENCH_ROUGH, BENCH_F0, PAPER_ROUGH, SPIRAL_PERIOD, SPIRAL_AMOUNT, SKIN_F0, DEPTH, CLAMP, SHADOW, BENCH_ROT = range(30, 40)


_library = None


def nvcc():
    return shutil.which('nvcc') or next((str(p) for p in [Path('/usr/local/cuda/bin/nvcc')] if p.exists()), None)


def has_gpu():
    """TRACE_ON=cpu or gpu decides; else whether this machine has a GPU and its compiler."""
    wish = os.environ.get('TRACE_ON', '')
    if wish == 'gpu' and nvcc() is None:
        raise RuntimeError('TRACE_ON=gpu, but there is no nvcc here: put it on PATH or leave TRACE_ON out')
    return wish == 'gpu' or (wish != 'cpu' and any(Path('/dev').glob('nvidia[0-9]*')) and nvcc() is not None)


def build():
    """Compiles the tracer unless this very source was compiled already; returns the library's path."""
    gpu = has_gpu()
    text = b''.join(p.read_bytes() for p in sorted(SOURCE.iterdir()))
    key = hashlib.sha256(text + str(gpu).encode()).hexdigest()[:12]
    out = Path(tempfile.gettempdir()) / f'libtrace-{key}.so'
    if not out.exists():
        part = out.with_suffix(f'.{os.getpid()}')
        if gpu:
            command = [nvcc(), '-O3', '-arch=sm_90', '--use_fast_math', '-Xcompiler', '-fPIC', '-shared']
        else:
            command = ['g++', '-x', 'c++', '-O3', '-march=native', '-ffast-math', '-fopenmp', '-fPIC', '-shared']
        subprocess.run([*command, '-o', str(part), str(SOURCE / 'trace.cu')], check=True)
        part.rename(out)
    return out


def library(device=0):
    global _library
    if _library is None:
        _library = ctypes.CDLL(str(build()))
        _library.trace_scene.restype = ctypes.c_void_p
        _library.trace_free.argtypes = [ctypes.c_void_p]
        _library.trace_device(int(device))
    return _library


def _pointer(a):
    return None if a is None else a.ctypes.data_as(ctypes.c_void_p)


class TracedScene:
    """arrays: prims, mats, lights, tiles, env, ground, groundCls, bench, skin, skinCls, tagBits, globals, places."""

    def __init__(self, a, device=0):
        self.lib = library(device)
        f = lambda x: np.ascontiguousarray(x, np.float32)
        b = lambda x: np.ascontiguousarray(x, np.uint8)
        prims, mats, lights, tiles, env = f(a['prims']), f(a['mats']), f(a['lights']).reshape(-1, 16), f(a['tiles']), f(a['env'])
        ground, ground_cls, bench = b(a['ground']), b(a['groundCls']), b(a['bench'])
        skin, skin_cls, bits, g, places = b(a['skin']), b(a['skinCls']), b(a['tagBits']), f(a['globals']), f(a['places'])
        i = ctypes.c_int
        self.handle = ctypes.c_void_p(self.lib.trace_scene(
            _pointer(prims), i(len(prims)), _pointer(mats), i(len(mats)), _pointer(lights), i(len(lights)), _pointer(tiles), i(len(tiles)),
            _pointer(env), i(env.shape[1]), i(env.shape[0]), _pointer(ground), _pointer(ground_cls), i(ground.shape[1]), i(ground.shape[0]),
            _pointer(bench), i(bench.shape[1]), i(bench.shape[0]), _pointer(skin), _pointer(skin_cls), i(skin.shape[1]), i(skin.shape[0]),
            _pointer(bits), i(len(bits)), _pointer(g), _pointer(places)))

    def render(self, camera, crop, paths, far_paths=None, near_band=1e9, line=None, band=0.0, seed=0):
        """Linear RGB (h, w, 3) float32 and class (h, w) uint8, 255 outside the band. crop: x0, y0, w, h of the upright photo."""
        x0, y0, w, h = crop
        c = np.concatenate([camera['R'].ravel(), camera['C'], [camera['fx'], camera['fy'], camera['cx'], camera['cy']], camera['dist'],
                            camera['field'], np.ravel(line) if line is not None else [0, 0, 1, 0], [band, x0, y0]]).astype(np.float32)
        if len(c) != self.lib.trace_camera_floats():
            raise ValueError(f'camera of {len(c)} numbers, {self.lib.trace_camera_floats()} wanted')
        rgb, cls = np.empty((h, w, 3), np.float32), np.empty((h, w), np.uint8)
        rc = self.lib.trace_render(self.handle, _pointer(c), w, h, int(paths), int(far_paths or paths), ctypes.c_float(near_band),
                                   ctypes.c_uint(seed & 0xFFFFFFFF), _pointer(rgb), _pointer(cls))
        if rc:
            raise RuntimeError(f'the tracer failed ({rc}); is there room on the GPU?')
        return rgb, cls

    def look(self, origins, targets):
        """Id of the object each ray meets first (-1 none) and where, as a part of the way to the target."""
        targets = np.ascontiguousarray(targets, np.float32).reshape(-1, 3)
        origins = np.ascontiguousarray(np.broadcast_to(origins, targets.shape), np.float32)
        out = np.empty((len(targets), 2), np.float32)
        if self.lib.trace_look(self.handle, _pointer(origins), _pointer(targets), len(targets), _pointer(out)):
            raise RuntimeError('the tracer failed to look')
        return out[:, 0].astype(int), out[:, 1]

    def free(self):
        if self.handle:
            self.lib.trace_free(self.handle)
            self.handle = None
