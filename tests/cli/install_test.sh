#!/usr/bin/env bash
# install_test.sh BUILD SOURCE: installs a build into an empty folder and uses what lies there: the
# program, its manual page and completion, and the library, by the example that finds it with CMake.
set -euo pipefail
build=$1 source=$2
here=$(mktemp -d)
trap 'rm -rf "$here"' EXIT
prefix=$here/prefix

wrong() { echo "wrong: $*" >&2; exit 1; }

# Names in a text that match a pattern, one a line, each once.
names() { grep -oE -e "$1" | sort -u; }

cmake --install "$build" --prefix "$prefix" >"$here/log" 2>&1 || wrong "$(tail -n 20 "$here/log")"
trammel=$prefix/bin/trammel
version=$(sed -n 's/^project(trammel VERSION \([0-9.]*\).*/\1/p' "$source/CMakeLists.txt")
[ "$("$trammel" --version)" = "trammel $version" ] || wrong "the program says another version than project()"
commands=$("$trammel" --help | sed -n '/^Subcommands:/,/^$/s/^  \([a-z]*\) .*/\1/p')
[ "$(wc -w <<<"$commands")" -ge 5 ] || wrong "hardly any command in --help: is it read aright?"

# --- the manual page names what --help names, command by command, and nothing else
page=$(find "$prefix" -path '*man1/trammel.1')
[ -n "$page" ] || wrong "no manual page"
plain=$(sed 's/\\-/-/g; s/\\f.//g' "$page")
grep -qF "trammel $version" <<<"$plain" || wrong "the manual page is of another version"
common=$(sed -n '/^\.SH OPTIONS OF/,/^\.SH COMMANDS/p' <<<"$plain" | names '--[a-z]+')
[ "$common" = "$("$trammel" --help | sed '/^Example/,$d' | names '--[a-z]+')" ] ||
  wrong "the manual page and trammel --help differ in their options"
told=$(sed -n 's/^\.SS trammel //p' <<<"$plain" | sort)
[ "$told" = "$(sort <<<"$commands")" ] || wrong "the manual page has the commands" $told
for command in $commands; do
  help=$("$trammel" "$command" --help | sed '/^Example/,$d' | names '--[a-z]+' | grep -vx -e --help || true)
  section=$(sed -n "/^\.SS trammel $command\$/,/^\.S[SH] /p" <<<"$plain" | sed '1d;$d' |
    grep -A1 -e '^\.TP' | grep '^\.B' | names '--[a-z]+' || true)
  [ "$help" = "$section" ] || wrong "of $command --help names [$help], the manual page [$section]"
done
for code in 0 1 2 64 65 66 70 73; do
  sed -n '/^\.SH EXIT/,/^\.SH ENV/p' <<<"$plain" | grep -x "\.B $code" >/dev/null || wrong "no exit code $code in the manual page"
done
if command -v groff >/dev/null; then
  said=$(groff -man -Tutf8 -ww "$page" 2>&1 >/dev/null)
  [ -z "$said" ] || wrong "groff says of the manual page: $said"
else
  echo "not looked at: the typesetting of the manual page (no groff)"
fi

# --- completion offers the same
source "$(find "$prefix" -path '*completions/trammel')"
offered() { COMP_WORDS=("$@") COMP_CWORD=$(($# - 1)) COMPREPLY=(); _trammel; printf '%s\n' "${COMPREPLY[@]}" | sort; }
[ "$(offered trammel '')" = "$(sort <<<"$commands")" ] || wrong "completion offers other commands"
for command in '' $commands; do
  # shellcheck disable=SC2086  # no word where no command is
  help=$({ "$trammel" $command --help | sed '/^Example/,$d'; printf '%s\n' --quiet --threads; } | names '--[a-z]+')
  [ "$(offered trammel $command --)" = "$help" ] || wrong "completion of '$command' offers other options than --help"
done
[ "$(offered trammel square --units i)" = in ] || wrong "completion of --units"
[ -z "$(offered trammel check --band '' | tr -d '\n')" ] || wrong "completion offers something for a number"

# --- the library: the example is built against what was installed and nothing else
generator=()
if command -v ninja >/dev/null; then generator=(-G Ninja); fi
{ cmake -S "$source/examples/check_part" -B "$here/example" "${generator[@]}" -DCMAKE_PREFIX_PATH="$prefix" &&
  cmake --build "$here/example"; } >"$here/log" 2>&1 || wrong "$(tail -n 20 "$here/log")"
grep -q "^trammel_DIR:PATH=$prefix/" "$here/example/CMakeCache.txt" || wrong "the example found another trammel"
! grep -rqF -e "$source" -e "$build" "$prefix" --include='*.cmake' || wrong "the exported files name the source or build folder"
cd "$here"
demo=$source/data/demo
numbers=2
if [ "${TRAMMEL_LONG:-}" ]; then numbers="1 2"; fi  # as ./dev prove tests sets it
for number in $numbers; do
  expected=$((number - 1))  # the second bracket is the bad one, data/demo/README.md
  scan=$demo/shelf-bracket-$number.ply code=0
  ./example/check_part "$demo/shelf-bracket.toml" "$scan" >library.json || code=$?
  [ "$code" -eq "$expected" ] || wrong "the example ends with $code, not $expected, for $scan"
  code=0
  "$trammel" check "$demo/shelf-bracket.toml" --scan "$scan" --json - --quiet --out sheet >program.json || code=$?
  [ "$code" -eq "$expected" ] || wrong "the installed program ends with $code, not $expected, for $scan"
  [ -s sheet/sheet.pdf ] || wrong "no sheet"
  cmp library.json program.json || wrong "library and program differ"
done
echo "installed, read and used: $version"
