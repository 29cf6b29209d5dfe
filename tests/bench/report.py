"""The table of what was measured: report.py FOLDER [DEVELOPERS.md]

Reads the results that tests/bench/run left in FOLDER and prints two tables; with a file, they also replace what
stands there between the two marker comments (which are added at the end where they are missing).
"""

import datetime
import glob
import json
import math
import os
import re
import statistics
import subprocess
import sys

BEGIN = "<!-- bench: written by tests/bench/run -->"
END = "<!-- /bench -->"


class Goal:
    """What a row is held to: times quicker than the quickest of `peers`, or milliseconds at most."""

    def __init__(self, row, peers=(), must=None, aim=None, most_ms=None, label=None, memory=None, note=None, waited=False):
        self.row, self.peers, self.must, self.aim = row, peers, must, aim
        self.most_ms = most_ms or {}  # by size
        self.label = label or row
        self.memory = memory  # share of the peer's memory at most
        self.note = note
        self.waited = waited  # somebody waits for all of it: threads count by the wall's clock


GOALS = [
    Goal("triangulate", ["CGAL"], 1 / 3, 1, label="triangulate shots"),
    Goal("triangulate", ["GEOS"], label="triangulate shots"),
    Goal("overlay", ["GEOS"], 10, 50, label="lay two triangulations over each other"),
    Goal("section", ["CGAL", "VTK"], 50, 100, label="section, any bearing, N shots"),
    Goal("section of units", ["CGAL"], 10, 30),
    Goal("thickness", ["CGAL rays"], 150, 250, label="thickness at 100,000 points"),
    Goal("thickness", ["CGAL location"], 1.5, 2.5, label="thickness at 100,000 points"),
    Goal("thickness, sorted points", ["CGAL location"], label="the same, points sorted beforehand"),
    Goal("volumes", ["CGAL", "VTK"], 4, 6, label="volumes from nothing"),
    Goal("volumes after a height", ["CGAL", "VTK"], 100, 190, label="volumes after a shot moves"),
    Goal("solid of one layer", ["CGAL"], 100, 500),
    Goal("glb, writer alone", ["fwrite"], 1 / 4, 1 / 1.3, label=".glb, the writer alone"),
    Goal("glb, writer alone", ["tinygltf", "assimp"], label=".glb, the writer alone"),
    Goal("glb, from the model", ["fwrite"], 1 / 4, 1 / 1.3, label=".glb, from the model", waited=True),
    Goal("heights after a slider", most_ms={"200k": 16}, label="heights and volumes after a slider"),
    Goal(
        "start to PNG",
        ["f3d"],
        1.7,
        2,
        memory=0.75,
        label="start to PNG, whole process, triangles",
        waited=True,
    ),
    Goal("read points", most_ms={}, note="MB/s", label="read a point file"),
    Goal("scan to findings", most_ms={"200k": 1000, "1M": 4000}, label="scan to findings, whole process"),
    Goal(
        "courtyard",
        most_ms={
            "plan to model": 10,
            "all studies": 16,
            "corner dragged": 16,
            "finish dragged": 2,
            "ground shot dragged": 2,
            "base shot dragged": 2,
        },
        label="courtyard",
    ),
    Goal(
        "whole process",
        most_ms={"section": 50, "thickness": 50, "model": 50},
        label="courtyard, whole process",
    ),
]
LEAST_READING = 200  # MB/s


def read_rows(folder):
    """{(row, size): {who: {"ms", ...}}}, medians of the repetitions, in the order measured."""
    rows = {}

    def put(name, numbers):
        row, size, who = re.sub(r"(/iterations:\d+)?(/process_time)?$", "", name).split("/")
        rows.setdefault((row, size), {})[who] = numbers

    files = glob.glob(os.path.join(folder, "rows-*.json"))
    for file in sorted(files, key=lambda name: int(re.findall(r"\d+", name)[-1])):
        runs = {}
        with open(file, encoding="utf-8") as text:
            for run in json.load(text)["benchmarks"]:
                if run["run_type"] != "iteration":
                    continue
                if run.get("error_occurred"):
                    sys.exit(f"{run['name']}: {run['error_message']}")
                runs.setdefault(run["run_name"], []).append(run)
        for name, all_ in runs.items():
            name = re.sub(r"/repeats:\d+", "", name)
            numbers = {"ms": statistics.median(run["cpu_time"] for run in all_)}
            wall = statistics.median(run["real_time"] for run in all_)
            if wall < 0.9 * numbers["ms"]:
                numbers["wall_ms"] = wall  # several threads
            numbers.update({key: all_[-1][key] for key in ("setup_ms", "bytes") if key in all_[-1]})
            put(name, numbers)
    for run in json.load(open(os.path.join(folder, "processes.json"), encoding="utf-8")):
        put(run["name"], run)
    return rows


