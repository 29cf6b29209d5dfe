#pragma once
// Reads a plan and builds its model beside the window, again whenever a file it was read from changes.

#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <vector>

#include "model/model.h"
#include "plan/catalogue.h"
#include "study/findings.h"

namespace underfoot {

enum class Stage { Waiting, Reading, Building, Checking };

/// What one reading came to: a model with its catalogue and findings, or faults (then the model is null).
struct Loaded {
    std::shared_ptr<const Model> model;
    Catalogue catalogue;
    std::vector<Finding> findings;
    Diagnostics faults;
};

/// One reading, on the caller's thread. `entered` is told each stage. `files` gets the files the plan was
/// read from.
Loaded loadPlan(const std::filesystem::path& planFile, const std::function<void(Stage)>& entered,
                std::vector<std::filesystem::path>& files);

/// The thread. All members may be called from the window's thread; `wake` is called from the worker's own
/// whenever there is something new to ask for.
class PlanWorker {
  public:
    PlanWorker(std::filesystem::path planFile, std::function<void()> wake);
    ~PlanWorker();  ///< waits for a reading under way
    PlanWorker(const PlanWorker&) = delete;
    PlanWorker& operator=(const PlanWorker&) = delete;

    /// The newest result not yet taken; an older one that nobody took is dropped.
    std::optional<Loaded> take();
    Stage stage() const;
    void readAgain();

  private:
    struct Shared;
    std::unique_ptr<Shared> shared_;
};

}  // namespace underfoot
