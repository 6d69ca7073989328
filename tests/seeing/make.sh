#!/bin/bash
# Makes the finder's networks on a GPU machine: pictures, training, tables, the held-out set.
#
#   make.sh SECONDS OUT [WORK [FROM TO]]
#
# SECONDS for all of it (150 = does it run at all; 1500 on four GPUs = the real thing). OUT gets weights.tar (both networks, curves,
# tables; renewed every minute), held-out.tar and the logs. WORK (default /tmp/seeing) keeps pictures and weights. Where a machine
# cannot be had for so long at once, each call is the part FROM TO (0 to 1) of the whole: called again with the same WORK, it makes
# more pictures and goes on training. Training starts from training/start, where that is there, on rods that those weights never saw
# (training/start/round). Needs Python 3 with torch, numpy, OpenCV, onnx, onnxruntime, and nvcc. Seeds are fixed; how far a run gets
# is not.
set -uo pipefail
seconds=${1:?seconds} out=${2:?folder for what comes out} work=${3:-/tmp/seeing} from=${4:-0} to=${5:-1}
here=$(cd "$(dirname "$0")" && pwd)
begin=$(date +%s)
mkdir -p "$out" "$work"/{train,held,weights}
cores=$(nproc) # before OMP_NUM_THREADS, which nproc obeys
exec > >(tee -a "$out/make.log") 2>&1
export PYTHONUNBUFFERED=1 OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1
gpus=$(nvidia-smi -L 2>/dev/null | wc -l)
round=$(cat "$work/round" 2>/dev/null || cat "$here/training/start/round" 2>/dev/null || echo 0); echo $((round + 1)) > "$work/round"
echo "round $round, $gpus GPUs, $cores cores, $seconds s, part $from to $to"

tracing=$((gpus > 1 ? gpus - 1 : 1)) # the last one learns strips and nothing else
workers=$((cores > 20 ? cores - 8 : cores))
ends=$((begin + seconds - (seconds > 300 ? 75 : 40))) # of training; the rest is for the tables
make() { (cd "$here/generator" && exec nice -n 10 python3 make_strips.py "$@" --gpus "$tracing"); }
pack() { tar -C "$work/weights" --exclude='*-state.pt' -cf "$out/weights.part" . && mv "$out/weights.part" "$out/weights.tar"; }

make "$work/train" --first $(((round + 10) * 60000)) --seconds $((seconds * 8 / 10)) --workers "$workers" > "$out/make_strips.log" 2>&1 &
hold() { # the rods that nothing is learned from, and one picture of each to keep
  [ -e "$work/held/done" ] && return
  make "$work/held" --first 900000 --count $((seconds < 300 ? 24 : 240)) --views 2 --workers 8 && touch "$work/held/done"
  nice -n 5 python3 "$here/training/held_out.py" "$work/held" "$work/seeing" && tar -C "$work" -cf "$out/held-out.tar" seeing
}
hold & holder=$!

learn() { # KIND GPU END
  local kind=$1 resume=$work/weights/$1.pt
  [ -e "$resume" ] || resume=$here/training/start/$kind.pt
  CUDA_VISIBLE_DEVICES=$2 python3 "$here/training/train.py" "$kind" "$work/train" "$work/weights" --until "$3" --resume "$resume" --part "$from" "$to"
  echo "$kind ended with $?"
}
if [ "$gpus" -gt 1 ]; then
  learn strip $((gpus - 1)) "$ends" & learners=($!)
  learn lane $((gpus - 2)) "$ends" & learners+=($!)
else
  { learn strip 0 $((begin + (ends - begin) * 2 / 3)); learn lane 0 "$ends"; } & learners=($!)
fi
while sleep 60; do pack; done & packer=$!
wait "${learners[@]}"
kill $packer
pack
wait $holder
for kind in strip lane; do
  CUDA_VISIBLE_DEVICES=$((gpus - 1)) python3 "$here/training/evaluate.py" $kind "$work/weights/$kind.pt" "$work/held" "$work/weights/$kind-table.md" & judges+=($!)
done
wait "${judges[@]}"
pack
tail -3 "$out/make_strips.log"
cp "$work"/train/sheet-0[0-2].png "$out" 2>/dev/null
echo "done after $(($(date +%s) - begin)) s"
