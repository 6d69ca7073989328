#!/bin/bash
# Makes the finder's networks on a GPU machine: pictures, training, tables, the held-out set.
#
#   [KINDS="strip lane"] make.sh SECONDS OUT [WORK [FROM TO]]
#
# SECONDS for all of it (150 = does it run at all; 1500 on four GPUs = the real thing). OUT gets weights.tar (both networks, curves,
# tables; renewed every minute), held-out.tar and the logs. WORK (default /tmp/seeing) keeps pictures and weights. Where a machine
# cannot be had for so long at once, each call is the part FROM TO (0 to 1) of the whole: called again with the same WORK, it makes
# more pictures and goes on training. Training starts from training/start, where that is there, on rods that those weights never saw
# (training/start/round). KINDS: which networks learn. With several GPUs all but one learn the strip together, the last the lane.
# Pictures are made in the first two thirds of the time: what makes them takes up to half of the learners' GPUs. Needs Python 3 with torch,
# numpy, OpenCV, onnx, onnxruntime, and nvcc. Seeds are fixed; how far a run gets is not.
set -uo pipefail
seconds=${1:?seconds} out=${2:?folder for what comes out} work=${3:-/tmp/seeing} from=${4:-0} to=${5:-1}
kinds=${KINDS:-strip lane}
here=$(cd "$(dirname "$0")" && pwd)
begin=$(date +%s)
mkdir -p "$out" "$work"/{train,held,weights}
cores=$(nproc) # before OMP_NUM_THREADS, which nproc obeys
exec > >(tee -a "$out/make.log") 2>&1
export PYTHONUNBUFFERED=1 OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1
gpus=$(nvidia-smi -L 2>/dev/null | wc -l)
round=$(cat "$work/round" 2>/dev/null || cat "$here/training/start/round" 2>/dev/null || echo 0); echo $((round + 1)) > "$work/round"
echo "round $round, $kinds, $gpus GPUs, $cores cores, $seconds s, part $from to $to"

workers=$((cores > 20 ? cores - 8 : cores))
ends=$((begin + seconds - (seconds > 300 ? 75 : 40))) # of training; the rest is for the tables
[ "$gpus" -eq 2 ] && tracing=1 || tracing=$(seq -s, 0 $((gpus - 1))) # of two GPUs the lane's, whose steps are the shorter ones
make() { (cd "$here/generator" && CUDA_VISIBLE_DEVICES=$tracing exec nice -n 10 python3 make_strips.py "$@" --gpus "$(wc -w <<< "${tracing//,/ }")"); }
pack() { tar -C "$work/weights" --exclude='*-state.pt' -cf "$out/weights.part" . && mv "$out/weights.part" "$out/weights.tar"; }

make "$work/train" --first $(((round + 10) * 60000 % 900000)) --seconds $((seconds * 65 / 100)) --workers "$workers" --kinds $kinds > "$out/make_strips.log" 2>&1 &
hold() { # the rods that nothing is learned from, and one picture of each to keep
  [ -e "$work/held/done" ] && return
  make "$work/held" --first 900000 --count $((seconds < 300 ? 24 : 240)) --views 2 --workers 8 && touch "$work/held/done"
  nice -n 5 python3 "$here/training/held_out.py" "$work/held" "$work/seeing" && tar -C "$work" -cf "$out/held-out.tar" seeing
}
hold & holder=$!

learn() { # KIND END GPU... (several learn it together)
  local kind=$1 end=$2 resume=$work/weights/$1.pt rank=0 each=()
  shift 2
  [ -e "$resume" ] || resume=$here/training/start/$kind.pt
  [ $# -gt 1 ] && export WORLD_SIZE=$# MASTER_ADDR=127.0.0.1 MASTER_PORT=29611
  for gpu in "$@"; do
    RANK=$rank CUDA_VISIBLE_DEVICES=$gpu python3 "$here/training/train.py" "$kind" "$work/train" "$work/weights" --until "$end" \
      --resume "$resume" --part "$from" "$to" & each+=($!)
    rank=$((rank + 1))
  done
  for learner in "${each[@]}"; do wait "$learner"; echo "$kind ended with $?"; done
}
learners=()
if [ "$kinds" != "strip lane" ]; then
  learn "$kinds" "$ends" $(seq 0 $((gpus - 1))) & learners+=($!)
elif [ "$gpus" -gt 1 ]; then
  learn strip "$ends" $(seq 0 $((gpus - 2))) & learners+=($!)
  learn lane "$ends" $((gpus - 1)) & learners+=($!)
else
  { learn strip $((begin + (ends - begin) * 2 / 3)) 0; learn lane "$ends" 0; } & learners+=($!)
fi
while sleep 60; do pack; done & packer=$!
wait "${learners[@]}"
kill $packer
pack
wait $holder
for kind in $kinds; do
  CUDA_VISIBLE_DEVICES=$((gpus - 1)) python3 "$here/training/evaluate.py" $kind "$work/weights/$kind.pt" "$work/held" "$work/weights/$kind-table.md" & judges+=($!)
done
wait "${judges[@]}"
pack
tail -3 "$out/make_strips.log"
cp "$work"/train/sheet-0[0-2].png "$out" 2>/dev/null
echo "done after $(($(date +%s) - begin)) s"
