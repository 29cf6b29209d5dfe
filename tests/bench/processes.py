"""Whole processes, from start to end: CPU time, wall time and greatest memory, one after the other in turn.

processes.py BUILD SCRATCH RESULT FILTER [--quick]
"""

import json
import os
import random
import re
import statistics
import struct
import subprocess
import sys
import time

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.dirname(os.path.dirname(HERE))
SLANTED = ["--camera-azimuth-angle=35", "--camera-elevation-angle=30"]
SCENE = os.path.join(ROOT, "scenes", "courtyard.toml")


def once(command):
    """Runs a command; returns (CPU ms, wall ms, MB)."""
    null = os.open(os.devnull, os.O_RDWR)
    files = [(os.POSIX_SPAWN_DUP2, null, fd) for fd in (0, 1, 2)]
    begin = time.monotonic()
    child = os.posix_spawnp(command[0], command, os.environ, file_actions=files)
    _, status, usage = os.wait4(child, 0)
    wall = time.monotonic() - begin
    os.close(null)
    findings = 1 if "check" in command else 0  # exit code 1: there are some
    if os.waitstatus_to_exitcode(status) not in (0, findings):
        sys.exit("failed: " + " ".join(command))
    return 1e3 * (usage.ru_utime + usage.ru_stime), 1e3 * wall, usage.ru_maxrss / 1024


def in_turn(commands, rounds):
    """Median (CPU ms, wall ms, MB) of every command of {name: command}, each round in another order."""
    seen = {name: [] for name in commands}
    order = list(commands)
    for _ in range(rounds):
        random.shuffle(order)
        for name in order:
            seen[name].append(once(commands[name]))
    return {name: [statistics.median(part) for part in zip(*all_)] for name, all_ in seen.items()}


def triangles(glb):
    """Number of triangles in a .glb file."""
    with open(glb, "rb") as file:
        _, _, _, length, _ = struct.unpack("<5I", file.read(20))
        scene = json.loads(file.read(length))
    return sum(
        scene["accessors"][part["indices"]]["count"] // 3
        for mesh in scene["meshes"]
        for part in mesh["primitives"]
        if part.get("mode", 4) == 4
    )


class Rows:
    def __init__(self, build, scratch, wanted, quick):
        self.underfoot = os.path.join(build, "underfoot")
        self.plans = os.path.join(build, "bench_plans")
        self.scratch = scratch
        self.wanted = re.compile(wanted)
        self.quick = quick
        self.rows = []

    def note(self, row, size, measured):
        for who, (cpu, wall, memory) in measured.items():
            self.rows.append({"name": f"{row}/{size}/{who}", "ms": cpu, "wall_ms": wall, "memory_mb": memory})
            print(f"{row}/{size}/{who}: {cpu:.1f} ms CPU, {wall:.1f} ms, {memory:.0f} MB", flush=True)

    def plan(self, shots, measured):
        folder = os.path.join(self.scratch, f"plan-{shots}-{measured}")
        if not os.path.exists(folder):
            subprocess.run([self.plans, folder, str(shots), str(measured)], check=True)
        return os.path.join(folder, "plan.toml")

    def out(self, name):
        return os.path.join(self.scratch, name)

    def courtyard(self):
        ours = {
            "check": ["check", SCENE],
            "section": ["section", SCENE, "--station", "14", "--svg", self.out("court.svg")],
            "thickness": ["thickness", SCENE, "--at", "14,9.2"],
            "volumes": ["volumes", SCENE],
            "placed": ["placed", SCENE],
            "earthwork": ["earthwork", SCENE],
            "units": ["units", SCENE],
            "water": ["water", SCENE],
            "stakes": ["stakes", SCENE],
            "takeoff": ["takeoff", SCENE],
            "compare": ["compare", SCENE, "--raise", "1in"],
            "cautions": ["cautions", SCENE],
            "model": ["model", SCENE, self.out("court.glb")],
            "picture": ["picture", SCENE, self.out("court.png")],
        }
        ours = {verb: words for verb, words in ours.items() if self.wanted.search("whole process/" + verb)}
        measured = in_turn({verb: [self.underfoot, *words] for verb, words in ours.items()}, 5 if self.quick else 15)
        for verb, numbers in measured.items():
            self.note("whole process", verb, {"ours": numbers})

    def pictures(self):
        sizes = {"12k": 315, "520k": 20800, "11.6M": 464000}
        for size, shots in sizes.items():
            if self.quick and size == "11.6M" or not self.wanted.search("start to PNG/" + size):
                continue
            plan, glb = self.plan(shots, 1), self.out(f"{size}.glb")
            subprocess.run([self.underfoot, "model", plan, glb], check=True, stdout=subprocess.DEVNULL)
            print(f"start to PNG/{size}: {triangles(glb)} triangles in the .glb")
            both = {
                "ours": [self.underfoot, "picture", plan, self.out("ours.png"), "--size", "1280x800"],
                "f3d": ["f3d", glb, "--output=" + self.out("f3d.png"), "--resolution=1280,800", *SLANTED],
            }
            self.note("start to PNG", size, in_turn(both, 3 if size == "11.6M" else 5))

    def scans(self):
        for size, shots in {"200k": 200000, "1M": 1000000}.items():
            if self.quick and size == "1M" or not self.wanted.search("scan to findings/" + size):
                continue
            command = {"ours": [self.underfoot, "check", self.plan(shots, 0)]}
            self.note("scan to findings", size, in_turn(command, 3))


def main():
    build, scratch, result, wanted = sys.argv[1:5]
    random.seed(1)
    rows = Rows(build, scratch, wanted, "--quick" in sys.argv)
    rows.courtyard()
    rows.pictures()
    rows.scans()
    with open(result, "w", encoding="utf-8") as file:
        json.dump(rows.rows, file)


if __name__ == "__main__":
    main()
