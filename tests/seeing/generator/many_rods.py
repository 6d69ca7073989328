"""Many rods at once: a process a worker, each with its share of the rods, until all are made or the time is over."""
import multiprocessing
import os
import sys
import time


def make_all(options, work):
    """`work(worker, options, end)` in each process; options: out, count, seconds, workers, gpus. Ends as failed where one of them did."""
    options.out.mkdir(parents=True, exist_ok=True)
    begin = time.time()
    os.environ['TRACE_ON'] = 'gpu' if options.gpus else 'cpu'
    if options.workers > 1:             # one thread a worker
        for name in ('OMP_NUM_THREADS', 'OPENBLAS_NUM_THREADS'):
            os.environ.setdefault(name, '1')
    import tracer
    tracer.build()                      # once, before the workers ask for it
    context = multiprocessing.get_context('spawn')
    workers = [context.Process(target=work, args=(w, options, begin + options.seconds)) for w in range(min(options.workers, options.count))]
    for w in workers:
        w.start()
    for w in workers:
        w.join()
    failed = [w.exitcode for w in workers if w.exitcode]
    print(f'{len(list(options.out.glob("shard-*.npz")))} shards in {time.time() - begin:.0f} s', flush=True)
    if failed:
        sys.exit(f'{len(failed)} of {len(workers)} workers failed: exit codes {failed}')
