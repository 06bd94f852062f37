# The service as one static program in an empty image: no shell, no packages, no root.
FROM rust:1-bookworm AS build
WORKDIR /build
# The C library is linked in. A target must be named, or the flag would reach build scripts and macros too.
ENV RUSTFLAGS="-C target-feature=+crt-static" CARGO_PROFILE_DIST_STRIP=symbols
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
COPY --from=build /barrowful /barrowful
USER 65532:65532
ENV BARROWFUL_BIND=0.0.0.0:8080
EXPOSE 8080
HEALTHCHECK --interval=30s --timeout=5s --start-period=5s CMD ["/barrowful", "healthcheck"]
ENTRYPOINT ["/barrowful"]
CMD ["serve"]
