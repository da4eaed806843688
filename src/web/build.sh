#!/usr/bin/env bash
# Builds the page, one HTML file that holds the whole tool: target/page/slabseason.html
#   bash src/web/build.sh            all of it
#   bash src/web/build.sh --module   only the module, which takes most of the time
# It takes the compiler's own target for WebAssembly where there is one or rustup can fetch it;
# otherwise Debian's packages, unpacked below target/ and not installed (about two minutes, once).
set -euo pipefail
cd "$(dirname "$0")/../.."
target=wasm32-unknown-unknown
say() { printf '%s\n' "$*" >&2; }

has_target() { [ -d "$("${RUSTC:-rustc}" --print sysroot)/lib/rustlib/$target/lib" ]; }

# Debian's compiler comes without a library for bare WebAssembly but with the library's source,
# so the library is built from that source by the compiler it belongs to.
from_debian() {
  home=$PWD/target/wasm-compiler
  system=$home/system/usr
  if [ ! -e "$home/ready" ]; then
    say "building a library for $target from Debian's packages"
    rm -rf "$home"
    mkdir -p "$home/packages"
    # One run for fresh lists; without a network the lists at hand must do.
    apt-get update -qq >&2 || say "the package lists could not be refreshed"
    needs() { apt-cache depends "$1" | awk -v start="$2" '$1 == "Depends:" && index($2, start) == 1 { print $2; exit }'; }
    native=$(needs libstd-rust-web-dev libstd-rust-web-)
    llvm=$(needs "$native" libllvm)
    (cd "$home/packages" && apt-get download -qq rustc-web libstd-rust-web-dev rust-web-src "$native" "$llvm" >&2)
    for package in "$home"/packages/*.deb; do dpkg-deb --extract "$package" "$home/system"; done
    rm -rf "$home/packages"
    printf '#!/bin/sh\nLD_LIBRARY_PATH=%s exec %s "$@"\n' "$system/lib/x86_64-linux-gnu" "$system/bin/rustc" > "$home/rustc"
    chmod +x "$home/rustc"
  fi
  export RUSTC=$home/rustc
  # The linker comes with every toolchain of rustup, whatever its targets.
  linker=$(find "$(env -u RUSTC rustc --print sysroot)/lib/rustlib" -name rust-lld -path '*/bin/*' | head -n 1)
  [ -n "$linker" ] || { say "no rust-lld in this toolchain; install Rust with rustup, or add the target $target"; exit 2; }
  export CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER=$linker
  if [ ! -e "$home/ready" ]; then
    source=$(echo "$system"/src/rustc-*)
    (
      cd "$source/library/sysroot"
      RUSTC_BOOTSTRAP=1 CARGO_TARGET_DIR=$home/library \
        RUSTFLAGS="-Zforce-unstable-if-unmarked -Cembed-bitcode=yes --remap-path-prefix=$source=/rust" \
        cargo build --quiet --locked --release --target $target >&2
    )
    place=$system/lib/rustlib/$target/lib
    mkdir -p "$place"
    find "$home/library/$target/release/deps" -name '*.rlib' ! -name 'libsysroot-*' -exec cp {} "$place/" \;
    rm -rf "$home/library" "$system"/share "$system"/src
    touch "$home/ready"
  fi
}

(
  if ! has_target && ! { command -v rustup > /dev/null && RUSTUP_MAX_RETRIES=0 timeout 60 rustup target add $target >&2; }; then
    command -v apt-get > /dev/null || { say "no target $target; add it with rustup, or build on Debian"; exit 2; }
    from_debian
  fi
  say "building the module of the page (one to two minutes)"
  # No paths of this machine go into the module.
  export RUSTFLAGS="-C target-feature=+simd128 --remap-path-prefix=$PWD=. --remap-path-prefix=${CARGO_HOME:-$HOME/.cargo}=cargo"
  cargo rustc --locked --lib --crate-type cdylib --no-default-features --profile page --target $target --target-dir target/wasm
)
if [ "${1:-}" = --module ]; then exit; fi
say "putting the page together"
made="target/wasm/$target/page/slabseason.wasm target/page/slabseason.html"
if [ -e target/debug/slabseason ]; then
  # `cargo test` has built what it needs.
  cargo run --locked --example build_page -- $made
else
  # Without the terminal and optimized little: it only packs and writes.
  CARGO_PROFILE_DEV_OPT_LEVEL=0 cargo run --locked --no-default-features --target-dir target/page-tools --example build_page -- $made
fi
