#!/usr/bin/env bash
# usage: window_smoke.sh BAYWRIGHT_VIEW WORK_FOLDER [JOB]: starts the window on a virtual screen, saves it, looks at the result
set -euo pipefail
view=$1; work=$2/window_smoke; job=${3:-}
command -v xvfb-run >/dev/null || { echo "SKIPPED: xvfb-run is not installed, the window was not started"; exit 77; }
rm -rf "$work"; mkdir -p "$work/run" "$work/home"; chmod 700 "$work/run"
export XDG_RUNTIME_DIR=$work/run HOME=$work/home LC_ALL=C.UTF-8 QT_SCALE_FACTOR=1
# The program's own exit code: xvfb-run has some of its own, for instance when another one cleans up at the same moment.
on_screen() {
  rm -f "$work/code"
  timeout 100 xvfb-run -a -s "-screen 0 1600x1000x24" sh -c '"$@"; echo $? > "$0"' "$work/code" "$view" "$@" || true
  [ -s "$work/code" ] || { echo "the window did not end in time"; exit 1; }
  return "$(cat "$work/code")"
}
is_png() { [ "$(head -c 8 "$1" | od -An -tx1 | tr -d ' \n')" = 89504e470d0a1a0a ] && [ "$(stat -c %s "$1")" -gt 4000 ]; }

# What needs no window needs no display; without one a window is refused in a line, not with a core dump.
env -u DISPLAY -u WAYLAND_DISPLAY "$view" --help | grep -q screenshot || { echo "--help needs a display"; exit 1; }
env -u DISPLAY -u WAYLAND_DISPLAY "$view" --version | grep -q '^baywright-view [0-9]' || { echo "--version needs a display"; exit 1; }
code=0; env -u DISPLAY -u WAYLAND_DISPLAY QT_QPA_PLATFORM=xcb "$view" 2> "$work/nodisplay.txt" || code=$?
[ "$code" = 2 ] && [ "$(wc -l < "$work/nodisplay.txt")" = 1 ] ||
  { echo "without a display: code $code and"; cat "$work/nodisplay.txt"; exit 1; }

on_screen --screenshot "$work/start.png"
is_png "$work/start.png" || { echo "the start page was not saved"; exit 1; }

mkdir "$work/broken"; echo '{ "baywright": 1, "surprise": true' > "$work/broken/job.json"
code=0; on_screen "$work/broken" --screenshot "$work/broken.png" 2> "$work/broken.txt" || code=$?
[ "$code" = 2 ] || { echo "a broken job ended with code $code instead of 2"; exit 1; }
grep -q "job.json" "$work/broken.txt" || { echo "the broken file was not named:"; cat "$work/broken.txt"; exit 1; }
is_png "$work/broken.png" || { echo "the window with messages was not saved"; exit 1; }

code=0; on_screen --finding 0 2>/dev/null || code=$?
[ "$code" = 2 ] || { echo "a bad option ended with code $code instead of 2"; exit 1; }

if [ -n "$job" ]; then
  on_screen "$job" --finding 1 --screenshot "$work/job.png"
  is_png "$work/job.png" || { echo "the window over $job was not saved"; exit 1; }
fi
