# Recipes for people. `just` lists them.

_default:
  @just --list

# Start the service on http://127.0.0.1:8080.
run:
  cargo run -- serve --bind 127.0.0.1:8080

# All tests, and those of the core alone.
test:
  cargo test
  cargo test --no-default-features

# Format, clippy, licences, scripts.
lint: tools
  cargo fmt --check
  cargo clippy --no-default-features --all-targets -- -D warnings
  cargo clippy --all-targets --all-features -- -D warnings
  .checks/python/bin/python -B scripts/check_licences.py
  .checks/python/bin/ruff check --no-cache scripts
  .checks/python/bin/ruff format --no-cache --check scripts

# Write the files of openapi/ anew and lint the document. The program holds both, so they stay until the new ones are there.
document: tools
  cargo run --quiet -- openapi > openapi/openapi.json.new
  cargo run --quiet -- openapi --operations > openapi/operations.txt.new
  mv openapi/openapi.json.new openapi/openapi.json
  mv openapi/operations.txt.new openapi/operations.txt
  scripts/lint_document.sh

# Speed, side by side in one run; docs/performance.md has results.
bench: tools
  cargo bench --bench side_by_side
  .checks/python/bin/pip install --quiet --disable-pip-version-check highspy==1.16.0
  .checks/python/bin/python -B scripts/compare_with_highs.py target/release/barrowful

# Three instances behind HAProxy: one killed, then all renewed.
rolling: tools
  cargo build
  .checks/python/bin/python -B scripts/check_rolling.py target/debug/barrowful

# Build the image by buildah and try it; needs root, buildah and debootstrap.
image:
  cargo build
  scripts/check_image.sh target/debug/barrowful

# Everything that is checked before a change lands.
ci:
  bash .ci/run

# The checking tools, into .checks.
[private]
tools:
  scripts/install_checks.sh
