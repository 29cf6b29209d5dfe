#include "window/plan_worker.h"

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <exception>
#include <mutex>
#include <set>
#include <stop_token>
#include <string>
#include <system_error>
#include <thread>
#include <utility>

#include <tl/expected.hpp>

#include "plan/plan.h"
#include "plan/read_plan.h"
#include "share/page.h"

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
    Checked<Model> model = buildModel(std::move(*plan));
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
    stamps.reserve(files.size());
    for (const fs::path& file : files) stamps.push_back(stampOf(file));
    return stamps;
}

Diagnostic notWorked(const std::exception& fault) {
    return {{},
            std::string("The plan could not be worked through: ") + fault.what() + ".",
            "Close other programs if memory is short, or take a smaller plan."};
}

}  // namespace

Loaded loadPlan(const fs::path& planFile, const std::function<void(Stage)>& entered,
                std::vector<fs::path>& files) {
    files = {planFile};
    try {
        return loadGuarded(planFile, entered, files);
    } catch (const std::exception& fault) {
        Loaded loaded;
        loaded.faults.push_back(notWorked(fault));
        loaded.faults.back().place.file = planFile.string();
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
    std::optional<Moved> moved;
    std::optional<Told> told;
    struct Move {
        std::vector<HeightEdit> edits;
        size_t number = 0;
        bool settle = false;
    };
    std::optional<Move> toMove;
    std::optional<Ask> toAsk;
    std::atomic<Stage> stage{Stage::Reading};
    std::jthread thread;  // last: it ends before what it uses

    /// What the thread alone works with.
    struct Bench {
        std::vector<fs::path> files;
        std::vector<Stamp> seen;
        std::shared_ptr<const Model> read;
        Catalogue catalogue;
        std::optional<Rebuilder> rebuilder;
    };
    enum class Job { Read, Move, Answer };

    void run(const std::stop_token& stop) {
        Bench bench;
        bench.files = {planFile};
        while (const std::optional<Job> job = nextJob(stop, bench)) {
            if (*job == Job::Read) readOnce(bench);
            if (*job == Job::Move) moveOnce(bench);
            if (*job == Job::Answer) answerOnce();
        }
    }

    void readOnce(Bench& bench) {
        const std::vector<Stamp> stamps = stampsOf(bench.files);
        Loaded loaded = loadPlan(
            planFile, [this](Stage now) { enter(now); }, bench.files);
        // A file saved while it was being read counts as changed: compare with the time before the reading.
        bench.seen = stampsOf(bench.files);
        bench.seen.front() = stamps.front();
        if (loaded.model) {
            bench.read = loaded.model;
            bench.catalogue = loaded.catalogue;
            bench.rebuilder.reset();
        }
        {
            const std::lock_guard lock(mutex);
            result = std::move(loaded);
            moved.reset();
            toMove.reset();
        }
        enter(Stage::Waiting);
    }

    void moveOnce(Bench& bench) {
        Move move;
        {
            const std::lock_guard lock(mutex);
            if (!toMove) return;
            move = std::move(*toMove);
            toMove.reset();
        }
        if (!bench.read) return;
        try {
            Moved made = madeMove(bench, move);
            putMoved(made);
            if (!made.model || pending()) return;
            made.sameCells = true;
            made.posts.clear();
            made.findings = findings(*made.model, bench.catalogue);
            putMoved(std::move(made));
        } catch (const std::exception& fault) {
            bench.rebuilder.reset();
            putMoved(Moved{nullptr, {}, {notWorked(fault)}, move.number, false, {}});
        }
    }

    static Moved madeMove(Bench& bench, const Move& move) {
        Moved made{nullptr, {}, {}, move.number, false, {}};
        if (!bench.rebuilder) {
            Checked<Rebuilder> rebuilder = Rebuilder::of(bench.read->plan);
            if (!rebuilder) return made.faults = rebuilder.error(), made;
            bench.rebuilder.emplace(std::move(*rebuilder));
        }
        const auto kept = bench.rebuilder->move(move.edits);
        if (!kept) return made.faults = kept.error(), made;
        made.sameCells = *kept == Rebuilder::Kept::Cells && !move.settle;
        if (made.sameCells) made.posts = bench.rebuilder->movedPosts();
        if (move.settle)
            if (const auto settled = bench.rebuilder->settle(); !settled)
                return made.faults = settled.error(), made;
        made.model = std::make_shared<const Model>(bench.rebuilder->model());
        return made;
    }

    /// One that nobody took is gone, but not what changed by it.
    void putMoved(Moved made) {
        {
            const std::lock_guard lock(mutex);
            if (moved && moved->model) {
                made.sameCells = made.sameCells && moved->sameCells;
                made.posts.insert(made.posts.end(), moved->posts.begin(), moved->posts.end());
            }
            moved = std::move(made);
        }
        wake();
    }

    void answerOnce() {
        Ask ask;
        {
            const std::lock_guard lock(mutex);
            if (!toAsk) return;
            ask = std::move(*toAsk);
            toAsk.reset();
        }
        try {
            put(told, tell(ask));
        } catch (const std::exception& fault) {
            Told none{ask.question, {}, {}, ask.number};
            none.page.say(formatDiagnostic(notWorked(fault)));
            put(told, std::move(none));
        }
    }

    template <class T>
    void put(std::optional<T>& where, T what) {
        {
            const std::lock_guard lock(mutex);
            where = std::move(what);
        }
        wake();
    }

    bool pending() {
        const std::lock_guard lock(mutex);
        return again || toMove;
    }

    std::optional<Job> nextJob(const std::stop_token& stop, const Bench& bench) {
        std::unique_lock lock(mutex);
        while (!stop.stop_requested()) {
            if (again || stampsOf(bench.files) != bench.seen) {
                again = false;
                return Job::Read;
            }
            if (toMove) return Job::Move;
            if (toAsk) return Job::Answer;
            changed.wait_for(lock, stop, watchEvery, [this] { return again || toMove || toAsk; });
        }
        return {};
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

void PlanWorker::move(std::vector<HeightEdit> edits, size_t number, bool settle) {
    {
        const std::lock_guard lock(shared_->mutex);
        shared_->toMove = Shared::Move{std::move(edits), number, settle};
    }
    shared_->changed.notify_all();
}

void PlanWorker::ask(Ask question) {
    {
        const std::lock_guard lock(shared_->mutex);
        shared_->toAsk = std::move(question);
    }
    shared_->changed.notify_all();
}

std::optional<Moved> PlanWorker::takeMoved() {
    const std::lock_guard lock(shared_->mutex);
    return std::exchange(shared_->moved, std::nullopt);
}

std::optional<Told> PlanWorker::takeTold() {
    const std::lock_guard lock(shared_->mutex);
    return std::exchange(shared_->told, std::nullopt);
}

}  // namespace underfoot