def digits(number):
    """Three figures, thousands parted."""
    if number == 0:
        return "0"
    places = max(0, 2 - math.floor(math.log10(abs(number))))
    return f"{round(number, places):,.{places}f}"


def counted(goal, numbers):
    """The milliseconds that a ratio is made of."""
    return numbers.get("wall_ms", numbers["ms"]) if goal.waited else numbers["ms"]


def time_of(numbers):
    text = digits(numbers["ms"])
    if numbers.get("wall_ms"):
        text += f" (wall {digits(numbers['wall_ms'])})"
    if numbers.get("memory_mb"):
        text += f", {digits(numbers['memory_mb'])} MB"
    if numbers.get("setup_ms"):
        text += f" (after {digits(numbers['setup_ms'])})"
    return text


def holds(value, must, aim):
    """For values that had better be large."""
    if value >= aim:
        return "aim"
    return "yes" if value >= must else "**no**"


def line_of(goal, size, row):
    """The cells of one line, or None where the row has nothing for this goal."""
    ours = row.get("ours")
    peers = {who: row[who] for who in goal.peers if who in row}
    if not ours or (goal.peers and not peers):
        return None
    cells = [goal.label, size, time_of(ours), "", "", "", ""]
    if peers:
        cells[3] = "; ".join(f"{who} {time_of(numbers)}" for who, numbers in peers.items())
        ratio = min(counted(goal, numbers) for numbers in peers.values()) / counted(goal, ours)
        cells[4] = digits(ratio)
        if goal.must:
            cells[5] = f"{digits(goal.must)} / {digits(goal.aim)}"
            cells[6] = holds(ratio, goal.must, goal.aim)
        if goal.memory:
            share = ours["memory_mb"] / min(numbers["memory_mb"] for numbers in peers.values())
            cells[4] += f", memory {share:.0%}"
            cells[5] += f", memory {goal.memory:.0%}"
            cells[6] += ", yes" if share <= goal.memory else ", **no**"
    if size in goal.most_ms:
        cells[5] = f"{goal.most_ms[size]} ms"
        waited = min(ours["ms"], ours.get("wall_ms", ours["ms"]))
        cells[6] = "yes" if waited <= goal.most_ms[size] else "**no**"
    if goal.note == "MB/s":
        speed = ours["bytes"] / 1e3 / ours["ms"]
        cells[3] = f"{digits(speed)} MB/s"
        cells[5] = f"{LEAST_READING} MB/s"
        cells[6] = "yes" if speed >= LEAST_READING else "**no**"
    return cells


def as_table(head, lines):
    out = ["| " + " | ".join(head) + " |", "|" + " --- |" * len(head)]
    return out + ["| " + " | ".join(line) + " |" for line in lines]


def exponent(counts, values):
    """Least squares in logarithms: value grows like count to this power."""
    xs, ys = [math.log(c) for c in counts], [math.log(max(v, 1e-4)) for v in values]
    mx, my = statistics.mean(xs), statistics.mean(ys)
    return sum((x - mx) * (y - my) for x, y in zip(xs, ys)) / sum((x - mx) ** 2 for x in xs)


