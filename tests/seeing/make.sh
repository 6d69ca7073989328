#!/bin/bash
# Makes the finder's networks from nothing on a GPU machine: pictures, training, tables, the held-out set.
#
#   make.sh SECONDS OUT [WORK]
#
# SECONDS for all of it (150 = does it run at all; 1500 = the real thing on one GPU, 540 on four). OUT gets weights.tar,
# held-out.tar and the log. WORK (default /tmp/seeing) keeps pictures and weights: called again, it makes more pictures and goes on
# training. Needs Python 3 with torch, numpy, OpenCV, onnx, onnxruntime, and nvcc. The seeds are fixed; how far a run gets is not.
set -uo pipefail
seconds=${1:?seconds} out=${2:?folder for what comes out} work=${3:-/tmp/seeing}
here=$(cd "$(dirname "$0")" && pwd)
begin=$(date +%s)
left() { echo $((seconds - ($(date +%s) - begin))); }
mkdir -p "$out" "$work"/{train,held,weights}
exec > >(tee -a "$out/make.log") 2>&1
cores=$(nproc) # before OMP_NUM_THREADS, which nproc obeys
export PYTHONUNBUFFERED=1 OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1
gpus=$(nvidia-smi -L 2>/dev/null | wc -l)
round=$(cat "$work/round" 2>/dev/null || echo 0); echo $((round + 1)) > "$work/round"
echo "round $round, $gpus GPUs, $cores cores, $seconds s"

tail=$((seconds / 8 > 60 ? 60 : seconds / 8 + 15)) # for tables and packing
workers=$((cores > 8 ? cores - 6 : cores))
tracing=$((gpus > 2 ? gpus - 2 : gpus)) # the last two train
make() { (cd "$here/generator" && python3 make_strips.py "$@" --workers "$workers"); }

rods=$((seconds < 300 ? 40 : 240))
if [ ! -e "$work/held/done" ]; then
  make "$work/held" --first 900000 --count "$rods" --views 2 --gpus "$gpus" && touch "$work/held/done"
  echo "held-out rods after $((seconds - $(left))) s"
fi
keep() { # the held-out set, packed beside the rest
  python3 "$here/training/held_out.py" "$work/held" "$work/seeing" && tar -C "$work" -cf "$out/held-out.tar" seeing
}
keep &
making=$(($(left) - tail - 40))
make "$work/train" --first $((round * 100000)) --seconds $((making > 15 ? making : 15)) --gpus "$tracing" > "$out/make_strips.log" 2>&1 &
maker=$!

learn() { # KIND GPU: trains until the time is up
  local resume=() kind=$1
  [ -e "$work/weights/$kind.pt" ] && resume=(--resume "$work/weights/$kind.pt")
  CUDA_VISIBLE_DEVICES=$2 python3 "$here/training/train.py" "$kind" "$work/train" "$work/weights" --seconds "$3" "${resume[@]}"
}
training=$(($(left) - tail))
if [ "$gpus" -gt 1 ]; then
  learn strip $((gpus - 1)) $((training - 30)) & strip=$!
  learn lane $((gpus - 2)) $((training - 30)) & lane=$!
  wait $strip; echo "strip ended with $?"; wait $lane; echo "lane ended with $?"
else
  learn strip 0 $((training * 2 / 3 - 30)); learn lane 0 $((training / 3 - 20))
fi
kill $maker 2>/dev/null; wait $maker 2>/dev/null
tail -3 "$out/make_strips.log"

pack() { tar -C "$work/weights" -cf "$out/weights.tar" .; }
pack # at once: what follows may be cut off
for kind in strip lane; do
  python3 "$here/training/evaluate.py" $kind "$work/weights/$kind.pt" "$work/held" "$work/weights/$kind-table.md" & judges+=($!)
done
wait "${judges[@]}"
pack
ls -la "$out"
echo "done after $((seconds - $(left))) s"
