#!/usr/bin/env bash
# Runs every target of `fuzz/` for so many seconds, from the committed seeds: no input breaks what holds for all.
#
# With a nightly toolchain and cargo-fuzz the inputs are led by what the code does with them; without them the seeds and chance changes
# of them are run on the toolchain that there is. The project has no unsafe code, so that no sanitizer is needed.
#
# With `short` in place of seconds each target is run a fixed number of times, the same in every run: for a check of every state.
#
# Usage: fuzz.sh [SECONDS|short] [TARGET...]
set -euo pipefail
cd "$(dirname "$0")/.."
limit=${1:-10}
shift || true
targets=("$@")
[ ${#targets[@]} -gt 0 ] || targets=(quantities wire bodies queries tables allocation)
bound=(-max_total_time="$limit")
if [ "$limit" = short ]; then
  bound=(-runs=3000)
  limit=runs=3000
fi
# The seed of chance: the same for a state of the project.
seed=1

export PATH=$PWD/.checks/bin:$PATH
if rustc +nightly --version >/dev/null 2>&1 && ! cargo +nightly fuzz --version >/dev/null 2>&1; then
  cargo +nightly install --quiet --locked --root .checks cargo-fuzz@0.13.2 || echo "cargo-fuzz could not be installed"
fi
if cargo +nightly fuzz --version >/dev/null 2>&1; then
  for target in "${targets[@]}"; do
    mkdir -p "fuzz/corpus/$target"
    echo "-- $target, ${bound[*]}"
    cargo +nightly fuzz run --sanitizer none "$target" "fuzz/corpus/$target" "fuzz/seeds/$target" -- \
      "${bound[@]}" -seed="$seed" -max_len=8192 -timeout=10 -rss_limit_mb=2048 -print_final_stats=0 -verbosity=0
  done
else
  echo "no nightly toolchain with cargo-fuzz: chance changes of the seeds only"
  cargo build --quiet --release --manifest-path fuzz/Cargo.toml --no-default-features --bin mutate
  for target in "${targets[@]}"; do
    fuzz/target/release/mutate "$target" "$limit" "fuzz/seeds/$target"
  done
fi
echo "every target held"
