#!/usr/bin/env bash
# Builds the image of the Dockerfile by buildah, with packages brought along and none fetched, and shows that it is what it says: one program, no root, labels that
# match Cargo.toml, a health check that passes, an answer that is the one of a service outside. Takes minutes, so it is run by hand.
# The image that the Dockerfile starts from is made of the compiler of this machine and of Debian's packages.
#
# Needs root, and the Debian packages buildah and debootstrap. Usage: check_image.sh PROGRAM [FOLDER FOR IMAGES]
set -euo pipefail
cd "$(dirname "$0")/.."
program=${1:?the program to compare with}
storage=${2:-$(mktemp -d)}
work=$(mktemp -d)
buildah() { command buildah --root "$storage/root" --runroot "$storage/run" --storage-driver vfs "$@"; }
service=""
finish() {
  [ -z "$service" ] || kill "$service" 2>/dev/null || true
  rm -rf "$work"
}
trap finish EXIT

base=rust:1-bookworm
if ! buildah images --quiet "localhost/$base" >/dev/null 2>&1; then
  mirror=$(apt-get indextargets --format '$(SITE)' 'Created-By: Packages' | head -1)
  debootstrap --variant=minbase --include=gcc,libc6-dev,make bookworm "$work/base" "$mirror" >"$work/debootstrap.log"
  mkdir -p "$work/base/usr/local/cargo/registry"
  cp -a "$(rustc --print sysroot)"/{bin,lib} "$work/base/usr/local/"
  container=$(buildah from scratch)
  buildah add --quiet "$container" "$work/base" /
  buildah config --env CARGO_HOME=/usr/local/cargo --env PATH=/usr/local/bin:/usr/bin:/bin "$container"
  buildah commit --quiet --rm "$container" "localhost/$base"
fi

# What the build reads, and the packages it needs beside it.
mkdir "$work/context"
git ls-files -z | xargs -0 cp --parents -t "$work/context"
(cd "$work/context" && cargo vendor --quiet --locked >/dev/null)
cat >>"$work/context/.cargo/config.toml" <<'END'
[source.crates-io]
replace-with = "vendored"
[source.vendored]
directory = "vendor"
[net]
offline = true
END
printf '!vendor\n!.cargo\n' >>"$work/context/.dockerignore"

begin=$SECONDS
buildah build --isolation chroot --network host --pull-never --quiet --build-arg "REVISION=$(git rev-parse HEAD)" \
  --tag localhost/barrowful "$work/context"
echo "built in $((SECONDS - begin)) s"

inspected() { buildah inspect --type image --format "$1" localhost/barrowful; }
label() { inspected "{{index .OCIv1.Config.Labels \"org.opencontainers.image.$1\"}}"; }
field() { sed -n "s/^$1 = \"\(.*\)\"$/\1/p" Cargo.toml | head -1; }
[ "$(label version)" = "$(field version)" ]
[ "$(label licenses)" = "$(field license)" ]
[ "$(label description)" = "$(field description)" ]
[ "$(label revision)" = "$(git rev-parse HEAD)" ]
[ "$(inspected '{{.OCIv1.Config.User}}')" = 65532:65532 ]
echo "labels and user are as they should be"

container=$(buildah from --pull-never localhost/barrowful)
root=$(buildah mount "$container")
[ "$(find "$root" -type f -printf '%P\n' | grep -vE '^(etc|dev|proc|sys|run)/')" = barrowful ]
echo "holds one file, of $(($(stat -c %s "$root/barrowful") / 1000000)) MB"

# The network of the machine, so on this machine only, and on a port that is free.
port=$(python3 -c 'import socket; s = socket.socket(); s.bind(("127.0.0.1", 0)); print(s.getsockname()[1])')
buildah run --isolation chroot --env "BARROWFUL_BIND=127.0.0.1:$port" "$container" -- /barrowful serve >"$work/log" 2>&1 &
service=$!
for _ in $(seq 100); do
  buildah run --isolation chroot --env "BARROWFUL_BIND=127.0.0.1:$port" "$container" -- /barrowful healthcheck && break
  sleep 0.1
done
ask() { "$program" ask demo-data/applications/kitchen-garden.json "$@"; }
ask --to "http://127.0.0.1:$port" >"$work/inside"
ask >"$work/outside"
diff "$work/inside" "$work/outside"
echo "runs, is healthy, and answers as the program outside does"
