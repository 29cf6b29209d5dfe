#include "window/plan_worker.h"

#include <algorithm>
#include <atomic>
#include <chrono>
#include <filesystem>
#include <fstream>
#include <thread>

#include <gtest/gtest.h>

namespace underfoot {
namespace {

namespace fs = std::filesystem;

class WorkerTest : public testing::Test {
  protected:
    WorkerTest() {
        folder_ = fs::temp_directory_path() /
                  ("underfoot-worker-" +
                   std::to_string(std::chrono::steady_clock::now().time_since_epoch().count()));
        fs::create_directories(folder_);
        plan_ = folder_ / "plan.toml";
    }
    ~WorkerTest() override { fs::remove_all(folder_); }

    void write(const std::string& text) const {
        std::ofstream(plan_.string() + ".new") << text;
        fs::rename(plan_.string() + ".new", plan_);
    }
    static std::string plan(const std::string& title) {
        return "title = \"" + title + R"("
unit = "m"
show = "m"
[finish]
at = [0, 0]
level = 10
fall = "2 %"
[[build_up]]
name = "plain"
layers = [ { name = "units", role = "units", thickness = 0.05 }, { name = "bedding", role = "bedding", thickness = 0.03 } ]
[[area]]
name = "court"
build_up = "plain"
rectangle = { corner = [0, 0], size = [4, 3] }
)";
    }
    /// The next reading, within ten seconds.
    static std::optional<Loaded> next(PlanWorker& worker) {
        for (int i = 0; i < 500; ++i) {
            if (std::optional<Loaded> loaded = worker.take()) return loaded;
            std::this_thread::sleep_for(std::chrono::milliseconds(20));
        }
        return {};
    }

    fs::path folder_, plan_;
};

TEST_F(WorkerTest, ReadsAndReadsAgainWhenTheFileChanges) {
    write(plan("First"));
    std::atomic<int> woken = 0;
    PlanWorker worker(plan_, [&] { ++woken; });
    std::optional<Loaded> loaded = next(worker);
    ASSERT_TRUE(loaded && loaded->model);
    EXPECT_EQ(loaded->model->plan.title, "First");
    EXPECT_GE(woken, 2);
    write(plan("Second"));
    loaded = next(worker);
    ASSERT_TRUE(loaded && loaded->model);
    EXPECT_EQ(loaded->model->plan.title, "Second");
}

TEST_F(WorkerTest, FaultsComeWithFileAndLineAndTheRepairedFileFollows) {
    write("title = \"Broken\"\nunit = \"cubit\"\n");
    PlanWorker worker(plan_, [] {});
    std::optional<Loaded> loaded = next(worker);
    ASSERT_TRUE(loaded);
    EXPECT_FALSE(loaded->model);
    ASSERT_FALSE(loaded->faults.empty());
    EXPECT_TRUE(std::any_of(loaded->faults.begin(), loaded->faults.end(), [](const Diagnostic& fault) {
        return fault.place.line == 2 && fault.place.file.ends_with("plan.toml");
    }));
    write(plan("Mended"));
    loaded = next(worker);
    ASSERT_TRUE(loaded && loaded->model);
}

TEST_F(WorkerTest, AMissingFileIsAFaultUntilItIsThere) {
    PlanWorker worker(plan_, [] {});
    std::optional<Loaded> loaded = next(worker);
    ASSERT_TRUE(loaded);
    EXPECT_FALSE(loaded->faults.empty());
    write(plan("There"));
    loaded = next(worker);
    ASSERT_TRUE(loaded && loaded->model);
}

TEST_F(WorkerTest, PointFilesAreWatchedToo) {
    const auto shots = [&](double height) {
        std::ofstream(folder_ / "shots.csv.new")
            << "1,-1,-1," << height << ",a\n2,-1,6," << height << ",b\n3,5,6," << height << ",c\n4,5,-1,"
            << height << ",d\n";
        fs::rename(folder_ / "shots.csv.new", folder_ / "shots.csv");
    };
    shots(9.8);
    write(plan("Shots") + "[ground]\nfiles = [ { path = \"shots.csv\", order = \"PNEZD\" } ]\n");
    PlanWorker worker(plan_, [] {});
    std::optional<Loaded> loaded = next(worker);
    ASSERT_TRUE(loaded && loaded->model);
    ASSERT_EQ(loaded->model->plan.ground.shots.size(), 4U);
    shots(9.7);
    loaded = next(worker);
    ASSERT_TRUE(loaded && loaded->model);
    EXPECT_DOUBLE_EQ(loaded->model->plan.ground.shots[0].height, 9.7);
}

TEST_F(WorkerTest, AnUntouchedFileIsNotReadTwice) {
    write(plan("Once"));
    PlanWorker worker(plan_, [] {});
    ASSERT_TRUE(next(worker));
    std::this_thread::sleep_for(std::chrono::milliseconds(900));  // three looks at the file
    EXPECT_FALSE(worker.take());
    worker.readAgain();
    EXPECT_TRUE(next(worker));
}

}  // namespace
}  // namespace underfoot
