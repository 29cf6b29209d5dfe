"""in_assimp.py BASE: assimp reads BASE.glb, says what is in it, and writes it again as OBJ, from which the volumes come."""
import re
import subprocess
import sys

import wanted

base = sys.argv[1]
wrong = []
document = wanted.gltf(base)

info = subprocess.run(["assimp", "info", base + ".glb"], capture_output=True, text=True)
if info.returncode != 0:
    wrong.append("assimp info ends with " + str(info.returncode))
for name in wanted.solids(document):
    if not re.search(rf"[├└]╴{re.escape(name)} \(mesh", info.stdout):
        wrong.append(f'no node "{name}"')
version = subprocess.run(["assimp", "version"], capture_output=True, text=True).stdout
version = re.search(r"[Vv]ersion\s+([0-9.]+)", version)

written = subprocess.run(["assimp", "export", base + ".glb", base + ".obj"], capture_output=True, text=True)
if written.returncode != 0:
    wrong.append("assimp export ends with " + str(written.returncode))

points, found, triangles, group = [], {}, 0, None
with open(base + ".obj") as file:
    for line in file:
        words = line.split()
        if line.startswith("v "):
            points.append(tuple(float(w) for w in words[1:4]))
        elif line.startswith("g "):
            group = line[2:].strip()
        elif line.startswith("f ") and len(words) == 4:
            a, b, c = (points[int(w.split("/")[0]) - 1] for w in words[1:])
            cross = (b[1] * c[2] - b[2] * c[1], b[2] * c[0] - b[0] * c[2], b[0] * c[1] - b[1] * c[0])
            found[group] = found.get(group, 0) + sum(p * q for p, q in zip(a, cross)) / 6
            triangles += 1

want = wanted.volumes(base)
in_file = sum(
    document["accessors"][p["indices"]]["count"] // 3
    for n in document["nodes"]
    if wanted.is_solid(document, n)
    for p in document["meshes"][n["mesh"]]["primitives"]
)
# assimp drops triangles that floats have made flat.
if not 0.99 * in_file <= triangles <= in_file:
    wrong.append(f"{triangles} triangles of {in_file}")
wrong += wanted.differences(want, wanted.summed(want, found), 1e-4, 2e-6)
seen = f"{len(found)} solids, {triangles} triangles, {len(want)} layers of {sum(want.values()):.4f} m3 in all"
wanted.report(f"assimp {version.group(1) if version else '?'}", base, seen, wrong)
