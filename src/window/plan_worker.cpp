#include "window/plan_worker.h"

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <exception>
#include <mutex>
#include <set>
#include <thread>
#include <utility>

#include "plan/read_plan.h"

namespace underfoot {

namespace {

namespace fs = std::filesystem;

constexpr auto watchEvery = std::chrono::milliseconds(300);

void addFiles(const std::vector<Shot>& shots, std::set<fs::path>& files) {
    for (const Shot& shot : shots)
        if (!shot.place.file.empty()) files.insert(shot.place.file);
}

std::vector<fs::path> filesOf(const fs::path& planFile, const Plan& plan) {
    std::set<fs::path> files;
    addFiles(plan.ground.shots, files);
    files.insert(plan.ground.scan.files.begin(), plan.ground.scan.files.end());
    for (const MeasuredTop& top : plan.measuredTops) {
        addFiles(top.shots, files);
        files.insert(top.scan.files.begin(), top.scan.files.end());
    }
    std::vector<fs::path> all{planFile};
    for (const fs::path& file : files) {
        const fs::path there = file.is_absolute() || fs::exists(file) ? file : planFile.parent_path() / file;
        if (there != planFile) all.push_back(there);
    }
    return all;
}

void addFilesOf(const Diagnostics& faults, std::vector<fs::path>& files) {
    for (const Diagnostic& fault : faults)
        if (!fault.place.file.empty()) files.emplace_back(fault.place.file);
}

Loaded loadGuarded(const fs::path& planFile, const std::function<void(Stage)>& entered,
                   std::vector<fs::path>& files) {
    Loaded loaded;
    entered(Stage::Reading);
    Checked<Plan> plan = readPlan(planFile);
    if (!plan) {
        loaded.faults = std::move(plan.error());
        addFilesOf(loaded.faults, files);
        return loaded;
    }
    files = filesOf(planFile, *plan);
    entered(Stage::Building);
    Checked<Model> model = buildModel(*plan);
    if (!model) {
        loaded.faults = std::move(model.error());
        return loaded;
    }
    entered(Stage::Checking);
    loaded.model = std::make_shared<const Model>(std::move(*model));
    loaded.catalogue = loadCatalogue(loaded.model->plan);
    loaded.findings = findings(*loaded.model, loaded.catalogue);
    return loaded;
}

/// The state of a file that is watched: its time and size, or that it is not there.
struct Stamp {
    bool there = false;
    fs::file_time_type time{};
    std::uintmax_t size = 0;
    friend bool operator==(const Stamp&, const Stamp&) = default;
};

Stamp stampOf(const fs::path& file) {
    std::error_code error;
    Stamp stamp;
    stamp.time = fs::last_write_time(file, error);
    if (error) return {};
    stamp.size = fs::file_size(file, error);
    if (error) return {};
    stamp.there = true;
    return stamp;
}

std::vector<Stamp> stampsOf(const std::vector<fs::path>& files) {
    std::vector<Stamp> stamps;
    for (const fs::path& file : files) stamps.push_back(stampOf(file));
    return stamps;
}

}  // namespace

Loaded loadPlan(const fs::path& planFile, const std::function<void(Stage)>& entered,
                std::vector<fs::path>& files) {
    files = {planFile};
    try {
        return loadGuarded(planFile, entered, files);
    } catch (const std::exception& fault) {
        Loaded loaded;
        loaded.faults.push_back({{planFile.string(), 0, 0},
                                 std::string("The plan could not be worked through: ") + fault.what() + ".",
                                 "Close other programs if memory is short, or take a smaller plan."});
        return loaded;
    }
}

struct PlanWorker::Shared {
    fs::path planFile;
    std::function<void()> wake;
    std::mutex mutex;
    std::condition_variable_any changed;
    std::optional<Loaded> result;
    bool again = true;
    std::atomic<Stage> stage{Stage::Reading};
    std::jthread thread;  // last: it ends before what it uses

    void run(const std::stop_token& stop) {
        std::vector<fs::path> files{planFile};
        std::vector<Stamp> seen;
        while (waitForChange(stop, files, seen)) {
            const std::vector<Stamp> stamps = stampsOf(files);
            Loaded loaded = loadPlan(
                planFile, [this](Stage now) { enter(now); }, files);
            // A file saved while it was being read counts as changed: compare with the time before the
            // reading.
            seen = stampsOf(files);
            seen.front() = stamps.front();
            {
                const std::lock_guard lock(mutex);
                result = std::move(loaded);
            }
            enter(Stage::Waiting);
        }
    }

    bool waitForChange(const std::stop_token& stop, const std::vector<fs::path>& files,
                       const std::vector<Stamp>& seen) {
        std::unique_lock lock(mutex);
        while (!stop.stop_requested()) {
            if (again || stampsOf(files) != seen) {
                again = false;
                return true;
            }
            changed.wait_for(lock, stop, watchEvery, [this] { return again; });
        }
        return false;
    }

    void enter(Stage now) {
        stage = now;
        wake();
    }
};

PlanWorker::PlanWorker(fs::path planFile, std::function<void()> wake) : shared_(std::make_unique<Shared>()) {
    shared_->planFile = std::move(planFile);
    shared_->wake = std::move(wake);
    shared_->thread =
        std::jthread([shared = shared_.get()](const std::stop_token& stop) { shared->run(stop); });
}

PlanWorker::~PlanWorker() = default;

std::optional<Loaded> PlanWorker::take() {
    const std::lock_guard lock(shared_->mutex);
    return std::exchange(shared_->result, std::nullopt);
}

Stage PlanWorker::stage() const {
    return shared_->stage;
}

void PlanWorker::readAgain() {
    {
        const std::lock_guard lock(shared_->mutex);
        shared_->again = true;
    }
    shared_->changed.notify_all();
}

}  // namespace underfoot
