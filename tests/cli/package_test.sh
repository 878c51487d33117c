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
    printf '%s\n' '*/DejaVuSans.ttf' '*/DejaVuSans-Bold.ttf' '*/FreeSerif.ttf' '*/wqy-microhei.ttc' '*/Symbola_hint.ttf'
  } | xargs -d '\n' dpkg-query -S | sed 's/[:,].*//' | sort -u
)
depends=$(dpkg-deb -f "$program_deb" Depends | tr ',' '\n' | sed 's/^ *//; s/[ (].*//' | sort -u)
[ "$(wc -w <<<"$needed")" -ge 8 ] || wrong "hardly any package is needed: [$needed]"
[ "$needed" = "$depends" ] || wrong "Depends is [" $depends "], needed is [" $needed "]"

# --- it runs from there
demo=$source/data/demo
cp "$demo"/shelf-bracket.{toml,stl} "$demo/shelf-bracket-2.ply" "$here"
# ended WHERE CODE: the bad bracket fails (data/demo/README.md) and has its sheet in the current folder.
ended() {
  [ "$2" -eq 1 ] || wrong "$1 the program ends with $2, not 1, for the bad bracket: $(cat "$here/said")"
  [ -s sheet/sheet.pdf ] || wrong "$1 it leaves no sheet"
}
cd "$here"
as_root=()
if [ "$(id -u)" -ne 0 ]; then as_root=(unshare --map-root-user); fi
may_chroot=yes
"${as_root[@]}" chroot / true 2>/dev/null || may_chroot=no
# Where it is tried on a clean root as well, only a long run (./dev prove tests) tries it here too.
if [ "$may_chroot" = no ] || [ "${TRAMMEL_LONG:-}" ]; then
  code=0
  "$root/usr/bin/trammel" check shelf-bracket.toml --scan shelf-bracket-2.ply --quiet --out sheet >said 2>&1 || code=$?
  ended "unpacked," "$code"
fi

# --- it installs on a clean root, which holds what Depends brings along and nothing else, and runs there
[ "$may_chroot" = yes ] ||
  { echo "the rest is right; skipped: no clean root, as '${as_root[*]} chroot' is not allowed here"; exit 77; }

# The packages that some packages need, and those that these need, as far as this machine has them.
closure() {
  local package
  declare -A seen
  while [ "$#" -gt 0 ]; do
    package=$1; shift
    if [ "${seen[$package]:-}" ]; then continue; fi
    seen[$package]=1
    # shellcheck disable=SC2046  # one word a package
    set -- "$@" $(dpkg-query -W -f '${Pre-Depends},${Depends}\n' "$package" 2>/dev/null |
      tr ',|' '\n\n' | sed 's/[(:].*//')
  done
  for package in "${!seen[@]}"; do
    dpkg-query -W -f '${Package}:${Architecture} ${db:Status-Status}\n' "$package" 2>/dev/null |
      sed -n "s/:all / /; s/ installed\$//p" || true  # a name may be one that others provide
  done | grep -E "^[^:]*(:$machine)?\$" | sort -u
}

clean=$here/clean
database=$clean/var/lib/dpkg
mkdir -p "$clean"/usr/{bin,sbin,lib,lib64} "$database"/{info,updates} "$clean/work"
ln -s usr/bin usr/sbin usr/lib usr/lib64 "$clean"
# shellcheck disable=SC2086  # one word a package
brought=$(closure $depends)
for package in $brought; do
  dpkg-query -L "$package" | while read -r path; do
    case $path in /usr/share/doc/* | /usr/share/man/* | /usr/share/locale/*) continue ;; esac
    if [ -L "$path" ] || [ -f "$path" ]; then echo "${path#/}"; fi
  done | sed -E '/^(bin|sbin|lib|lib64)$/d' | tar -C / -cf - -T - | tar -C "$clean" --keep-directory-symlink -xf -
  dpkg-query -L "$package" >"$database/info/$package.list"
  dpkg-query -s "$package"
  echo
done >"$database/status"
"${as_root[@]}" dpkg --root="$clean" --log="$here/log" --install "$program_deb" >said 2>&1 || wrong "dpkg: $(cat said)"
cp shelf-bracket* "$clean/work"
cd "$clean/work"
code=0
"${as_root[@]}" chroot "$clean" /bin/sh -c true 2>/dev/null && wrong "the clean root holds a shell, so it is none"
"${as_root[@]}" chroot "$clean" /usr/bin/trammel check work/shelf-bracket.toml --scan work/shelf-bracket-2.ply \
  --quiet --out work/sheet >"$here/said" 2>&1 || code=$?
ended "on a clean root," "$code"
echo "packed, unpacked, installed and run: $version, with" $brought
