// VTK 9.1 on one thread: the plane cutter with its tree of spheres, and mass properties.

#include <vtkCellArray.h>
#include <vtkCompositeDataIterator.h>
#include <vtkMassProperties.h>
#include <vtkMultiPieceDataSet.h>
#include <vtkNew.h>
#include <vtkPartitionedDataSetCollection.h>
#include <vtkPlane.h>
#include <vtkPlaneCutter.h>
#include <vtkPoints.h>
#include <vtkPolyData.h>

#include "peers.h"

namespace peers {
namespace {

void append(const Mesh& mesh, vtkPoints& points, vtkCellArray& cells) {
    const vtkIdType first = points.GetNumberOfPoints();
    for (const Point3& p : mesh.points) points.InsertNextPoint(p[0], p[1], p[2]);
    for (const auto& t : mesh.triangles) {
        const vtkIdType corner[3] = {first + t[0], first + t[1], first + t[2]};
        cells.InsertNextCell(3, corner);
    }
}

vtkNew<vtkPolyData> polyData(std::span<const Mesh> meshes) {
    vtkNew<vtkPolyData> data;
    vtkNew<vtkPoints> points;
    points->SetDataTypeToDouble();
    vtkNew<vtkCellArray> cells;
    for (const Mesh& mesh : meshes) append(mesh, *points, *cells);
    data->SetPoints(points);
    data->SetPolys(cells);
    return data;
}

size_t pointsIn(vtkDataObject* data) {
    if (auto* set = vtkDataSet::SafeDownCast(data)) return static_cast<size_t>(set->GetNumberOfPoints());
    auto* many = vtkCompositeDataSet::SafeDownCast(data);
    if (!many) return 0;
    return static_cast<size_t>(many->GetNumberOfPoints());
}

class VtkSlicer final : public Slicer {
  public:
    explicit VtkSlicer(std::span<const Mesh> meshes) : data_(polyData(meshes)) {
        cutter_->SetPlane(plane_);
        cutter_->SetInputData(data_);
        cutter_->SetComputeNormals(false);
        cutter_->SetInterpolateAttributes(false);
        cutter_->SetBuildTree(true);
        cutter_->SetBuildHierarchy(true);
        cut({{0, 0}, {1, 1}});  // builds the tree
    }
    size_t cut(const UprightPlane& plane) override {
        plane_->SetOrigin(plane.a[0], plane.a[1], 0);
        plane_->SetNormal(plane.a[1] - plane.b[1], plane.b[0] - plane.a[0], 0);
        cutter_->Update();
        return pointsIn(cutter_->GetOutputDataObject(0));
    }

  private:
    vtkNew<vtkPolyData> data_;
    vtkNew<vtkPlane> plane_;
    vtkNew<vtkPlaneCutter> cutter_;
};

class VtkMeasurer final : public Measurer {
  public:
    explicit VtkMeasurer(std::span<const Mesh> meshes) {
        for (size_t i = 0; i < meshes.size(); ++i) layers_.push_back(polyData(meshes.subspan(i, 1)));
    }
    double volume() override {
        double sum = 0;
        for (const auto& layer : layers_) {
            vtkNew<vtkMassProperties> properties;
            properties->SetInputData(layer);
            sum += properties->GetVolume();
        }
        return sum;
    }

  private:
    std::vector<vtkNew<vtkPolyData>> layers_;
};

}  // namespace

std::unique_ptr<Slicer> vtkSlicer(std::span<const Mesh> meshes) {
    return std::make_unique<VtkSlicer>(meshes);
}
std::unique_ptr<Measurer> vtkMeasurer(std::span<const Mesh> meshes) {
    return std::make_unique<VtkMeasurer>(meshes);
}

}  // namespace peers
