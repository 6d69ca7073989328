"""Many rods at once: a process a worker, each with its share of the rods, until all are made, the time is over or the room used."""
import argparse
import multiprocessing
import os
import sys
import time
import traceback
from pathlib import Path

import cv2


def work(worker, options, end, made_of, keep):
    cv2.setNumThreads(1)
    os.environ['TRACE_ON'] = 'gpu' if options.gpus else 'cpu'
    device = worker % max(options.gpus, 1)
    pending, number, lost, room = [], 0, 0, options.gigabytes * 1e9 / options.workers
    for rod in range(options.first + worker, options.first + options.count, options.workers):
        if time.time() > end or room < 0:
            break
        try:
            pending += made_of(rod, options, device)
        except Exception:   # one bad rod must not cost a run on rented time its worker; it is named, and the run ends as failed
            print(f'rod {rod} left out:\n{traceback.format_exc()}', flush=True)
            lost += 1
            continue
        if len(pending) >= options.shard:
            room -= keep(options, worker, number, pending)
            pending, number = [], number + 1
    if pending:
        keep(options, worker, number, pending)
    if lost:
        sys.exit(f'{lost} rods left out')


def arguments(description, views, paths, shard):
    """A parser of what `make_all` goes by and every maker takes: views a rod, paths a pixel and pictures a shard unless said otherwise."""
    parser = argparse.ArgumentParser(description=description, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument('out', type=Path)
    parser.add_argument('--first', type=int, default=0)
    parser.add_argument('--count', type=int, default=1_000_000)
    parser.add_argument('--views', type=int, default=views)
    parser.add_argument('--seconds', type=float, default=1e9)
    parser.add_argument('--gigabytes', type=float, default=120)
    parser.add_argument('--workers', type=int, default=os.cpu_count())
    parser.add_argument('--gpus', type=int, default=0)
    parser.add_argument('--paths', type=int, default=paths)
    parser.add_argument('--shard', type=int, default=shard, help='pictures a shard')
    return parser


def make_all(options, made_of, keep):
    """The pictures `made_of(rod, options, device)`, handed to `keep(options, worker, number, pictures)` a shard at a time, which returns its bytes.

    options: what `arguments` parses. Ends as failed where a rod was left out."""
    options.out.mkdir(parents=True, exist_ok=True)
    begin = time.time()
    os.environ['TRACE_ON'] = 'gpu' if options.gpus else 'cpu'
    if options.workers > 1:             # one thread a worker
        for name in ('OMP_NUM_THREADS', 'OPENBLAS_NUM_THREADS'):
            os.environ.setdefault(name, '1')
    import tracer
    tracer.build()                      # once, before the workers ask for it
    context = multiprocessing.get_context('spawn')
    shares = range(min(options.workers, options.count))
    workers = [context.Process(target=work, args=(w, options, begin + options.seconds, made_of, keep)) for w in shares]
    for w in workers:
        w.start()
    for w in workers:
        w.join()
    failed = [w.exitcode for w in workers if w.exitcode]
    print(f'{len(list(options.out.glob("shard-*.npz")))} shards in {time.time() - begin:.0f} s', flush=True)
    if failed:
        sys.exit(f'{len(failed)} of {len(workers)} workers failed: exit codes {failed}')
