# The service as one static program in an empty image: no shell, no packages, no root.
FROM rust:1-bookworm AS build
WORKDIR /build
# The C library is linked in, and what must be set at the start is listed in short: 0.6 MB less in memory. A target must be named, or
# the flags would reach build scripts and macros too.
ENV RUSTFLAGS="-C target-feature=+crt-static -C link-arg=-Wl,-z,pack-relative-relocs" CARGO_PROFILE_DIST_STRIP=symbols
COPY . .
# The caches keep packages and what was compiled of them. barrowful itself is always compiled anew: cargo goes by the
# time of a file, and files copied in may be older than a cached build of other contents.
RUN --mount=type=cache,id=barrowful-registry,target=/usr/local/cargo/registry \
    --mount=type=cache,id=barrowful-target,target=/build/target \
    target=$(rustc -vV | sed -n 's/^host: //p') \
 && touch src/lib.rs src/main.rs \
 && cargo build --locked --profile dist --target "$target" \
 && cp "target/$target/dist/barrowful" /barrowful

FROM scratch
# What it was built from: `--build-arg REVISION=$(git rev-parse HEAD)`.
ARG REVISION=unknown
LABEL org.opencontainers.image.title="Barrowful" \
      org.opencontainers.image.description="How much worm castings each row, bed, pot and brew gets, where stock falls short and when: an HTTP JSON service" \
      org.opencontainers.image.version="0.1.0" \
      org.opencontainers.image.licenses="MIT" \
      org.opencontainers.image.revision="$REVISION"
COPY --from=build /barrowful /barrowful
USER 65532:65532
ENV BARROWFUL_BIND=0.0.0.0:8080
EXPOSE 8080
HEALTHCHECK --interval=30s --timeout=5s --start-period=5s CMD ["/barrowful", "healthcheck"]
ENTRYPOINT ["/barrowful"]
CMD ["serve"]
