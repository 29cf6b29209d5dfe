"""Changes cells of a takeoff's spreadsheet, and compares what another program counts in it.

cells.py empty IN OUT            takes the numbers away that stand beside formulas
cells.py change IN OUT           the same, and changes what may be changed
cells.py compare JSON CSV        the counted sheet against the answer
cells.py compare-changed JSON CSV  against the answer worked out anew with the changes
"""
import csv
import json
import math
import re
import sys
import zipfile

FIRST = 8  # row of the first item, as a spreadsheet counts
SHEET = "xl/worksheets/sheet1.xml"


def rewrite(source, target, edit):
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            data = old.read(name)
            if name == SHEET:
                data = edit(data.decode()).encode()
            new.writestr(name, data)


def emptied(xml):
    return re.sub(r"(</f>)<v>[^<]*</v>", r"\1", xml)


def with_number(xml, cell, change):
    def replaced(match):
        return match.group(1) + repr(change(float(match.group(2)))) + match.group(3)

    out, count = re.subn(rf'(<c r="{cell}"[^>]*><v>)([^<]*)(</v></c>)', replaced, xml)
    assert count == 1, cell
    return out


def changed(xml):
    """Every quantity in place 1.7 times as large, waste more by 0.03, half the prices' rows 10 dearer, smaller truck."""
    for cell in re.findall(r'<c r="(C\d+)"[^>]*><v>', emptied(xml)):
        if int(cell[1:]) >= FIRST and f'<c r="K{cell[1:]}"' in xml:
            xml = with_number(xml, cell, lambda v: v * 1.7)
            xml = with_number(xml, "K" + cell[1:], lambda v: v + 0.03)
    for cell in re.findall(r'<c r="(U\d+)"[^>]*><v>', xml):
        xml = with_number(xml, cell, lambda v: v + 10)
    xml = with_number(xml, "B4", lambda v: v / 2)
    return emptied(xml)


def up(value):
    return math.ceil(round(value, 5))


def worked_out(item, truck, change):
    """bought, mass in kg, truckloads, cost: by the rule in words, not by the program."""
    in_place = item["in_place"] * (1.7 if change else 1)
    waste = item["waste"] + (0.03 if change else 0)
    factor = {"mass": item["kg_per_in_place"], "loose volume": item["loose_per_in_place"], "in place": 1}[item["sold_by"]]
    net = max(0, in_place - item["from_dig"]) * factor / item["sale_size"]
    bought = max(up(net * (1 + waste) / item["step"]) * item["step"], item["laid_out"])
    each = {
        "mass": item["sale_size"],
        "loose volume": item["sale_size"] * item["kg_per_in_place"] / item["loose_per_in_place"],
        "in place": item["sale_size"] * item["kg_per_in_place"],
    }[item["sold_by"]]
    mass = bought * each
    loose = mass / item["kg_per_in_place"] * item["loose_per_in_place"]
    holds = truck["holds"]["m3"] / (2 if change else 1)
    loads = max(up(mass / truck["carries_kg"]), up(loose / holds)) if item["truck_loads"] is not None else None
    cost = None if item["price"] is None else bought * (item["price"] + (10 if change else 0))
    return bought, mass, loads, cost


def compare(answer, rows, change):
    pounds = any("lb" in cell for cell in rows[FIRST - 2])
    faults = seen = 0

    def same(what, counted, wanted):
        nonlocal faults, seen
        seen += 1
        value = float(counted) if counted else None
        if (value is None) != (wanted is None) or (value is not None and abs(value - wanted) > 1e-6 * max(1, abs(wanted))):
            print(f"{what}: counted {counted!r}, wanted {wanted}")
            faults += 1

    mass_sum, total = 0, 0
    for i, item in enumerate(answer["items"]):
        row = rows[FIRST - 1 + i]
        bought, mass, loads, cost = worked_out(item, answer["carriers"][0], change)
        if not change:
            same(item["item"] + " of the answer", row[13], item["bought"])
            same(item["item"] + " weight of the answer", row[16], item["mass_kg"] / (0.45359237 if pounds else 1))
        same(item["item"] + " bought", row[13], bought)
        same(item["item"] + " weight", row[16], mass / (0.45359237 if pounds else 1))
        same(item["item"] + " loads", row[18], loads)
        same(item["item"] + " cost", row[21], cost)
        mass_sum += mass
        total += cost or 0
    last = rows[FIRST - 1 + len(answer["items"])]
    same("total weight", last[16], mass_sum / (0.45359237 if pounds else 1))
    same("total cost", last[21], total if answer["total"] is not None else None)
    print(f"{answer['plan']}{', changed' if change else ''}: {seen} numbers, {faults} differ")
    return faults


def main():
    verb = sys.argv[1]
    if verb in ("empty", "change"):
        rewrite(sys.argv[2], sys.argv[3], emptied if verb == "empty" else changed)
        return 0
    with open(sys.argv[2]) as file:
        answer = json.load(file)
    with open(sys.argv[3], newline="") as file:
        rows = list(csv.reader(file))
    return 1 if compare(answer, rows, verb == "compare-changed") else 0


if __name__ == "__main__":
    sys.exit(main())
