#pragma once
// What takes longer than a frame, beside the window: reads a plan and builds its model, again whenever a file
// it was read from changes; moves heights of it; answers questions.

#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <vector>

#include "measure/diagnostic.h"
#include "model/model.h"
#include "model/rebuild.h"
#include "plan/catalogue.h"
#include "study/findings.h"
#include "window/questions.h"

namespace underfoot {

enum class Stage { Waiting, Reading, Building, Checking };

/// What one reading came to: a model with its catalogue and findings, or faults (then the model is null).
struct Loaded {
    std::shared_ptr<const Model> model;
    Catalogue catalogue;
    std::vector<Finding> findings;
    Diagnostics faults;
};

/// What moving heights came to: a model, then the same with its findings; or faults.
struct Moved {
    std::shared_ptr<const Model> model;
    std::optional<std::vector<Finding>> findings;
    Diagnostics faults;
    size_t number = 0;
    /// The cells are those of the model before, and these are the posts whose heights changed since then.
    bool sameCells = false;
    std::vector<int> posts;
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

    /// Moves heights of the plan as last read (see model/rebuild.h). What was wanted before and is not begun
    /// is dropped, and all of it where the plan is read anew.
    void move(std::vector<HeightEdit> edits, size_t number, bool settle);
    std::optional<Moved> takeMoved();

    /// The newest question is answered, once the plan is read and heights are moved.
    void ask(Ask question);
    std::optional<Told> takeTold();

  private:
    struct Shared;
    std::unique_ptr<Shared> shared_;
};

}  // namespace underfoot