def growth_lines(folder):
    runs = {}
    with open(os.path.join(folder, "growth.jsonl"), encoding="utf-8") as text:
        for line in text:
            run = json.loads(line)
            runs.setdefault(run["what"], []).append(run)
    lines = []
    for what, all_ in runs.items():
        if len(all_) < 2:
            continue
        counts = [run["count"] for run in all_]
        cells = [what, f"{counts[0]:,} to {counts[-1]:,}"]
        for key in ("model", "section", "volumes", "findings_ms", "solids"):
            values = [run[key] for run in all_]
            cells.append(f"{exponent(counts, values):.2f} ({digits(values[-1])})")
        memory = [run["memory"] for run in all_]
        cells.append(f"{exponent(counts, memory):.2f} ({digits(memory[-1])} MB)")
        lines.append(cells)
    return lines


STUDIES = ("earthwork", "stakes", "placed", "water", "unit_counts", "memory_studied")


def study_lines(folder):
    runs = {}
    with open(os.path.join(folder, "growth.jsonl"), encoding="utf-8") as text:
        for line in text:
            run = json.loads(line)
            if "placed" in run:
                runs.setdefault(run["what"], []).append(run)
    lines = []
    for what, all_ in runs.items():
        if len(all_) < 2:
            continue
        counts = [run["count"] for run in all_]
        at = {"shots": 10000, "units": 20000}.get(what, counts[-1])
        shown = next((run for run in all_ if run["count"] == at), all_[-1])
        cells = [what, f"{counts[0]:,} to {counts[-1]:,}", f"{shown['count']:,}"]
        for key in STUDIES:
            values = [run[key] for run in all_]
            unit = " MB" if key.startswith("memory") else ""
            cells.append(f"{exponent(counts, values):.2f} ({digits(shown[key])}{unit})")
        lines.append(cells)
    return lines


def machine():
    model = re.search(r"model name\s*: (.*)", open("/proc/cpuinfo", encoding="utf-8").read())
    compiler = subprocess.run(["c++", "--version"], capture_output=True, text=True, check=True).stdout.splitlines()[0]
    commit = subprocess.run(["git", "rev-parse", "--short", "HEAD"], capture_output=True, text=True, check=False)
    return (
        f"{model.group(1) if model else 'unknown processor'}, {os.cpu_count()} cores, {compiler}, "
        f"{datetime.date.today()}, commit {commit.stdout.strip() or 'unknown'}."
    )


def report(folder):
    rows = read_rows(folder)
    lines = []
    for goal in GOALS:
        for (row, size), measured in rows.items():
            line = line_of(goal, size, measured) if row == goal.row else None
            if line:
                lines.append(line)
    text = [
        f"Measured by `bash tests/bench/run` on {machine()} CPU milliseconds, median of the repetitions, ours with the "
        "project's flags, the peers with -O3; each row's peers ran in turn with ours. \"after\" is what a peer takes "
        "to set up after every change of a height. Ratios are the quickest peer's time over ours, where somebody waits "
        "for all of it (.glb from the model, start to PNG) by the wall's clock; \"aim\" means that the aim is reached too. Debian 12 has no package of Manifold, so it is not among the peers.",
        "",
    ]
    head = ["work", "size", "ours", "peers", "ratio", "must / aim", "holds"]
    text += as_table(head, lines)
    growth = growth_lines(folder)
    if growth:
        text += ["", "Growth: the power of the count that time and memory grow with (and the largest, ms).", ""]
        head = ["count of", "sizes", "model", "section", "volumes", "findings", "all solids", "memory"]
        text += as_table(head, growth)
    studies = study_lines(folder) if growth else []
    if studies:
        text += ["", "Studies: the same (and what they take at the size shown, ms; up to 150,000 cells).", ""]
        text += as_table(["count of", "sizes", "shown", "earthwork", "stakes", "placed", "water", "units", "memory"], studies)
    return "\n".join(text)


def replace(file, table):
    with open(file, encoding="utf-8") as old:
        text = old.read()
    if BEGIN not in text:
        text = text.rstrip("\n") + f"\n\n## How fast it is\n\n{BEGIN}\n{END}\n"
    before, rest = text.split(BEGIN, 1)
    after = rest.split(END, 1)[1]
    with open(file, "w", encoding="utf-8") as new:
        new.write(f"{before}{BEGIN}\n{table}\n{END}{after}")


def main():
    table = report(sys.argv[1])
    print(table)
    if len(sys.argv) > 2:
        replace(sys.argv[2], table)


if __name__ == "__main__":
    main()
