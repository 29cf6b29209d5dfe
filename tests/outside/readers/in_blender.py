"""Blender without a window (blender --background --python in_blender.py -- BASE): names, boxes and volumes of what its
importer makes of BASE.glb."""
import os
import sys

import numpy

# Blender 3.4's importer asks for a name that NumPy 1.24 has dropped.
if not hasattr(numpy, "bool"):
    numpy.bool = bool

import bmesh
import bpy

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import wanted

base = sys.argv[sys.argv.index("--") + 1]
document = wanted.gltf(base)
bpy.ops.wm.read_factory_settings(use_empty=True)
bpy.ops.import_scene.gltf(filepath=os.path.abspath(base + ".glb"))
wrong = []
found, farthest = {}, 0
names = wanted.solids(document)
for name in names:
    thing = bpy.data.objects.get(name)
    if thing is None or thing.type != "MESH":
        wrong.append(f'no object "{name}"')
        continue
    mesh = bmesh.new()
    mesh.from_mesh(thing.data)
    mesh.transform(thing.matrix_world)
    bmesh.ops.triangulate(mesh, faces=mesh.faces)
    found[name] = mesh.calc_volume(signed=True)
    # Blender stands z up again: its (x, y, z) is the file's (x, -z, y).
    low, high = wanted.box(document, name)
    bounds = [
        [f(v.co[i] for v in mesh.verts) for i in range(3)] for f in (min, max)
    ]
    box = [[low[0], -high[2], low[1]], [high[0], -low[2], high[1]]]
    farthest = max([farthest] + [abs(bounds[k][i] - box[k][i]) for k in range(2) for i in range(3)])
    mesh.free()
if farthest > 1e-5:
    wrong.append(f"a box is {farthest} m off")
want = wanted.volumes(base)
wrong += wanted.differences(want, wanted.summed(want, found), 1e-4, 2e-6)
patio = bpy.data.objects.get("Patio")
if patio is None or "origin_height_m" not in patio:
    wrong.append("the root has lost its custom properties")
ups = [o for o in bpy.data.objects if o.animation_data is not None]
seen = (
    f"{len(found)} objects by their names, boxes within {farthest:.1e} m, {len(want)} layers of "
    f"{sum(want.values()):.4f} m3, {len(ups)} animated"
)
wanted.report(f"Blender {bpy.app.version_string}", base, seen, wrong)
