"""What the program itself says of a scene, from BASE.glb, BASE.volumes.json and BASE.section.json.

Axes: the file's (x, y, z) is the plan's (x, height, -y), from the root's origin_x_m, origin_y_m, origin_height_m.
"""
import json
import math
import struct
import sys


def gltf(base):
    """The JSON part of BASE.glb."""
    with open(base + ".glb", "rb") as file:
        data = file.read()
    assert data[:4] == b"glTF", "no binary glTF"
    size, kind = struct.unpack("<II", data[12:20])
    assert kind == 0x4E4F534A, "the first part is not JSON"
    return json.loads(data[20 : 20 + size])


def root_extras(document):
    return document["nodes"][document["scenes"][0]["nodes"][0]]["extras"]


def is_solid(document, node):
    """Whether a node carries triangles (lines are mode 1)."""
    if "mesh" not in node:
        return False
    return all(p.get("mode", 4) == 4 for p in document["meshes"][node["mesh"]]["primitives"])


def solids(document):
    """Names of all nodes with triangles."""
    return [n["name"] for n in document["nodes"] if is_solid(document, n)]


def box(document, name):
    """Lowest and highest corner of a node as written, in the file's axes."""
    node = next(n for n in document["nodes"] if n["name"] == name)
    accessors = [document["accessors"][p["attributes"]["POSITION"]] for p in document["meshes"][node["mesh"]]["primitives"]]
    low = [min(a["min"][i] for a in accessors) for i in range(3)]
    high = [max(a["max"][i] for a in accessors) for i in range(3)]
    return low, high


def volumes(base):
    """Volume of each layer that the file has, in m3. Laid units stand there as prisms with joints between them: for
    them the sum of the pieces."""
    document = gltf(base)
    extras = {n["name"]: n.get("extras", {}) for n in document["nodes"]}
    with open(base + ".volumes.json") as file:
        layers = json.load(file)["layers"]
    wanted = {}
    for layer in layers:
        name = layer["layer"]
        if layer["volume"]["m3"] > 0:
            wanted[name] = extras.get(name, {}).get("units_volume_m3", layer["volume"]["m3"])
    return wanted


def laid(base):
    """Layers that stand in the file as single units."""
    return {n["name"] for n in gltf(base)["nodes"] if "units_volume_m3" in n.get("extras", {})}


def summed(wanted, found):
    """Found volumes by layer: a layer of several areas has a node for each, called "LAYER, AREA"."""
    return {
        name: sum(v for node, v in found.items() if node == name or node.startswith(name + ", ")) for name in wanted
    }


def differences(wanted, found, relative, absolute):
    """A sentence for each number that is another."""
    return [
        f"{name}: {found.get(name)} where {value} was wanted"
        for name, value in wanted.items()
        if found.get(name) is None or not abs(found[name] - value) <= relative * abs(value) + absolute
    ]


def section(base):
    """The cut: two plan points (file's x and z) and the cut face of each layer in m2."""
    document = gltf(base)
    origin = root_extras(document)
    with open(base + ".section.json") as file:
        cut = json.load(file)
    line = [(p["x_m"] - origin["origin_x_m"], -(p["y_m"] - origin["origin_y_m"])) for p in cut["line"]]
    faces = {}
    for interval in cut["intervals"]:
        run = interval["to_m"] - interval["from_m"]
        for layer in interval["layers"]:
            mean = (sum(layer["top_m"]) - sum(layer["bottom_m"])) / 2
            faces[layer["layer"]] = faces.get(layer["layer"], 0) + run * mean
    return line, {name: area for name, area in faces.items() if area > 1e-9}


def area_inside(sides):
    """Area inside closed outlines given as their sides ((u, z), (u, z)), in any order and however they nest: between two
    neighbouring ends no side starts or stops, and every second gap, counted from below, is inside."""
    sides = [sorted(side) for side in sides]
    ends = sorted(end[0] for side in sides for end in side)
    area = 0
    for left, right in zip(ends, ends[1:]):
        if right - left < 1e-6:  # floats: a wall's corners stand above each other
            continue
        u = (left + right) / 2
        heights = sorted(
            a[1] + (b[1] - a[1]) * (u - a[0]) / (b[0] - a[0]) for a, b in sides if a[0] < u < b[0]
        )
        if len(heights) % 2 != 0:
            return None
        area += (sum(heights[1::2]) - sum(heights[::2])) * (right - left)
    return area


def slanting_line(base):
    """A line across the whole scene as the section verb reads it, through the middle of the lowest layer, at about
    34 degrees."""
    document = gltf(base)
    origin = root_extras(document)
    low, high = box(document, solids(document)[0])
    x = (low[0] + high[0]) / 2 + origin["origin_x_m"] + 0.0137
    y = -(low[2] + high[2]) / 2 + origin["origin_y_m"] + 0.0071
    low, high = box(document, "Ground")
    reach = math.hypot(high[0] - low[0], high[2] - low[2])
    dx, dy = reach * math.cos(0.59), reach * math.sin(0.59)
    return f"{x - dx:.4f}m,{y - dy:.4f}m {x + dx:.4f}m,{y + dy:.4f}m"


def report(program, base, seen, wrong):
    """Prints what was seen and ends with 1 when something is wrong."""
    print(f"{program}: {base.split('/')[-1]}: {seen}" + ("" if not wrong else "; WRONG: " + "; ".join(wrong)), flush=True)
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    assert sys.argv[1] == "line"
    print(slanting_line(sys.argv[2]))
