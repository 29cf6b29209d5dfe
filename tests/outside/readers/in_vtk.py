"""in_vtk.py BASE: VTK reads BASE.glb; volumes by vtkMassProperties, open edges by vtkFeatureEdges, and the cut by
vtkCutter against the program's own section. (vtkContourTriangulator, which would fill the cut, loses slivers.)"""
import math
import sys

from vtkmodules.vtkCommonCore import vtkObject, vtkVersion
from vtkmodules.vtkCommonDataModel import vtkPlane
from vtkmodules.vtkFiltersCore import vtkAppendPolyData, vtkCleanPolyData, vtkCutter, vtkFeatureEdges, vtkMassProperties
from vtkmodules.vtkIOGeometry import vtkGLTFReader

import wanted

base = sys.argv[1]
document = wanted.gltf(base)
vtkObject.GlobalWarningDisplayOff()
reader = vtkGLTFReader()
reader.SetFileName(base + ".glb")
reader.Update()


def leaves(block, name, found):
    """Triangles under a block, by the name of the nearest node above."""
    for i in range(block.GetNumberOfBlocks()):
        label = block.GetMetaData(i).Get(block.NAME()) if block.GetMetaData(i) else None
        child = block.GetBlock(i)
        inner = document["nodes"][int(label[5:])]["name"] if label and label.startswith("Node_") else name
        if child is None:
            continue
        if child.IsA("vtkMultiBlockDataSet"):
            leaves(child, inner, found)
        elif child.GetNumberOfPolys() > 0:
            found.setdefault(inner, []).append(child)
    return found


def welded(parts):
    """One mesh; corners at the very same place are one."""
    together = vtkAppendPolyData()
    for part in parts:
        together.AddInputData(part)
    clean = vtkCleanPolyData()
    clean.SetInputConnection(together.GetOutputPort())
    clean.ToleranceIsAbsoluteOn()
    clean.SetAbsoluteTolerance(0)
    clean.ConvertPolysToLinesOff()
    clean.Update()
    return clean.GetOutput()


def volume(mesh):
    mass = vtkMassProperties()
    mass.SetInputData(mesh)
    mass.Update()
    return mass.GetVolume()


def open_edges(mesh):
    edges = vtkFeatureEdges()
    edges.SetInputData(mesh)
    edges.BoundaryEdgesOn()
    edges.FeatureEdgesOff()
    edges.NonManifoldEdgesOff()
    edges.ManifoldEdgesOff()
    edges.Update()
    return edges.GetOutput().GetNumberOfCells()


def cut_area(mesh, line):
    (x0, z0), (x1, z1) = line[0], line[-1]
    plane = vtkPlane()
    plane.SetOrigin(x0, 0, z0)
    plane.SetNormal(z1 - z0, 0, x0 - x1)
    cutter = vtkCutter()
    cutter.SetCutFunction(plane)
    cutter.SetInputData(mesh)
    cutter.GenerateTrianglesOff()
    cutter.Update()
    cut, length = cutter.GetOutput(), math.hypot(x1 - x0, z1 - z0)
    sides = []
    for i in range(cut.GetNumberOfCells()):
        ids = cut.GetCell(i).GetPointIds()
        points = [cut.GetPoint(ids.GetId(k)) for k in range(ids.GetNumberOfIds())]
        flat = [(((x - x0) * (x1 - x0) + (z - z0) * (z1 - z0)) / length, y) for x, y, z in points]
        sides += zip(flat, flat[1:])
    return wanted.area_inside(sides)


meshes = {name: welded(parts) for name, parts in leaves(reader.GetOutput(), None, {}).items()}
wrong = [f'no node "{name}"' for name in wanted.solids(document) if name not in meshes]
wrong += [f"{name} has {n} open edges" for name, mesh in meshes.items() if (n := open_edges(mesh)) > 0]

want = wanted.volumes(base)
found = wanted.summed(want, {name: volume(mesh) for name, mesh in meshes.items()})
wrong += wanted.differences(want, found, 1e-4, 2e-6)

line, faces = wanted.section(base)
units = wanted.laid(base)
faces = {("Ground" if name == "native soil" else name): a for name, a in faces.items() if name not in units}
cuts = {name: cut_area(mesh, line) for name, mesh in meshes.items() if name in faces}
wrong += wanted.differences(faces, cuts, 1e-4, 2e-6)

seen = (
    f"{len(meshes)} solids without an open edge, {len(want)} layers of {sum(found.values()):.4f} m3, "
    f"{len(faces)} cut faces of {sum(c or 0 for c in cuts.values()):.4f} m2"
)
wanted.report(f"VTK {vtkVersion.GetVTKVersion()}", base, seen, wrong)
