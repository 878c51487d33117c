#!/usr/bin/env bash
# package_test.sh BUILD SOURCE: makes the Debian packages of a build, asks Debian's own tools what they
# hold and need, and runs the program from the unpacked package.
set -euo pipefail
build=$1 source=$2
for tool in cpack dpkg-deb dpkg-shlibdeps dpkg-architecture dpkg-query file objdump; do
  command -v "$tool" >/dev/null || { echo "skipped: no $tool on this machine"; exit 77; }
done
here=$(mktemp -d)
trap 'rm -rf "$here"' EXIT

wrong() { echo "wrong: $*" >&2; exit 1; }

cpack --config "$build/CPackConfig.cmake" -G DEB -B "$here/made" >"$here/log" 2>&1 || wrong "$(tail -n 20 "$here/log")"
version=$(sed -n 's/^project(trammel VERSION \([0-9.]*\).*/\1/p' "$source/CMakeLists.txt")
machine=$(dpkg --print-architecture)
program_deb=$here/made/trammel_${version}_$machine.deb
library_deb=$here/made/libtrammel-dev_${version}_$machine.deb
for deb in "$program_deb" "$library_deb"; do
  [ -e "$deb" ] || wrong "no $(basename "$deb") among" "$here"/made/*.deb
  [ "$(dpkg-deb -f "$deb" Version)" = "$version" ] || wrong "$deb has another version than project()"
done
root=$here/root
dpkg-deb -x "$program_deb" "$root"
for path in usr/bin/trammel usr/share/man/man1/trammel.1 usr/share/bash-completion/completions/trammel \
  usr/share/doc/trammel/copyright; do
  [ -s "$root/$path" ] || wrong "the package lacks $path"
done
[ ! -e "$root/usr/include" ] || wrong "the program's package holds headers"
dpkg-deb -c "$library_deb" | grep ' ./usr/include/trammel/inspect.hpp$' >/dev/null || wrong "libtrammel-dev lacks headers"

# --- Depends names the package of every file that the program needs from outside, and no other
needed=$(
  {
    # NEEDED of the program itself; what a library needs is that library's affair.
    objdump -p "$root/usr/bin/trammel" | sed -n "s|^ *NEEDED *|*/$(dpkg-architecture -qDEB_HOST_MULTIARCH)/|p"
    printf '%s\n' '*/DejaVuSans.ttf' '*/DejaVuSans-Bold.ttf'
  } | xargs -d '\n' dpkg-query -S | sed 's/[:,].*//' | sort -u
)
depends=$(dpkg-deb -f "$program_deb" Depends | tr ',' '\n' | sed 's/^ *//; s/[ (].*//' | sort -u)
[ "$(wc -w <<<"$needed")" -ge 8 ] || wrong "hardly any package is needed: [$needed]"
[ "$needed" = "$depends" ] || wrong "Depends is [" $depends "], needed is [" $needed "]"

# --- it runs from there
cd "$here"
code=0
"$root/usr/bin/trammel" check "$source/data/demo/shelf-bracket.toml" \
  --scan "$source/data/demo/shelf-bracket-2.ply" --out sheet --quiet >said || code=$?
[ "$code" -eq 1 ] || wrong "the packaged program ends with $code, not 1, for the bad bracket"
[ -s sheet/sheet.pdf ] || wrong "no sheet"
echo "packed, unpacked and run: $version, needs" $depends
